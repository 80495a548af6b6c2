"""Checks on the water: steady-water, water-temp, soap-and-cloud."""

from collections.abc import Sequence
from statistics import fmean

from schemas import Run
from trials.fairness import thresholds
from trials.fairness.evidence import Check, Evidence, arm_means
from trials.fairness.lean import lean_of, leaning
from trials.fairness.remark import ByArm, NamedRuns, Remark, against, more_or_less, not_recorded, percent_more, remark
from trials.measures.pairing import Pair
from trials.wording.lists import capital, in_pairs
from trials.wording.numbers import figures

RETIME = "Re-time the bucket before each run."
SETTLING = "settling speed"
BY_EYE_WORDS = {
    "cloud": ("Cloud of the water", "", "Same tub for both halves of a pair."),
    "clay": ("Clay in the feed", "", "Break up and mix the lot before it is halved."),
}
CLOSE_TOGETHER = "Cold slows fine gold's settling; run pairs close together."


def steady_water(evidence: Evidence) -> Sequence[Remark]:
    """Did the water hold from start to end of each run, and was it the same in both arms?

    Where water is the change itself, only start and end are compared.
    """
    if not evidence.unstruck:
        return []
    if all(run.water_l_min is None for run in evidence.unstruck):
        return not_recorded("The water was not read in any run")
    found = [*unsteady_runs(evidence.unstruck), *_unlike_arms(evidence)]
    if not found and all(rise_percent(run) is None for run in evidence.unstruck):
        return not_recorded("The water at the end of each run was not read")
    return found


def rise_percent(run: Run) -> float | None:
    """By how much the water of a run rose from start to end, in %; None where either was not read."""
    if run.water_l_min is None or run.water_end_l_min is None:
        return None
    return 100.0 * (run.water_end_l_min / run.water_l_min - 1.0)


def unsteady_runs(runs: Sequence[Run], *, names_others: bool = True) -> list[Remark]:
    """In which of these runs did the water not hold? The worst is told, and of pairs which others."""
    rises = [(rise, run) for run in runs if (rise := rise_percent(run)) is not None]
    off = [(rise, run) for rise, run in rises if thresholds.past(abs(rise), thresholds.WATER_IN_A_RUN_PERCENT)]
    if not off:
        return []
    rise, worst = max(off, key=lambda one: abs(one[0]))
    pairs = [run.pair for _, run in off]
    others = tuple(sorted({*pairs} - {worst.pair})) if names_others else ()
    return remark("WEAKENS", pairs, _unsteady, rise, NamedRuns.of([worst]), others, but=_rose_or_fell)


def _rose_or_fell(rise_percent: float, worst: NamedRuns, _: Sequence[int] = ()) -> str:
    return f"the water {'rose' if rise_percent > 0 else 'fell'} {figures(abs(rise_percent), 2)} % in {worst}"


def _unsteady(rise_percent: float, worst: NamedRuns, others: Sequence[int]) -> str:
    also = f", and by over {thresholds.WATER_IN_A_RUN_PERCENT:g} % in {in_pairs(others)} too" if others else ""
    said = f"{capital(_rose_or_fell(rise_percent, worst))}{also}"
    said = f"{said} (over {thresholds.WATER_IN_A_RUN_PERCENT:g} %, our default)."
    return f"{said} Clean the filter, re-time the bucket."


def _mean_water(run: Run) -> float | None:
    readings = [water for water in (run.water_l_min, run.water_end_l_min) if water is not None]
    return fmean(readings) if readings else None


def _unlike_arms(evidence: Evidence) -> list[Remark]:
    change = evidence.trial.change
    if change is not None and change.variable == "water":
        return []
    means = arm_means(evidence, _mean_water)
    if means is not None and thresholds.past(abs(percent_more(means)), thresholds.WATER_BETWEEN_ARMS_PERCENT):
        return remark("WEAKENS", (), _watered, means, but=_had_more_water)
    lean = lean_of(evidence, _mean_water, thresholds.WATER_BETWEEN_ARMS_PERCENT, in_percent=True)
    return leaning(evidence, lean, ("Water", "L/min", RETIME), lean.percent) if lean else []


def _had_more_water(means: ByArm[float]) -> str:
    return more_or_less(means, "had", "less water", "more water")


def _watered(means: ByArm[float]) -> str:
    had = f"{capital(_had_more_water(means))}, {against(means)} L/min"
    return f"{had} (over {thresholds.WATER_BETWEEN_ARMS_PERCENT:g} %, our default). {RETIME}"


def water_temp(evidence: Evidence) -> Sequence[Remark]:
    """Was the water of both halves of each pair about as cold, and not a little warmer for one set-up each time?"""
    gaps = [(gap, pair) for pair in evidence.whole if (gap := _gap_c(pair)) is not None]
    if not gaps:
        return not_recorded("The water's temperature was not recorded for both halves of any pair")
    apart = _pairs_apart(gaps)
    if any(one.severity == "WEAKENS" for one in apart):
        return apart
    lean = lean_of(evidence, lambda run: run.temp_c, thresholds.TEMP_APART_NOTE_C)
    what = ("Water temperature", "C", CLOSE_TOGETHER)
    return leaning(evidence, lean, what, thresholds.SETTLING_PERCENT_PER_C * lean.gap, SETTLING) if lean else apart


