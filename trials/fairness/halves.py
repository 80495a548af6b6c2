"""Checks on the two halves of a pair: control-there, like-halves, same-lot, same-session."""

from collections.abc import Sequence
from statistics import fmean

from schemas import Finding, is_made
from trials.fairness.evidence import Check, Evidence, not_recorded
from trials.fairness.telling import finding, past
from trials.fairness.thresholds import (
    ARM_MEANS_NEED_RUNS,
    HALVES_DIFFER_STOP_PERCENT,
    HALVES_DIFFER_WEAKENS_PERCENT,
    HALVES_LEAN_NOTE_PERCENT,
)
from trials.measures.pairing import Pair
from trials.wording.lists import and_list, in_pairs
from trials.wording.numbers import figures


def control_there(evidence: Evidence) -> Sequence[Finding]:
    """Has every passed pair an unchanged half beside the changed one? Silent where nothing was changed."""
    if evidence.trial.change is None:
        return []
    other = {evidence.trial.arms[1]}
    alone = [pair.number for pair in evidence.passed if {run.arm for run in pair.halves if is_made(run)} == other]
    if not alone:
        return []
    return [
        Finding(
            check=CONTROL_THERE.name,
            severity="STOP",
            message=f"No unchanged half in {in_pairs(alone)}. Any second pass finds gold; "
            "run the other half unchanged.",
            pairs=tuple(alone),
        )
    ]


def _fed_gap_percent(pair: Pair) -> float | None:
    """By how much the second half of a pair on record is heavier than the first, in % of their mean."""
    fed = [run.fed_g for run in pair.halves]
    if len(fed) < 2 or fed[0] is None or fed[1] is None:
        return None
    return 200.0 * (fed[1] - fed[0]) / (fed[0] + fed[1])


def like_halves(evidence: Evidence) -> Sequence[Finding]:
    """Were the halves of each pair of like mass? The gap is given in % of their mean.

    Small gaps that all lean to one side are told of where more dirt is more gold: their mean, from 3 pairs.
    """
    leans = {pair.number: gap for pair in evidence.whole if (gap := _fed_gap_percent(pair)) is not None}
    if not leans:
        return not_recorded(LIKE_HALVES.name, "The mass fed was not recorded for both halves of any pair")
    gaps = {number: abs(gap) for number, gap in leans.items()}
    off = {number: gap for number, gap in gaps.items() if gap > HALVES_DIFFER_WEAKENS_PERCENT}
    if not off:
        return _leaning_halves(evidence, list(leans.values()))
    worst = max(off, key=lambda number: off[number])
    stops = off[worst] > HALVES_DIFFER_STOP_PERCENT and evidence.pairing.measure.needs_like_halves
    limit = HALVES_DIFFER_STOP_PERCENT if stops else HALVES_DIFFER_WEAKENS_PERCENT
    others = [number for number in off if number != worst]
    also = f", and by over {HALVES_DIFFER_WEAKENS_PERCENT:g} % in {in_pairs(others)}" if others else ""
    return [
        Finding(
            check=LIKE_HALVES.name,
            severity="STOP" if stops else "WEAKENS",
            message=f"Pair {worst}: halves differ by {figures(off[worst], 2)} %{also} (over {limit:g} %, our "
            "default). Re-split by weight.",
            pairs=tuple(off),
        )
    ]


def _leaning_halves(evidence: Evidence, gaps: Sequence[float]) -> list[Finding]:
    """Were the halves of one arm heavier on the whole?"""
    mean = fmean(gaps)
    few = len(gaps) < ARM_MEANS_NEED_RUNS or not evidence.pairing.measure.needs_like_halves
    if few or not past(abs(mean), HALVES_LEAN_NOTE_PERCENT):
        return []
    said = (
        f"Halves of the {evidence.trial.arms[int(mean > 0)]} arm were {figures(abs(mean), 2)} % heavier on the whole "
        f"(over {HALVES_LEAN_NOTE_PERCENT:g} %, our default), and hold as much more gold. Re-split by weight."
    )
    return finding(LIKE_HALVES.name, "NOTE", said)


def same_lot(evidence: Evidence) -> Sequence[Finding]:
    """Are the two halves of each pair from one lot?"""
    named = [pair for pair in evidence.whole if all(run.fed_lot is not None for run in pair.halves)]
    if not named and len(evidence.trial.lots) > 1:
        return not_recorded(SAME_LOT.name, "Which lot each run was fed from was not recorded")
    mixed = [pair for pair in named if len({run.fed_lot for run in pair.halves}) > 1]
    return [
        Finding(
            check=SAME_LOT.name,
            severity="STOP",
            message=f"Pair {pair.number}: halves came from {and_list([run.fed_lot for run in pair.halves])}. "
            "A pair is two halves of one lot; split one lot and run both halves.",
            pairs=(pair.number,),
        )
        for pair in mixed
    ]


def same_session(evidence: Evidence) -> Sequence[Finding]:
    """Were both halves of each pair run in one sitting?"""
    named = [pair for pair in evidence.whole if all(run.session for run in pair.halves)]
    if not named:
        return not_recorded(SAME_SESSION.name, "The session of each run was not recorded")
    apart = [pair.number for pair in named if len({run.session for run in pair.halves}) > 1]
    if not apart:
        return []
    spans = "spans" if len(apart) == 1 else "span"
    return [
        Finding(
            check=SAME_SESSION.name,
            severity="WEAKENS",
            message=f"{in_pairs(apart).capitalize()} {spans} two sessions. Run both halves in one sitting.",
            pairs=tuple(apart),
        )
    ]


CONTROL_THERE = Check(
    "control-there",
    "passed pairs with a changed half only",
    "Wells, Placer Examination, BLM Technical Bulletin 4, 1969, for the practice of checking one's own method",
    control_there,
)
LIKE_HALVES = Check("like-halves", "mass fed to the two halves", "common practice, no source", like_halves)
SAME_LOT = Check("same-lot", "the lot of each half", "common practice, no source", same_lot)
SAME_SESSION = Check("same-session", "the session of each half", "common practice, no source", same_session)
