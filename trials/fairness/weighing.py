"""Checks on what was weighed and kept: tails-kept, scale-fine-enough, clean-gold, too-many-zeros."""

import math
from collections.abc import Sequence
from statistics import median

import numpy as np

from schemas import Finding, Run
from trials.fairness.evidence import Check, Evidence, not_recorded
from trials.fairness.telling import finding, past, short_of, unticked
from trials.fairness.thresholds import SCALE_STEPS_STOP, SCALE_STEPS_WEAKENS, ZERO_RUNS_STOP_PERCENT
from trials.measures.measure import Measure
from trials.measures.pairing import Pair
from trials.wording.lists import and_list, count_of
from trials.wording.numbers import figures


def tails_kept(evidence: Evidence) -> Sequence[Finding]:
    """Were all tails caught, where the measure is made of them, and does every passed run have its tails gold?"""
    if not evidence.pairing.measure.needs_tails:
        return []
    caught = evidence.trial.tails.caught
    remedy = "this shows gold kept, not recovery. Tub the tails."
    if caught not in (None, "all"):
        said = f"Tails were caught as {caught}, not all of them: {remedy}"
        return finding(TAILS_KEPT.name, "WEAKENS", said)
    without = [
        run for pair in evidence.passed for run in pair.halves if run.gold_mg is not None and run.tails_gold_mg is None
    ]
    if without:
        said = f"No tails in {count_of(len(without), 'run')}: {remedy}"
        return finding(TAILS_KEPT.name, "WEAKENS", said, [run.pair for run in without])
    return not_recorded(TAILS_KEPT.name, "How the tails were caught was not recorded") if caught is None else []


def _masses_mg(measure: Measure, pair: Pair) -> list[float]:
    """The gold that the measure weighs in each half: kept, lost, or both added up."""
    return [sum(measure.readings(run) or ()) for run in pair.halves]


def scale_fine_enough(evidence: Evidence) -> Sequence[Finding]:
    """How many steps of the scale is the gold of the middle run?"""
    measure, division_mg = evidence.pairing.measure, evidence.pairing.division_mg
    masses = [mass for pair in evidence.measured for mass in _masses_mg(measure, pair)]
    if not measure.weighs or not masses:
        return []
    if division_mg is None:
        return not_recorded(SCALE_FINE_ENOUGH.name, "The division of the gold scale was not recorded")
    steps = median(masses) / division_mg
    if not short_of(steps, SCALE_STEPS_WEAKENS):
        return []
    stops = short_of(steps, SCALE_STEPS_STOP)
    limit = SCALE_STEPS_STOP if stops else SCALE_STEPS_WEAKENS
    return finding(
        SCALE_FINE_ENOUGH.name,
        "STOP" if stops else "WEAKENS",
        f"{figures(median(masses) / 1000.0)} g in the middle run, on a {figures(division_mg / 1000.0)} g scale, is "
        f"{count_of(math.floor(steps), 'step')} (under {limit:g}, our default). Pool classes, count grains, or use a "
        f"{figures(division_mg / 10_000.0)} g scale.",
    )


CLEANED = {"magnet": "magnet-cleaned", "loupe": "looked over with a loupe", "dry": "dry"}


def clean_gold(evidence: Evidence) -> Sequence[Finding]:
    """Was all gold that was weighed dry, cleaned with a magnet and looked over?

    A box that stands empty beside ticked ones says no (see `unticked`). A pair with a half that found none is left
    out: there was nothing to clean.
    """
    measure = evidence.pairing.measure
    if not measure.weighs:
        return []
    runs: list[Run] = [run for pair in evidence.measured if all(_masses_mg(measure, pair)) for run in pair.halves]
    missing = {tick: unticked(runs, tick) for tick in CLEANED}
    bad = {tick: found for tick, found in missing.items() if found}
    if bad:
        numbers = [
            count_of(len(found), "gold weighing") if i == 0 else len(found) for i, found in enumerate(bad.values())
        ]
        said = and_list([f"{number} not {CLEANED[tick]}" for number, tick in zip(numbers, bad, strict=True)])
        pairs = [run.pair for found in bad.values() for run in found]
        return finding(CLEAN_GOLD.name, "WEAKENS", f"{said}. {_remedy(set(bad))}", pairs)
    unknown = [tick for tick, found in missing.items() if found is None]
    if unknown and runs:
        return not_recorded(CLEAN_GOLD.name, f"Not recorded of the gold weighed: {', '.join(unknown)}")
    return []


def _remedy(bad: set[str]) -> str:
    if bad == {"dry"}:
        return "Water weighs as gold; air-dry and reweigh."
    if "dry" in bad:
        return "Black sand and water weigh as gold; clean, air-dry and reweigh."
    return "Black sand weighs as gold; clean and reweigh."


def too_many_zeros(evidence: Evidence) -> Sequence[Finding]:
    """How many runs of a ratio measure found none, and can a ratio be made of them?"""
    pairing = evidence.pairing
    complete = [pair for pair in evidence.passed if pair.state == "complete"]
    if not pairing.measure.is_ratio or not complete:
        return []
    halves = pairing.readings(complete)
    zeros = int(sum(int(np.count_nonzero(pairing.measure.zeros(half))) for half in halves))
    runs = 2 * len(complete)
    if zeros and pairing.measure.weighs and pairing.division_mg is None:
        said = f"{zeros} of {runs} runs found none and no scale division is known. Give [scales] gold."
        return finding(TOO_MANY_ZEROS.name, "STOP", said)
    if not past(100.0 * zeros / runs, ZERO_RUNS_STOP_PERCENT):
        return []
    said = f"{zeros} of {runs} runs found none (over {ZERO_RUNS_STOP_PERCENT:g} %, our default)."
    return finding(TOO_MANY_ZEROS.name, "STOP", f"{said} Pool classes, feed more, or count tracers.")


TAILS_KEPT = Check(
    "tails-kept",
    "how the tails were caught, and the gold found in them",
    "Kuhnle, Heavy-mineral transport in gravel-bed streams, MIT, 1986: bed load leaves in pulses of minutes",
    tails_kept,
)
SCALE_FINE_ENOUGH = Check(
    "scale-fine-enough",
    "the gold of the middle run in divisions of the scale",
    "NIST Handbook 44, user requirement G-UR.1.1, as given by the Oregon Department of Agriculture: weigh 50 divisions",
    scale_fine_enough,
)
CLEAN_GOLD = Check(
    "clean-gold", "whether the gold was dry, magnet-cleaned and looked over", "common practice, no source", clean_gold
)
TOO_MANY_ZEROS = Check(
    "too-many-zeros",
    "runs of a ratio measure that found none",
    "our own simulation, no source",
    too_many_zeros,
)
