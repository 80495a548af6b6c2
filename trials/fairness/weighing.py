"""Checks on what was weighed and kept: tails-kept, scale-fine-enough, clean-gold, too-many-zeros."""

import math
from collections.abc import Collection, Sequence

from schemas import Run
from trials.fairness import thresholds
from trials.fairness.evidence import Check, Evidence, unticked
from trials.fairness.remark import NamedRuns, Remark, not_recorded, remark
from trials.fairness.stops import has_too_coarse_a_scale, has_too_many_zeros, middle_mass_mg, runs_with_none
from trials.wording.lists import and_list, capital, count_of, in_pairs
from trials.wording.numbers import figures


def tails_kept(evidence: Evidence) -> Sequence[Remark]:
    """Were all tails caught, where the measure is made of them, and does every passed run have its tails gold?"""
    if not evidence.pairing.measure.needs_tails:
        return []
    caught = evidence.trial.tails.caught
    if caught not in (None, "all"):
        how = f"tails were caught as {caught}, not all of them"
        return remark("WEAKENS", (), str, f"{capital(how)}: {GOLD_KEPT_ONLY}", but=how)
    weighed = [run for pair in evidence.passed for run in pair.halves if run.gold_mg is not None]
    pairs = [run.pair for run in weighed if run.tails_gold_mg is None]
    if pairs:
        runs = count_of(len(pairs), "run")
        said = f"No tails in {runs} of {in_pairs(sorted(set(pairs)))}: {GOLD_KEPT_ONLY}"
        return remark("WEAKENS", pairs, str, said, but=f"the tails of {runs} are missing")
    return not_recorded("How the tails were caught was not recorded") if caught is None else []


def scale_fine_enough(evidence: Evidence) -> Sequence[Remark]:
    """How many steps of the scale is the gold of the middle run, and did a check weight read the same afterwards?"""
    if not evidence.pairing.measure.weighs or not evidence.measured:
        return []
    steps, wandered = _steps_of_gold(evidence), _scale_wandered(evidence)
    return [*(one for one in steps if one.severity != "not recorded"), *wandered] if wandered else steps


def _scale_wandered(evidence: Evidence) -> list[Remark]:
    """Did the check weight read over one step of the scale more or less after the weighing than before it?"""
    step_g = (evidence.pairing.division_mg or 0.0) / 1000.0
    both = [(run, run.check_before_g, run.check_after_g) for pair in evidence.measured for run in pair.halves]
    gaps = {run.key: (after - before, run) for run, before, after in both if before is not None and after is not None}
    off = [
        (gap, run) for gap, run in gaps.values() if thresholds.past(abs(gap), thresholds.CHECK_WEIGHT_STEPS * step_g)
    ]
    if not off:
        return []
    gap, worst = max(off, key=lambda one: abs(one[0]))
    read = f"the check weight read {figures(abs(gap))} g {'more' if gap > 0 else 'less'} after the weighing of pair"
    said = f"{capital(read)} {worst.pair} than before it. Let the scale warm up out of the draught, and weigh again."
    return remark("WEAKENS", [run.pair for _, run in off], str, said, but=f"{read} {worst.pair} than before it")


def _steps_of_gold(evidence: Evidence) -> list[Remark]:
    measure, division_mg = evidence.pairing.measure, evidence.pairing.division_mg
    if division_mg is None:
        return not_recorded("The division of the gold scale was not recorded")
    halves = evidence.pairing.readings(evidence.measured)
    mass_mg = float(middle_mass_mg(*halves))
    if not thresholds.short_of(mass_mg / division_mg, thresholds.SCALE_STEPS_WEAKENS):
        return []
    stops = bool(has_too_coarse_a_scale(measure, *halves, division_mg))
    limit = thresholds.SCALE_STEPS_STOP if stops else thresholds.SCALE_STEPS_WEAKENS
    # 1.2 mg on .1 mg is 12 steps, and in floats a hair under.
    steps = count_of(math.floor(mass_mg / division_mg * (1.0 + thresholds.LIMIT_DUST)), "step")
    said = (
        f"{figures(mass_mg / 1000.0)} g in the middle run, on a {figures(division_mg / 1000.0)} g scale, is {steps} "
        f"(under {limit:g}, our default). Pool classes, count grains, or use a {figures(division_mg / 10_000.0)} g "
        "scale."
    )
    but = f"the gold of the middle run is only {steps} of the scale"
    return remark("STOP" if stops else "WEAKENS", (), str, said, but=but)


