"""What is still missing before a verdict: runs not made, and what was not measured in those that were."""

from collections.abc import Iterator, Sequence

from schemas import Run, is_made
from trials.fairness.evidence import Evidence
from trials.measures.pairing import Pair
from trials.wording.lists import and_list, count_of, in_pairs


def still_missing(evidence: Evidence) -> tuple[str, ...]:
    """What has to come before the verdict, a sentence each; none where nothing is missing.

    Names tags and pairs, never arms.

    Examples
    --------
    >>> from schemas import Gear, Lot, Trial
    >>> from trials.fairness.evidence import gather
    >>> trial = Trial(name="t", measure="grain_counts", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="pan"))
    >>> still_missing(gather(trial, [Run(pair=1, arm="baseline", tag="HTK", minutes=9.0)]))
    ('5 runs are not made yet: pairs 1, 2 and 3.', 'HTK has no grains yet.')
    """
    if evidence.ended:
        return ()
    wanted = _wanted(evidence)
    return (*_not_made(wanted), *_not_measured(evidence, wanted))


def _wanted(evidence: Evidence) -> list[Pair]:
    """The planned pairs, and spares called in for void ones, that are still open."""
    planned, void = evidence.trial.pairs, len(evidence.pairing.void)
    return [pair for pair in evidence.pairing.pairs if pair.state == "open" and pair.number <= planned + void]


def _not_made(wanted: Sequence[Pair]) -> Iterator[str]:
    missing = {pair.number: 2 - sum(is_made(run) for run in pair.halves) for pair in wanted}
    runs, pairs = sum(missing.values()), [number for number, count in missing.items() if count]
    if runs:
        yield f"{count_of(runs, 'run')} {'is' if runs == 1 else 'are'} not made yet: {in_pairs(pairs)}."


def _not_measured(evidence: Evidence, wanted: Sequence[Pair]) -> Iterator[str]:
    measure = evidence.pairing.measure
    for pair in wanted:
        halves = [run for run in pair.halves if is_made(run) and measure.readings(run) is None]
        for run in sorted(halves, key=lambda run: (run.tag or "", run.turn or 0)):
            lacking = [name for name in measure.inputs if getattr(run, name) is None]
            yield f"{_name(run)} has no {and_list(lacking)} yet."


def _name(run: Run) -> str:
    return run.tag or f"A run of pair {run.pair}"
