"""Checks on the two halves of a pair: control-there, like-halves, same-lot, same-session."""

from collections.abc import Sequence
from statistics import fmean

import numpy as np

from schemas import is_made
from trials.fairness.evidence import Check, Evidence
from trials.fairness.remark import ByArm, Remark, not_recorded, remark
from trials.fairness.stops import fed_gap_percent, has_unlike_halves
from trials.fairness.thresholds import (
    ARM_MEANS_NEED_RUNS,
    HALVES_DIFFER_STOP_PERCENT,
    HALVES_DIFFER_WEAKENS_PERCENT,
    HALVES_LEAN_NOTE_PERCENT,
    past,
)
from trials.measures.pairing import Pair
from trials.wording.lists import in_pairs, pairs_in_short
from trials.wording.numbers import figures

NO_CONTROL = "No unchanged half in {}. Any second pass finds gold; run the other half unchanged."


def control_there(evidence: Evidence) -> Sequence[Remark]:
    """Has every passed pair an unchanged half beside the changed one? Silent where nothing was changed."""
    if evidence.trial.change is None:
        return []
    other = {evidence.trial.arms[1]}
    alone = [pair.number for pair in evidence.passed if {run.arm for run in pair.halves if is_made(run)} == other]
    return remark("STOP", alone, NO_CONTROL.format, in_pairs(alone)) if alone else []


def _fed_g(pair: Pair) -> tuple[float, float] | None:
    fed = [run.fed_g for run in pair.halves]
    return None if len(fed) < 2 or fed[0] is None or fed[1] is None else (fed[0], fed[1])


def like_halves(evidence: Evidence) -> Sequence[Remark]:
    """Were the halves of each pair of like mass? The gap is given in % of their mean.

    Small gaps that all lean to one side are told of where more dirt is more gold: their mean, from 3 pairs.
    """
    of_pair = {pair.number: fed for pair in evidence.whole if (fed := _fed_g(pair)) is not None}
    if not of_pair:
        return not_recorded("The mass fed was not recorded for both halves of any pair")
    fed_g = np.array(list(of_pair.values()))
    gaps = dict(zip(of_pair, fed_gap_percent(fed_g).tolist(), strict=True))
    off = {number: abs(gap) for number, gap in gaps.items() if abs(gap) > HALVES_DIFFER_WEAKENS_PERCENT}
    if not off:
        return _leaning_halves(evidence, list(gaps.values()))
    stops = has_unlike_halves(evidence.pairing.measure, fed_g)
    limit = HALVES_DIFFER_STOP_PERCENT if stops else HALVES_DIFFER_WEAKENS_PERCENT
    worst = max(off, key=lambda number: off[number])
    others = [number for number in off if number != worst]
    also = f", and by over {HALVES_DIFFER_WEAKENS_PERCENT:g} % in {in_pairs(others)}" if others else ""
    gap = f"Pair {worst}: halves differ by {figures(off[worst], 2)} %{also}"
    said = f"{gap} (over {limit:g} %, our default). Re-split by weight."
    where = pairs_in_short(sorted(off), len(of_pair))
    but = f"the halves of {where} differ by {'up to ' if others else ''}{figures(off[worst], 2)} %"
    return remark("STOP" if stops else "WEAKENS", off, str, said, but=but)


def _leaning_halves(evidence: Evidence, gaps: Sequence[float]) -> list[Remark]:
    """Were the halves of one arm heavier on the whole?"""
    mean = fmean(gaps)
    if len(gaps) < ARM_MEANS_NEED_RUNS or not evidence.pairing.measure.needs_like_halves:
        return []
    heavier = ByArm(-mean, mean, evidence.trial.arms)
    return remark("NOTE", (), _halves_lean, heavier) if past(abs(mean), HALVES_LEAN_NOTE_PERCENT) else []


def _halves_lean(heavier: ByArm[float]) -> str:
    whose = f"the {heavier.whose} arm" if heavier.whose else "one set-up"
    return (
        f"Halves of {whose} were {figures(heavier.most, 2)} % heavier on the whole (over "
        f"{HALVES_LEAN_NOTE_PERCENT:g} %, our default), and hold as much more gold. Re-split by weight."
    )


def same_lot(evidence: Evidence) -> Sequence[Remark]:
    """Are the two halves of each pair from one lot?"""
    lots = {pair.number: [run.fed_lot for run in pair.halves if run.fed_lot is not None] for pair in evidence.whole}
    named = {number: both for number, both in lots.items() if len(both) == 2}
    if not named and len(evidence.trial.lots) > 1:
        return not_recorded("Which lot each run was fed from was not recorded")
    arms = evidence.trial.arms
    mixed = {number: ByArm(both[0], both[1], arms) for number, both in named.items() if both[0] != both[1]}
    return [one for number, both in mixed.items() for one in remark("STOP", [number], _two_lots, number, both)]


def _two_lots(number: int, lots: ByArm[str]) -> str:
    came = f"Pair {number}: halves came from {lots.one} and {lots.other}."
    return f"{came} A pair is two halves of one lot; split one lot and run both halves."


def same_session(evidence: Evidence) -> Sequence[Remark]:
    """Were both halves of each pair run in one sitting?"""
    named = [pair for pair in evidence.whole if all(run.session for run in pair.halves)]
    if not named:
        return not_recorded("The session of each run was not recorded")
    apart = [pair.number for pair in named if len({run.session for run in pair.halves}) > 1]
    if not apart:
        return []
    spans = "spans" if len(apart) == 1 else "span"
    said = f"{in_pairs(apart).capitalize()} {spans} two sessions. Run both halves in one sitting."
    but = f"{pairs_in_short(apart, len(named))} {spans} two sessions"
    return remark("WEAKENS", apart, str, said, but=but)


CONTROL_THERE = Check(
    "control-there",
    "passed pairs with a changed half only",
    control_there,
    "Wells, Placer Examination, BLM Technical Bulletin 4, 1969, for the practice of checking one's own method",
)
LIKE_HALVES = Check("like-halves", "mass fed to the two halves", like_halves)
SAME_LOT = Check("same-lot", "the lot of each half", same_lot)
SAME_SESSION = Check("same-session", "the session of each half", same_session)