def _pairs_apart(gaps: Sequence[tuple[float, Pair]]) -> list[Remark]:
    off = [(gap, pair) for gap, pair in gaps if thresholds.past(gap, thresholds.TEMP_APART_NOTE_C)]
    if not off:
        return []
    gap, worst = max(off, key=lambda one: one[0])
    weakens = bool(thresholds.past(gap, thresholds.TEMP_APART_WEAKENS_C))
    pairs = [pair.number for _, pair in off]
    others = tuple(number for number in pairs if number != worst.number)
    also = f", and over {thresholds.TEMP_APART_NOTE_C:g} C apart in {in_pairs(others)}" if others else ""
    limit = thresholds.TEMP_APART_WEAKENS_C if weakens else thresholds.TEMP_APART_NOTE_C
    said = f"Pair {worst.number}: {_temps(worst)} C{also} (over {limit:g} C, our default)."
    but = f"the halves of pair {worst.number} were {figures(gap, 2)} C apart"
    return remark("WEAKENS" if weakens else "NOTE", pairs, str, f"{said} {CLOSE_TOGETHER}", but=but)


def _temps(pair: Pair) -> str:
    """The temperatures in the order of the runs; where that is not known, the colder first."""
    temps = [run.temp_c or 0.0 for run in pair.halves]
    if pair.first is None:
        return " and ".join(map(figures, sorted(temps)))
    return " then ".join(map(figures, temps if pair.first == "baseline" else temps[::-1]))


def _gap_c(pair: Pair) -> float | None:
    temps = [run.temp_c for run in pair.halves if run.temp_c is not None]
    return abs(temps[0] - temps[1]) if len(temps) == 2 else None


def soap_and_cloud(evidence: Evidence) -> Sequence[Remark]:
    """Had both arms the same dose of wetting aid, water as cloudy, and feed as full of clay?

    The dose is silent where it is the change itself. An arm without any dose on record, beside one that was dosed, is
    taken for undosed.
    """
    clouds = [one for name, what in BY_EYE_WORDS.items() for one in _by_eye_leans(evidence, name, what)]
    doses = _doses(evidence)
    return [*clouds, *(one for one in doses if one.severity != "not recorded")] if clouds else doses


def _by_eye_leans(evidence: Evidence, name: str, what: tuple[str, str, str]) -> list[Remark]:
    lean = lean_of(evidence, lambda run: getattr(run, name), thresholds.CLOUD_APART)
    return leaning(evidence, lean, what, None) if lean else []


def _doses(evidence: Evidence) -> list[Remark]:
    change = evidence.trial.change
    if change is not None and change.variable == "wetting aid":
        return []
    arms = [[run for run in evidence.unstruck if run.arm == arm] for arm in evidence.trial.arms]
    doses = [[dose for run in runs if (dose := run.wetting_drops_10l) is not None] for runs in arms]
    if not all(arms):
        return []
    if not any(doses):
        return not_recorded("Wetting aid was not recorded in any run")
    means = [fmean(values) if values else 0.0 for values in doses]
    drops = ByArm(means[0], means[1], evidence.trial.arms)
    if not thresholds.past(drops.most, drops.least * (1.0 + thresholds.DOSE_BETWEEN_ARMS_PERCENT / 100.0)):
        return []
    return remark("WEAKENS", (), _unlike_doses, drops, but=_dosed_apart)


def _dosed_apart(drops: ByArm[float]) -> str:
    called = "arm" if drops.arms else "set-up"
    if drops.least > 0:
        return f"wetting aid differs between the {called}s"
    return f"wetting aid was in {f'the {drops.whose}' if drops.whose else 'one'} {called} only"


def _unlike_doses(drops: ByArm[float]) -> str:
    said = capital(_dosed_apart(drops))
    if drops.least == 0:
        return f"{said}, {figures(drops.most)} drops in 10 L. Same dose, fresh tub."
    doses = f"{figures(drops.one)} against {figures(drops.other)} drops in 10 L"
    return f"{said}: {doses} (over {thresholds.DOSE_BETWEEN_ARMS_PERCENT:g} %, our default). Same dose, fresh tub."


STEADY_WATER = Check("steady-water", "water at start and end of each run, and by arm", steady_water)
WATER_TEMP = Check(
    "water-temp",
    "water temperature in the two halves",
    water_temp,
    "Walsh and Rao, MIRL Report 76, 1988: temperature changes how gold settles",
)
SOAP_AND_CLOUD = Check("soap-and-cloud", "wetting aid, cloud of the water and clay in the feed, by arm", soap_and_cloud)
