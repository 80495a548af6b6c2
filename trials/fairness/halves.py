"""Checks on the two halves of a pair: control-there, split-tool, like-halves, same-lot, same-session."""

from collections.abc import Mapping, Sequence

import numpy as np

from schemas import Lot, Run, SizeCatch, Trial, is_made
from trials.fairness import thresholds
from trials.fairness.evidence import Check, Evidence
from trials.fairness.lean import COULD_MAKE, how_often, lean_of, leaning, weight_of
from trials.fairness.remark import ByArm, Remark, not_recorded, remark
from trials.fairness.stops import fed_gap_percent, has_unlike_halves
from trials.measures.classes import labels_coarse_first
from trials.measures.pairing import Pair
from trials.units.sieves import read_size_class
from trials.units.unit_error import UnitError
from trials.wording.lists import and_list, capital, in_pairs, pairs_in_short
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
    """Were the halves of each pair of like mass, and the gold found in them of like size?

    The gap is given in % of their mean. Small gaps that lean to one side are told of where more dirt is more gold, and
    so is moisture, which is weighed with the dirt and holds no gold. The share of the coarsest size class in all gold
    found, kept and lost, is that of the dirt: it leans where halves were screened apart.
    """
    found = [*_like_masses(evidence), *_moisture_leans(evidence), *_coarse_gold_leans(evidence)]
    told = [one for one in found if one.severity != "not recorded"]
    return told or found


def _like_masses(evidence: Evidence) -> Sequence[Remark]:
    of_pair = {pair.number: fed for pair in evidence.whole if (fed := _fed_g(pair)) is not None}
    if not of_pair:
        return not_recorded("The mass fed was not recorded for both halves of any pair")
    fed_g = np.array(list(of_pair.values()))
    gaps = dict(zip(of_pair, fed_gap_percent(fed_g).tolist(), strict=True))
    off = {number: abs(gap) for number, gap in gaps.items() if abs(gap) > thresholds.HALVES_DIFFER_WEAKENS_PERCENT}
    if not off:
        return _leaning_halves(evidence)
    stops = has_unlike_halves(evidence.pairing.measure, fed_g)
    limit = thresholds.HALVES_DIFFER_STOP_PERCENT if stops else thresholds.HALVES_DIFFER_WEAKENS_PERCENT
    worst = max(off, key=lambda number: off[number])
    others = [number for number in off if number != worst]
    also = f", and by over {thresholds.HALVES_DIFFER_WEAKENS_PERCENT:g} % in {in_pairs(others)}" if others else ""
    gap = f"Pair {worst}: halves differ by {figures(off[worst], 2)} %{also}"
    said = f"{gap} (over {limit:g} %, our default). Re-split by weight."
    where = pairs_in_short(sorted(off), len(of_pair))
    but = f"the halves of {where} differ by {'up to ' if others else ''}{figures(off[worst], 2)} %"
    return remark("STOP" if stops else "WEAKENS", off, str, said, but=but)


def _leaning_halves(evidence: Evidence) -> list[Remark]:
    """Were the halves of one arm heavier nearly each time?"""
    if not evidence.pairing.measure.needs_like_halves:
        return []
    lean = lean_of(evidence, lambda run: run.fed_g, thresholds.HALVES_LEAN_PERCENT, in_percent=True)
    if lean is None:
        return []
    severity = weight_of(evidence, lean.percent)
    could = f" {COULD_MAKE}." if severity == "WEAKENS" else ""
    heavier = ByArm(-lean.percent, lean.percent, evidence.trial.arms)
    return remark(severity, (), _halves_lean, heavier, lean.ways, could, but=_were_heavier)


def _were_heavier(heavier: ByArm[float], _: ByArm[int], __: str) -> str:
    whose = f"the {heavier.whose} arm" if heavier.whose else "one set-up"
    return f"the halves of {whose} were {figures(heavier.most, 2)} % heavier on the whole"


def _halves_lean(heavier: ByArm[float], ways: ByArm[int], could: str) -> str:
    said = f"{capital(_were_heavier(heavier, ways, could))}, and so {how_often(ways)}."
    return f"{said} They hold as much more gold.{could} Re-split by weight."


def _moisture_leans(evidence: Evidence) -> list[Remark]:
    if not evidence.pairing.measure.needs_like_halves:
        return []
    lean = lean_of(evidence, lambda run: run.moisture_percent, thresholds.MOISTURE_APART_PERCENT)
    what = ("Moisture of the feed", "%", "Dry a sample of each half, and weigh dry dirt alike.")
    return leaning(evidence, lean, what, lean.gap, "moisture") if lean else []


def _coarse_gold_leans(evidence: Evidence) -> list[Remark]:
    lean = lean_of(evidence, lambda run: _coarse_percent(run, evidence.trial), thresholds.COARSE_SHARE_APART_PERCENT)
    what = ("Coarse gold as a share of all found", "%", "Screen the lot once, before it is halved.")
    return leaning(evidence, lean, what, lean.gap, "coarse gold") if lean else []


def _coarse_percent(run: Run, trial: Trial) -> float | None:
    """The coarsest size class in % of all gold found, kept and lost; None where it was not told by size."""
    found = {part.label: _found_in(part) for part in run.classes if part.seeded is None}
    known = {label: amount for label, amount in found.items() if amount is not None}
    total = sum(known.values())
    if len(found) < 2 or len(known) < len(found) or total == 0:
        return None
    return 100.0 * known[labels_coarse_first(known, trial.sizes.series)[0]] / total


