"""Is there dirt enough, gold enough in it, a splitter and a scale good enough?"""

import dataclasses
from collections.abc import Iterator

from schemas import Lot, Trial
from trials.fairness.thresholds import SCALE_STEPS_STOP, SCALE_STEPS_WEAKENS, ZERO_RUNS_STOP_PERCENT
from trials.noise.budget import noise_budget
from trials.noise.grains import feed_noise_cv
from trials.plans.advice.told import Advice
from trials.plans.plan_power import PlanPower
from trials.records.own_units import mass_told
from trials.wording.lists import count_of
from trials.wording.numbers import figures

UNEVEN_SPLITS = ("shovel", "level scoops")
FEED_LUCK_WORTH_TELLING = 0.10


def _dirt(power: PlanPower) -> Iterator[Advice]:
    trial, charge = power.trial, power.trial.held.charge_g
    masses = [lot.mass_g for lot in trial.lots if lot.mass_g is not None]
    if charge is None or len(masses) < len(trial.lots):
        return
    there, arms = sum(masses), len(trial.arms)
    need = charge * arms * (trial.pairs + trial.spares)
    if need <= there * (1 + 1e-9):
        return
    name = _name(trial)
    block = "block" if trial.kind == "graded" else "run" if arms == 1 else "pair"
    blocks = count_of(trial.pairs, block)
    spares = f" and {count_of(trial.spares, 'spare')}" if trial.spares else ""
    have = "has" if len(trial.lots) == 1 else "have"
    yield Advice(
        "refuse",
        "dirt",
        f"{blocks}{spares} of {mass_told(trial, charge)} a run need {mass_told(trial, need)}; "
        f"{name} {have} {mass_told(trial, there)}. "
        f"Plan fewer {block}s, a smaller charge, or dig more.",
    )


def _name(trial: Trial) -> str:
    if len(trial.lots) > 1:
        return "the lots"
    name = trial.lots[0].name
    return "the lot" if name == Lot.model_fields["name"].default else name


def _unsplit(power: PlanPower) -> Iterator[Advice]:
    trial = power.trial
    unsplit = all(lot.splitting == "none" for lot in trial.lots)
    if not unsplit or not power.measure.needs_like_halves or trial.kind == "audit":
        return
    if trial.kind == "graded":
        says = (
            "Ranking on total gold from unsplit buckets compares buckets, not gear. Split each block's dirt into like "
            "shares, or seed every bucket with the same counted grains."
        )
        yield Advice("refuse", "splitting", says)
        return
    says = (
        "The dirt is not split, so the halves of a pair are two buckets and differ by as much as buckets do. Mix and "
        "halve each lot, or close each run on its own tails (measure recovery)."
    )
    yield Advice("warn", "splitting", says)


def _uneven_split(power: PlanPower) -> Iterator[Advice]:
    """A poor splitter, in numbers: what pairs differ by, and what they would with a good one."""
    trial, budget = power.trial, power.budget
    tools = sorted({lot.splitting for lot in trial.lots if lot.splitting in UNEVEN_SPLITS})
    if not tools or budget is None or not power.measure.needs_like_halves or _is_all_fine(trial):
        return
    even = dataclasses.replace(power.situation.dirt, split_vmr=1.0)
    better = noise_budget(trial.measure, dataclasses.replace(power.situation, dirt=even)).sd_pair
    now, then = (power.measure.spread_text(sd) for sd in (budget.sd_pair, better))
    gain = f": pairs differ by about {now} instead of {then}" if now != then else ""
    says = f"Halving coarse gold by {tools[0]} deals heavy grains unevenly{gain}. Use a riffle splitter."
    yield Advice("warn", "splitting", says)


def _is_all_fine(trial: Trial) -> bool:
    return trial.guess.sizes == "fine"


def _scale(power: PlanPower) -> Iterator[Advice]:
    division = power.trial.scales.gold_g
    if not power.measure.weighs or power.budget is None or power.situation.noise.scale_division_g <= 0:
        return
    step_mg = 1000.0 * power.situation.noise.scale_division_g
    weighed = power.situation.dirt.gold_mg if power.measure.side == "share kept" else power.budget.expected
    steps = weighed / step_mg
    if steps >= SCALE_STEPS_WEAKENS:
        return
    assumed = " (assumed: name yours)" if division is None else ""
    stop = " With under 10 the check stops the trial." if steps < SCALE_STEPS_STOP else ""
    says = (
        f"A {figures(step_mg / 1000)} g scale{assumed} needs {figures(SCALE_STEPS_WEAKENS * step_mg / 1000)} g of "
        f"gold, 50 steps; these runs hold about {figures(weighed, 2)} mg, {figures(steps, 2)} steps.{stop} Count "
        "grains, feed more, or use a finer scale."
    )
    yield Advice("warn", "scale", says)


def _zeros(power: PlanPower) -> Iterator[Advice]:
    if power.budget is None or 100.0 * power.budget.zero_share <= ZERO_RUNS_STOP_PERCENT:
        return
    says = (
        f"About {100 * power.budget.zero_share:.0f} % of these runs would find none, and over "
        f"{ZERO_RUNS_STOP_PERCENT:.0f} % stop a trial. Feed more a run, pool size classes, or count tracers."
    )
    yield Advice("refuse", "empty runs", says)


def _feed_luck(power: PlanPower) -> Iterator[Advice]:
    dirt = power.situation.dirt
    if not power.measure.weighs or power.measure.side != "kept" or dirt.gold_mg <= 0:
        return
    # As it is usually told: every grain of a size alike (Clifton et al., USGS Professional Paper 625-C, 1969).
    luck = feed_noise_cv(dataclasses.replace(dirt, grain_cv=0.0))
    if luck < FEED_LUCK_WORTH_TELLING:
        return
    says = (
        f"{figures(dirt.gold_mg, 2)} mg of {dirt.size_set} gold a run means {100 * luck:.0f} % feed luck, before any "
        "gear has touched it: weight of the catch alone compares feeds. Keep the tails and compare recovery, or count."
    )
    yield Advice("warn", "feed luck", says)


def _pickers(power: PlanPower) -> Iterator[Advice]:
    trial = power.trial
    if not power.measure.weighs or power.situation.dirt.size_set == "fine":
        return
    if power.budget is None or any(lot.pickers_over_mm is not None for lot in trial.lots):
        return
    says = (
        "One large piece can outweigh a run. Pull pickers over 2 mm or so before feeding, the same limit on both "
        "sides, and book them apart (lot.pickers_over)."
    )
    yield Advice("note", "pickers", says)


DIRT_RULES = (_dirt, _unsplit, _uneven_split, _scale, _zeros, _feed_luck, _pickers)
