"""split-tool: did the tool that split the lot share its heavy grains out evenly?"""

from collections.abc import Mapping, Sequence

from schemas import Lot
from trials.fairness.evidence import Check, Evidence
from trials.fairness.remark import Remark, not_recorded, remark
from trials.fairness.thresholds import COARSE_OVER_MM, past
from trials.units.sieves import read_size_class
from trials.units.unit_error import UnitError
from trials.wording.lists import and_list, capital

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
        f"heavy grains fall unevenly (sizes over {COARSE_OVER_MM:g} mm, our default)"
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
    return not tops or bool(past(min(tops), COARSE_OVER_MM))


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
