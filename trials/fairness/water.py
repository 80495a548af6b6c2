"""Checks on the water: steady-water, water-temp, soap-and-cloud."""

from collections.abc import Sequence
from statistics import fmean

from schemas import Finding, Run
from trials.fairness.evidence import Check, Evidence, not_recorded
from trials.fairness.telling import arm_means, finding, past, run_words
from trials.fairness.thresholds import (
    DOSE_BETWEEN_ARMS_PERCENT,
    TEMP_APART_NOTE_C,
    TEMP_APART_WEAKENS_C,
    WATER_BETWEEN_ARMS_PERCENT,
    WATER_IN_A_RUN_PERCENT,
)
from trials.measures.pairing import Pair
from trials.wording.lists import in_pairs
from trials.wording.numbers import figures


def steady_water(evidence: Evidence) -> Sequence[Finding]:
    """Did the water hold from start to end of each run, and was it the same in both arms?

    Where water is the change itself, only start and end are compared.
    """
    if not evidence.unstruck:
        return []
    if all(run.water_l_min is None for run in evidence.unstruck):
        return not_recorded(STEADY_WATER.name, "The water was not read in any run")
    found = [*_unsteady_runs(evidence), *_unlike_arms(evidence)]
    if not found and all(_rise_percent(run) is None for run in evidence.unstruck):
        return not_recorded(STEADY_WATER.name, "The water at the end of each run was not read")
    return found


def _rise_percent(run: Run) -> float | None:
    if run.water_l_min is None or run.water_end_l_min is None:
        return None
    return 100.0 * (run.water_end_l_min / run.water_l_min - 1.0)


def _unsteady_runs(evidence: Evidence) -> list[Finding]:
    rises = [(rise, run) for run in evidence.unstruck if (rise := _rise_percent(run)) is not None]
    off = [(rise, run) for rise, run in rises if past(abs(rise), WATER_IN_A_RUN_PERCENT)]
    if not off:
        return []
    rise, worst = max(off, key=lambda one: abs(one[0]))
    pairs = sorted({run.pair for _, run in off} - {worst.pair})
    also = f", and by over {WATER_IN_A_RUN_PERCENT:g} % in {in_pairs(pairs)} too" if pairs else ""
    return finding(
        STEADY_WATER.name,
        "WEAKENS",
        f"Water {'rose' if rise > 0 else 'fell'} {figures(abs(rise), 2)} % in {run_words(worst)}{also} (over "
        f"{WATER_IN_A_RUN_PERCENT:g} %, our default). Clean the filter, re-time the bucket.",
        [run.pair for _, run in off],
    )


def _mean_water(run: Run) -> float | None:
    readings = [water for water in (run.water_l_min, run.water_end_l_min) if water is not None]
    return fmean(readings) if readings else None


def _unlike_arms(evidence: Evidence) -> list[Finding]:
    change = evidence.trial.change
    means = arm_means(evidence, _mean_water)
    if means is None or (change is not None and change.variable == "water"):
        return []
    if not past(abs(means.percent_more), WATER_BETWEEN_ARMS_PERCENT):
        return []
    return finding(
        STEADY_WATER.name,
        "WEAKENS",
        f"{evidence.changed_words()} had {figures(abs(means.percent_more), 2)} % "
        f"{'more' if means.percent_more > 0 else 'less'} water, {figures(means.other)} against "
        f"{figures(means.baseline)} L/min (over {WATER_BETWEEN_ARMS_PERCENT:g} %, our default). Re-time the bucket "
        "before each run.",
    )


def water_temp(evidence: Evidence) -> Sequence[Finding]:
    """Was the water of both halves of each pair about as cold?"""
    gaps = [(gap, pair) for pair in evidence.whole if (gap := _gap_c(pair)) is not None]
    if not gaps:
        return not_recorded(WATER_TEMP.name, "The water's temperature was not recorded for both halves of any pair")
    off = [(gap, pair) for gap, pair in gaps if past(gap, TEMP_APART_NOTE_C)]
    if not off:
        return []
    gap, worst = max(off, key=lambda one: one[0])
    weakens = past(gap, TEMP_APART_WEAKENS_C)
    limit = TEMP_APART_WEAKENS_C if weakens else TEMP_APART_NOTE_C
    others = [pair.number for _, pair in off if pair is not worst]
    also = f", and over {TEMP_APART_NOTE_C:g} C apart in {in_pairs(others)}" if others else ""
    return finding(
        WATER_TEMP.name,
        "WEAKENS" if weakens else "NOTE",
        f"Pair {worst.number}: {_in_turn(worst)} C{also} (over {limit:g} C, our default). Cold slows fine gold's "
        "settling; run pairs close together.",
        [pair.number for _, pair in off],
    )


def _gap_c(pair: Pair) -> float | None:
    temps = [run.temp_c for run in pair.halves if run.temp_c is not None]
    return abs(temps[0] - temps[1]) if len(temps) == 2 else None


def _in_turn(pair: Pair) -> str:
    halves = pair.halves if pair.first != "changed" else pair.halves[::-1]
    one, other = (figures(run.temp_c or 0.0) for run in halves)
    return f"{one} {'and' if pair.first is None else 'then'} {other}"


def soap_and_cloud(evidence: Evidence) -> Sequence[Finding]:
    """Had both arms the same dose of wetting aid? Silent where that is the change itself.

    An arm without any dose on record, beside one that was dosed, is taken for undosed.
    """
    change = evidence.trial.change
    if change is not None and change.variable == "wetting aid":
        return []
    arms = [[run for run in evidence.unstruck if run.arm == arm] for arm in evidence.trial.arms]
    doses = [[dose for run in runs if (dose := run.wetting_drops_10l) is not None] for runs in arms]
    if not all(arms):
        return []
    if not any(doses):
        return not_recorded(SOAP_AND_CLOUD.name, "Wetting aid was not recorded in any run")
    means = [fmean(values) if values else 0.0 for values in doses]
    low, high = min(means), max(means)
    if low == 0 < high:
        only = evidence.trial.arms[means.index(high)]
        said = f"Wetting aid in the {only} arm only, {figures(high)} drops in 10 L."
    elif past(high, low * (1.0 + DOSE_BETWEEN_ARMS_PERCENT / 100.0)):
        said = (
            f"Wetting aid differs between the arms: {figures(means[0])} against {figures(means[1])} drops in 10 L "
            f"(over {DOSE_BETWEEN_ARMS_PERCENT:g} %, our default)."
        )
    else:
        return []
    return finding(SOAP_AND_CLOUD.name, "WEAKENS", f"{said} Same dose, fresh tub.")


STEADY_WATER = Check(
    "steady-water", "water at start and end of each run, and by arm", "common practice, no source", steady_water
)
WATER_TEMP = Check(
    "water-temp",
    "water temperature in the two halves",
    "Walsh and Rao, MIRL Report 76, 1988: temperature changes how gold settles",
    water_temp,
)
SOAP_AND_CLOUD = Check("soap-and-cloud", "wetting aid by arm", "common practice, no source", soap_and_cloud)
