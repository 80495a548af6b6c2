"""Checks on what was weighed and kept: tails-kept, scale-fine-enough, clean-gold, too-many-zeros."""

import math
from collections.abc import Collection, Mapping, Sequence

from trials.fairness.evidence import Check, Evidence, unticked
from trials.fairness.remark import Remark, not_recorded, remark
from trials.fairness.stops import has_too_coarse_a_scale, has_too_many_zeros, middle_mass_mg, runs_with_none
from trials.fairness.thresholds import SCALE_STEPS_STOP, SCALE_STEPS_WEAKENS, ZERO_RUNS_STOP_PERCENT, short_of
from trials.wording.lists import and_list, count_of
from trials.wording.numbers import figures


def tails_kept(evidence: Evidence) -> Sequence[Remark]:
    """Were all tails caught, where the measure is made of them, and does every passed run have its tails gold?"""
    if not evidence.pairing.measure.needs_tails:
        return []
    caught = evidence.trial.tails.caught
    if caught not in (None, "all"):
        return remark("WEAKENS", (), str, f"Tails were caught as {caught}, not all of them: {GOLD_KEPT_ONLY}")
    without = [
        run for pair in evidence.passed for run in pair.halves if run.gold_mg is not None and run.tails_gold_mg is None
    ]
    if without:
        said = f"No tails in {count_of(len(without), 'run')}: {GOLD_KEPT_ONLY}"
        return remark("WEAKENS", [run.pair for run in without], str, said)
    return not_recorded("How the tails were caught was not recorded") if caught is None else []


def scale_fine_enough(evidence: Evidence) -> Sequence[Remark]:
    """How many steps of the scale is the gold of the middle run?"""
    measure, division_mg = evidence.pairing.measure, evidence.pairing.division_mg
    if not measure.weighs or not evidence.measured:
        return []
    if division_mg is None:
        return not_recorded("The division of the gold scale was not recorded")
    halves = evidence.pairing.readings(evidence.measured)
    mass_mg = float(middle_mass_mg(*halves))
    if not short_of(mass_mg / division_mg, SCALE_STEPS_WEAKENS):
        return []
    stops = bool(has_too_coarse_a_scale(measure, *halves, division_mg))
    limit = SCALE_STEPS_STOP if stops else SCALE_STEPS_WEAKENS
    said = (
        f"{figures(mass_mg / 1000.0)} g in the middle run, on a {figures(division_mg / 1000.0)} g scale, is "
        f"{count_of(math.floor(mass_mg / division_mg), 'step')} (under {limit:g}, our default). Pool classes, count "
        f"grains, or use a {figures(division_mg / 10_000.0)} g scale."
    )
    return remark("STOP" if stops else "WEAKENS", (), str, said)


CLEANED = {"magnet": "magnet-cleaned", "loupe": "looked over with a loupe", "dry": "dry"}


def clean_gold(evidence: Evidence) -> Sequence[Remark]:
    """Was all gold that was weighed dry, cleaned with a magnet and looked over?

    A box that stands empty beside ticked ones says no (see `unticked`). A pair with a half that found none is left
    out: there was nothing to clean.
    """
    measure = evidence.pairing.measure
    if not measure.weighs:
        return []
    found_some = [pair for pair in evidence.measured if all(any(measure.readings(run) or ()) for run in pair.halves)]
    runs = [run for pair in found_some for run in pair.halves]
    missing = {tick: unticked(runs, tick) for tick in CLEANED}
    bad = {tick: found for tick, found in missing.items() if found}
    if bad:
        pairs = [run.pair for found in bad.values() for run in found]
        return remark("WEAKENS", pairs, str, _not_cleaned({tick: len(found) for tick, found in bad.items()}))
    unknown = [tick for tick, found in missing.items() if found is None]
    if unknown and runs:
        return not_recorded(f"Not recorded of the gold weighed: {', '.join(unknown)}")
    return []


def _not_cleaned(bad: Mapping[str, int]) -> str:
    numbers = [count_of(many, "gold weighing") if at == 0 else many for at, many in enumerate(bad.values())]
    said = and_list([f"{number} not {CLEANED[tick]}" for number, tick in zip(numbers, bad, strict=True)])
    return f"{said}. {_remedy(bad)}"


def _remedy(bad: Collection[str]) -> str:
    if set(bad) == {"dry"}:
        return "Water weighs as gold; air-dry and reweigh."
    if "dry" in bad:
        return "Black sand and water weigh as gold; clean, air-dry and reweigh."
    return "Black sand weighs as gold; clean and reweigh."


def too_many_zeros(evidence: Evidence) -> Sequence[Remark]:
    """How many runs of a ratio measure found none, and can a ratio be made of them?"""
    measure, division_mg = evidence.pairing.measure, evidence.pairing.division_mg
    complete = [pair for pair in evidence.passed if pair.state == "complete"]
    if not measure.is_ratio or not complete:
        return []
    halves = evidence.pairing.readings(complete)
    if not has_too_many_zeros(measure, *halves, division_mg):
        return []
    found = f"{int(runs_with_none(measure, *halves))} of {2 * len(complete)} runs found none"
    if measure.weighs and division_mg is None:
        return remark("STOP", (), str, f"{found} and no scale division is known. Give [scales] gold.")
    said = f"{found} (over {ZERO_RUNS_STOP_PERCENT:g} %, our default). Pool classes, feed more, or count tracers."
    return remark("STOP", (), str, said)


GOLD_KEPT_ONLY = "this shows gold kept, not recovery. Tub the tails."
TAILS_KEPT = Check(
    "tails-kept",
    "how the tails were caught, and the gold found in them",
    tails_kept,
    "Kuhnle, Heavy-mineral transport in gravel-bed streams, MIT, 1986: bed load leaves in pulses of minutes",
)
SCALE_FINE_ENOUGH = Check(
    "scale-fine-enough",
    "the gold of the middle run in divisions of the scale",
    scale_fine_enough,
    "NIST Handbook 44, user requirement G-UR.1.1, as given by the Oregon Department of Agriculture: weigh 50 divisions",
)
CLEAN_GOLD = Check("clean-gold", "whether the gold was dry, magnet-cleaned and looked over", clean_gold)
TOO_MANY_ZEROS = Check(
    "too-many-zeros", "runs of a ratio measure that found none", too_many_zeros, "our own simulation, no source"
)