def _found_in(part: SizeCatch) -> float | None:
    if part.gold_mg is None and part.tails_gold_mg is None:
        return part.grains
    return (part.gold_mg or 0.0) + (part.tails_gold_mg or 0.0)


def same_lot(evidence: Evidence) -> Sequence[Remark]:
    """Are the two halves of each pair from one lot? Said once, of all pairs that are not."""
    lots = {pair.number: [run.fed_lot for run in pair.halves if run.fed_lot is not None] for pair in evidence.whole}
    named = {number: both for number, both in lots.items() if len(both) == 2}
    if not named and len(evidence.trial.lots) > 1:
        return not_recorded("Which lot each run was fed from was not recorded")
    mixed = {number: both for number, both in named.items() if both[0] != both[1]}
    if not mixed:
        return []
    number, both = next(iter(mixed.items()))
    others = [other for other in mixed if other != number]
    also = f", and from two lots in {in_pairs(others)} too" if others else ""
    return remark("STOP", mixed, _two_lots, number, ByArm(both[0], both[1], evidence.trial.arms), also)


def _two_lots(number: int, lots: ByArm[str], also: str) -> str:
    came = f"Pair {number}: halves came from {lots.one} and {lots.other}{also}."
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
LIKE_HALVES = Check(
    "like-halves", "mass and moisture of the two halves, and the size of the gold found in them", like_halves
)
SAME_LOT = Check("same-lot", "the lot of each half", same_lot)
SAME_SESSION = Check("same-session", "the session of each half", same_session)


UNEVEN: Mapping[str, str] = {"shovel": "split by shovel", "level scoops": "split by level scoops", "none": "not split"}


def split_evenly(evidence: Evidence) -> Sequence[Remark]:
    """Was coarse gold split by shovel, by scoops, or not at all?

    Recovery with all tails caught is silent: each run is judged by its own gold, and an uneven split leaves the
    share kept alone. So are tracers, which are counted into each run. Gold is taken for coarse unless the size of
    the lot, or of what was pulled out of it, is known to end at 50 mesh (0.3 mm); any picker found says coarse. A lot
    that was not split at all is told of whatever its size: heavies lie at the bottom of a bucket.
    """
    trial = evidence.trial
    measure = evidence.pairing.measure
    if not measure.needs_like_halves and (trial.tails.caught == "all" or not measure.needs_tails):
        return []
    lots = _lots_fed(evidence)
    uneven = [lot for lot in lots if lot.splitting in UNEVEN and _is_coarse(lot, evidence)]
    if not uneven:
        uneven = [lot for lot in lots if lot.splitting == "none"]
    if uneven and not measure.needs_like_halves and trial.tails.caught is None:
        return not_recorded("How the tails were caught was not recorded, so the split may matter or not")
    if uneven:
        tools = list(dict.fromkeys(UNEVEN[lot.splitting or "none"] for lot in uneven))
        names = "" if len(uneven) == len(lots) else f"Lot {and_list([lot.name for lot in uneven])} was "
        coarse = any(_is_coarse(lot, evidence) for lot in uneven)
        how = f"{names}{and_list(tools)}"
        but = f"{how[0].lower()}{how[1:]}" if names else f"the lot was {how}"
        return remark("WEAKENS", (), str, _split_unevenly(how, coarse=coarse), but=but)
    unknown = [lot.name for lot in lots if lot.splitting is None]
    if unknown:
        of = f" of {and_list(unknown)}" if len(trial.lots) > 1 else ""
        return not_recorded(f"What split the lot{of} was not recorded")
    return []


def _split_unevenly(how: str, *, coarse: bool) -> str:
    why = (
        f"heavy grains fall unevenly (sizes over {thresholds.COARSE_OVER_MM:g} mm, our default)"
        if coarse
        else "heavies lie at the bottom, fine ones too"
    )
    return f"{capital(how)}: {why}. Use a riffle splitter, or pair on closed tails."


def _lots_fed(evidence: Evidence) -> list[Lot]:
    """The lots the runs were fed from; all of the plan where the runs do not say."""
    named = {run.fed_lot for run in evidence.unstruck} - {None}
    return [lot for lot in evidence.trial.lots if lot.name in named] or list(evidence.trial.lots)


def _is_coarse(lot: Lot, evidence: Evidence) -> bool:
    if any(run.pickers_mg for run in evidence.unstruck):
        return True
    tops = [top for top in (_top_mm(lot, evidence.trial.sizes.series), lot.pickers_over_mm) if top is not None]
    return not tops or bool(thresholds.past(min(tops), thresholds.COARSE_OVER_MM))


def _top_mm(lot: Lot, series: str | None) -> float | None:
    if lot.size is None:
        return None
    try:
        return read_size_class(lot.size, series).upper_mm
    except UnitError:  # a mesh without its series: the top is not known
        return None


SPLIT_TOOL = Check(
    "split-tool",
    "what split the lot, and how coarse it is",
    split_evenly,
    "Wells, Placer Examination, BLM Technical Bulletin 4, 1969, on shovel splits; Minnitt, Sampling Science & "
    "Technology, doi 10.62178/sst.005.002: variance over mean up to 19 for scoops, under 1 for a riffle splitter",
)
