"""What is still missing before a verdict: runs not made, and what was not measured in those that were."""

from collections.abc import Iterator, Mapping, Sequence

from schemas import Run, Trial, is_made
from trials.measures.audited import sort_audit
from trials.measures.blocks import block_up
from trials.measures.catalogue import measure_named
from trials.measures.pairing import pair_up
from trials.wording.lists import and_list, count_of, in_pairs
from trials.wording.steps import enter_step, print_step

SPOKEN_AS: Mapping[str, str] = {
    "gold_mg": "gold kept",
    "tails_gold_mg": "gold of the tails",
    "seeded": "number seeded",
    "kept": "number kept",
}
"""What is measured, as it is spoken of; the rest by its own name."""
UNNAMED = 10**6
FEW = 4


def first_steps(name: str, *, is_locked: bool) -> str:
    """What comes next where no run is in; `is_locked`: the papers are printed.

    >>> first_steps("mat", is_locked=False), first_steps("mat", is_locked=True)
    ('samedirt sheet mat, and run it; then samedirt enter mat', 'run it; then samedirt enter mat')
    """
    papers = "" if is_locked else f"{print_step(name)}, and "
    return f"{papers}run it; then {enter_step(name)}"


def runs_to_come(trial: Trial, runs: Sequence[Run]) -> list[Run]:
    """Which runs are still to be made, in the order of the papers?

    Spares belong to them only where a struck run called them in. The other half of a struck pair does not: it would
    leave the sum with it. Of a graded trial the other runs of a struck block do.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="t", measure="grain_counts", pairs=1, spares=1, lots=(Lot(kind="natural"),),
    ...     gear=Gear(kind="pan"))
    >>> runs = [Run(pair=pair, arm=arm, tag=f"{arm[0]}{pair}".upper()) for pair in (1, 2) for arm in trial.arms]
    >>> [run.tag for run in runs_to_come(trial, runs)]
    ['B1', 'R1']
    >>> struck = runs[0].model_copy(update={"void": "spill"})
    >>> [run.tag for run in runs_to_come(trial, [struck, *runs[1:]])]
    ['B2', 'R2']
    """
    void = _void_blocks(trial, runs)
    last = last_called(trial, runs)
    found = [run for run in runs if not is_made(run) and run.pair <= last and run.pair not in void]
    return sorted(found, key=_in_turn)


def last_called(trial: Trial, runs: Sequence[Run]) -> int:
    """The number of the last pair that is to be run: the planned ones, and a spare for each that is void.

    A spare of an audit is one more run of the same kind, and may be run.
    """
    struck = [run.pair for run in runs if run.is_void]
    return trial.pairs + min(trial.spares, len(struck if trial.audit else set(struck)))


def _void_blocks(trial: Trial, runs: Sequence[Run]) -> set[int]:
    """The pairs that leave the sum as a whole; blocks of other trials keep the runs that were not struck."""
    return {run.pair for run in runs if run.is_void} if len(trial.arms) == 2 else set()


def runs_lacking(trial: Trial, runs: Sequence[Run]) -> list[tuple[Run, tuple[str, ...]]]:
    """Which runs were made and lack what the main measure needs, and what do they lack? In the order of the papers.

    Struck runs, and those of a struck pair, lack nothing any more.
    """
    measure, void = measure_named(trial.measure), _void_blocks(trial, runs)
    lacking = [
        (run, tuple(name for name in measure.inputs if getattr(run, name) is None))
        for run in sorted(runs, key=_in_turn)
        if is_made(run) and not run.is_void and run.pair not in void
    ]
    return [(run, names) for run, names in lacking if names]


def _in_turn(run: Run) -> tuple[int, str, int]:
    return (run.turn or UNNAMED, run.tag or "", run.pair)


def is_waiting(trial: Trial, runs: Sequence[Run]) -> bool:
    """Whether a trial is still short of its planned end."""
    if trial.audit:
        return sort_audit(trial, runs).waiting
    return (pair_up if len(trial.arms) == 2 else block_up)(trial, runs).waiting


def missing_of(trial: Trial, runs: Sequence[Run]) -> tuple[str, ...]:
    """What has to come before a trial of any kind is whole, a sentence each."""
    if not is_waiting(trial, runs):
        return ()
    return (*_not_made(trial, runs), *measures_missing(trial, runs))


def runs_left(trial: Trial, runs: Sequence[Run]) -> Mapping[int, int]:
    """How many runs of each pair or block are still to be made, a row for them or not; only of those with any.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="t", measure="grain_counts", pairs=2, lots=(Lot(kind="natural"),), gear=Gear(kind="pan"))
    >>> runs_left(trial, [Run(pair=1, arm="baseline", grains=4)])
    {1: 1, 2: 2}
    """
    void = _void_blocks(trial, runs)
    made = [run.pair for run in runs if is_made(run)]
    blocks = (number for number in range(1, last_called(trial, runs) + 1) if number not in void)
    return {number: left for number in blocks if (left := len(trial.arms) - made.count(number)) > 0}


def _not_made(trial: Trial, runs: Sequence[Run]) -> Iterator[str]:
    to_make = runs_left(trial, runs)
    total = sum(to_make.values())
    if total:
        where = in_pairs(list(to_make), "run" if trial.audit else "pair" if len(trial.arms) == 2 else "block")
        tags = sorted(run.tag for run in runs_to_come(trial, runs) if run.tag)
        named = f" ({and_list(tags)})" if total == len(tags) <= FEW else ""
        yield f"{count_of(total, 'run')} {'is' if total == 1 else 'are'} not made yet: {where}{named}."


def measures_missing(trial: Trial, runs: Sequence[Run]) -> Iterator[str]:
    """What was not measured in runs that were made, a sentence for all that lack the same."""
    by_lack: dict[tuple[str, ...], list[str]] = {}
    for run, names in runs_lacking(trial, runs):
        by_lack.setdefault(names, []).append(_name(run))
    for names, tags in by_lack.items():
        words = " and no ".join(SPOKEN_AS.get(name, name) for name in names)
        yield f"{and_list(sorted(tags))} {'has' if len(tags) == 1 else 'have'} no {words} yet."


def _name(run: Run) -> str:
    return run.tag or f"a run of pair {run.pair}"
