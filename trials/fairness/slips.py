"""Checks on numbers that were typed or read wrong: slip, look-again."""

from collections.abc import Iterator, Sequence
from statistics import median

from schemas import Run
from schemas.verdict import Severity
from trials.fairness.evidence import Check, Evidence
from trials.fairness.remark import NamedRuns, Remark, remark
from trials.fairness.stops import is_far_from_middle
from trials.fairness.thresholds import SLIP_NEEDS_OTHERS, SLIP_TIMES, past
from trials.records.bounds import IMPOSSIBLE, quantity_text
from trials.records.doubts import Doubt, doubts_of_all
from trials.wording.lists import and_list, capital
from trials.wording.steps import correct_step, step

MOST_TOLD = 3


def slip(evidence: Evidence) -> Sequence[Remark]:
    """Is one run so far from the middle of the other runs of its arm that a unit or a point must have slipped?

    Looked at is each reading that the measure is made of. One of none says nothing here, nor one that its largest piece
    explains, or that was looked at again and stands. Before the planned end all runs are held together, and the pair is
    named and not the half.
    """
    arms = list(zip(*(pair.halves for pair in evidence.measured), strict=True))
    groups = arms if evidence.ended else [sum(arms, ())]
    names = evidence.pairing.measure.inputs
    far = [one for runs in groups for name in names for one in _far_off(runs, name)]
    if not far:
        return []
    far.sort(key=lambda one: (one[0].pair, one[1], one[2]))
    parts = [part for run, name, value in far for part in (_called(run, evidence), quantity_text(name, value))]
    worst, column, _ = far[0]
    tag = (worst.tag if evidence.ended else None) or ""
    whose = "of its set-up " if evidence.ended else ""
    return remark("STOP", [run.pair for run, _, _ in far], _slip_words, evidence.trial.name, tag, column, whose, *parts)


def _called(run: Run, evidence: Evidence) -> NamedRuns | str:
    return NamedRuns.of([run]) if evidence.ended else f"a run of pair {run.pair}"


def _far_off(runs: Sequence[Run], name: str) -> Iterator[tuple[Run, str, float]]:
    """Runs whose reading of that name lies far from the middle of the others, with it."""
    readings = [(run, float(value)) for run in runs if (value := getattr(run, name))]
    found = [value for _, value in readings]
    if not found or not past(max(found) / min(found), SLIP_TIMES):  # no two lie so far apart
        return
    for run, value in readings:
        others = [other for one, other in readings if one is not run]
        if len(others) < SLIP_NEEDS_OTHERS or name in run.stands:
            continue
        middle = median(others)
        without_piece = value - (run.largest_mg or 0.0) if name == "gold_mg" else value
        is_one_piece = without_piece < value and without_piece <= SLIP_TIMES * middle
        if is_far_from_middle(value, middle) and not is_one_piece:
            yield run, name, value


def _slip_words(trial: str, tag: str, column: str, whose: str, *parts: object) -> str:
    has = and_list([f"{run} has {shown}" for run, shown in zip(parts[::2], parts[1::2], strict=True)])
    return (
        f"{capital(has)}, over {SLIP_TIMES:g} times from the middle of the other runs {whose}(our default). "
        f"{capital(correct_step(trial, tag))}; or, {_stands(trial, tag, f'--set as_typed={column}')}."
    )


def _stands(trial: str, tag: str, setting: str) -> str:
    return step(f"if it stands: samedirt enter {trial} {tag or 'TAG'} {setting}", "if it stands, say so there")


def odd_numbers(evidence: Evidence) -> Sequence[Remark]:
    """Which numbers can't be, and which are unlike the plan and all other runs? Not those that were said to stand.

    Before the planned end the pair is named and not the half.
    """
    runs = [run for pair in evidence.pairing.pairs if pair.state != "void" for run in pair.halves]
    doubts = doubts_of_all(evidence.trial, runs)
    doubts.sort(key=lambda both: (both[0].pair, both[1].field, both[1].says))
    impossible = [(run, doubt) for run, doubt in doubts if doubt.odd in IMPOSSIBLE]
    unlikely = [(run, doubt) for run, doubt in doubts if doubt.odd not in IMPOSSIBLE]
    return [*_told("WEAKENS", impossible, evidence), *_told("NOTE", unlikely, evidence)]


def _told(severity: Severity, doubts: Sequence[tuple[Run, Doubt]], evidence: Evidence) -> list[Remark]:
    if not doubts:
        return []
    told = doubts[:MOST_TOLD]
    parts = [part for run, one in told for part in (_called(run, evidence), f"{one.field}: {one.says}")]
    more = len(doubts) - len(told)
    return remark(severity, [run.pair for run, _ in doubts], _odd_words, evidence.trial.name, more, *parts)


def _odd_words(trial: str, more: int, *parts: object) -> str:
    told = "; ".join(f"{run}, {says}" for run, says in zip(parts[::2], parts[1::2], strict=True))
    others = f"; and {more} more" if more else ""
    return f"{capital(told)}{others}. {capital(correct_step(trial))}; or, {_stands(trial, '', '--as-typed')}."


SLIP = Check("slip", "what the measure reads of each run, beside the other runs of its arm", slip)
LOOK_AGAIN = Check("look-again", "numbers beside the scale, the dirt fed, the plan and the other runs", odd_numbers)