CLEANED = {"magnet": "magnet-cleaned", "loupe": "looked over with a loupe", "dry": "dry"}


def clean_gold(evidence: Evidence) -> Sequence[Remark]:
    """Was all gold that was weighed dry, cleaned with a magnet and looked over? Were all counts cleaned alike?

    A box that stands empty beside ticked ones says no (see `unticked`). A pair with a half that found none is left
    out: there was nothing to clean. Grains may be counted among black sand, and are seen less well there: some runs
    cleaned with a magnet and others not are not alike.
    """
    measure = evidence.pairing.measure
    found_some = [pair for pair in evidence.measured if all(any(measure.readings(run) or ()) for run in pair.halves)]
    runs = [run for pair in found_some for run in pair.halves]
    if not measure.weighs:
        return _counted_unlike(runs)
    missing = {tick: unticked(runs, tick) for tick in CLEANED}
    bad = {tick: found for tick, found in missing.items() if found}
    if bad:
        pairs = [run.pair for found in bad.values() for run in found]
        named = [NamedRuns.of(bad.get(tick, ()), among=runs) for tick in CLEANED]
        return remark("WEAKENS", pairs, _not_cleaned, *named, but=_gold_not_cleaned)
    unknown = [tick for tick, found in missing.items() if found is None]
    if unknown and runs:
        return not_recorded(f"Not recorded of the gold weighed: {', '.join(unknown)}")
    return []


def _counted_unlike(runs: Sequence[Run]) -> list[Remark]:
    uncleaned = unticked(runs, "magnet")
    if uncleaned is None:
        return not_recorded("Whether a magnet drew the black sand off the grains was not recorded") if runs else []
    if not 0 < len(uncleaned) < len(runs):
        return []
    named = NamedRuns.of(uncleaned, among=runs)
    return remark("WEAKENS", named.pairs, SAND_LEFT.format, named, but=BUT_SAND_LEFT.format)


def _by_tick(runs: Sequence[NamedRuns]) -> dict[str, NamedRuns]:
    return {tick: named for tick, named in zip(CLEANED, runs, strict=True) if named.runs}


def _not_cleaned(*runs: NamedRuns) -> str:
    bad = _by_tick(runs)
    said = and_list([f"of {named} not {CLEANED[tick]}" for tick, named in bad.items()])
    return f"Gold {said}. {_remedy(bad)}"


def _gold_not_cleaned(*runs: NamedRuns) -> str:
    said = [f"of {named.in_short} {{}}not {CLEANED[tick]}" for tick, named in _by_tick(runs).items()]
    return f"the gold {and_list([said[0].format('was '), *(one.format('') for one in said[1:])])}"


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
    filled = 2 * int((~measure.is_empty(*halves)).sum())
    found = f"{int(runs_with_none(measure, *halves))} of {count_of(filled, 'run')} found none"
    if measure.weighs and division_mg is None:
        return remark("STOP", (), str, f"{found} and no scale division is known. Give [scales] gold.")
    over = f"{found} (over {thresholds.ZERO_RUNS_STOP_PERCENT:g} %, our default)"
    return remark("STOP", (), str, f"{over}. Pool classes, feed more, or count tracers.")


SAND_LEFT = "Black sand was left among the grains of {}. It hides small ones; use the magnet on all runs or on none."
BUT_SAND_LEFT = "black sand was left among the grains of {0.in_short}"
GOLD_KEPT_ONLY = "this shows gold kept, not recovery. Tub the tails."
TAILS_KEPT = Check(
    "tails-kept",
    "how the tails were caught, and the gold found in them",
    tails_kept,
    "Kuhnle, Heavy-mineral transport in gravel-bed streams, MIT, 1986: bed load leaves in pulses of minutes",
)
SCALE_FINE_ENOUGH = Check(
    "scale-fine-enough",
    "the gold of the middle run in divisions of the scale, and the check weight before and after",
    scale_fine_enough,
    "NIST Handbook 44, user requirement G-UR.1.1, as given by the Oregon Department of Agriculture: weigh 50 divisions",
)
CLEAN_GOLD = Check("clean-gold", "whether the gold was dry, magnet-cleaned and looked over", clean_gold)
TOO_MANY_ZEROS = Check(
    "too-many-zeros", "runs of a ratio measure that found none", too_many_zeros, "our own simulation, no source"
)
