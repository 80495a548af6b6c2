"""How often would a check of the verdict stop such a trial, by its scale or by runs that find none?"""

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from schemas import MeasureName
from trials.fairness.thresholds import LIMIT_DUST, SCALE_STEPS_STOP, ZERO_RUNS_STOP_PERCENT
from trials.measures.catalogue import measure_named
from trials.noise.grains import grains_of, shared_sd
from trials.noise.readings import scale_of
from trials.noise.situation import Situation
from trials.noise.sums import log_of_sum
from trials.plans.effect_size import budgets_of_arms
from trials.simulation.gear import TrueEffect
from trials.simulation.noise_model import logit_sd
from trials.statistics import special

# The median of so many draws of a bell curve scatters by so much more than their mean: sqrt(pi/2).
_MEDIAN_OVER_MEAN: Final = math.sqrt(math.pi / 2.0)
_READINGS: Final = 21


@dataclass(frozen=True, slots=True)
class MiddleRun:
    """The gold weighed in the middle run of a trial, both arms together, from trial to trial.

    steps: Divisions of the scale, in the middle of such trials; 0 where half of the runs show none.
    log_sd: SD of their natural log.
    """

    steps: float
    log_sd: float

    def at_least(self, sds: float) -> float:
        """Divisions that so many SDs under the middle of such trials still has."""
        return self.steps * math.exp(-sds * self.log_sd)

    @property
    def chance_stopped(self) -> float:
        """How often it is under the fewest divisions that a verdict takes."""
        if self.steps <= 0.0:
            return 1.0
        # The middle of an even number of readings is a whole or a half step, and on the limit it is not under it.
        short = math.log((SCALE_STEPS_STOP - 0.25) / self.steps)
        return float(special.ndtr(short / self.log_sd)) if self.log_sd > 0.0 else float(short > 0.0)


def middle_run(measure: MeasureName, situation: Situation, change: TrueEffect, pairs: int) -> MiddleRun | None:
    """How much gold is on the scale in the middle run of a trial of so many pairs? None for what is not weighed.

    By the scatter of a median of many, its runs log-normal: what the runs of both arms have of their own, what a pair
    shares, and the one hand of a trial. Derived from the assumed noise model.
    """
    noise = situation.noise
    if not measure_named(measure).weighs or noise.scale_division_g == 0.0:
        return None
    if measure_named(measure).side == "share kept":
        middle, own = _gold_in_all(situation)
        shared = 0.0
    else:
        arms = budgets_of_arms(measure, situation, change, pairs)
        middle = sum(arm.middle for arm in arms) / 2.0
        if not math.isfinite(middle):
            return MiddleRun(0.0, 0.0)
        own = sum(arm.variance for arm in arms) / 2.0 + (arms[1].middle - arms[0].middle) ** 2 / 4.0
        shared = sum(arm.shared for arm in arms) / 2.0
    of_the_hand = (logit_sd(noise.operator_sd_points) / max(shared_sd(noise, pairs), 1e-12)) ** 2
    scatter = _MEDIAN_OVER_MEAN**2 * (own / 2.0 + shared * (1.0 - of_the_hand)) / pairs + shared * of_the_hand
    return MiddleRun(math.exp(middle) / (1000.0 * noise.scale_division_g), math.sqrt(scatter))


@lru_cache(maxsize=1_024)
def _gold_in_all(situation: Situation) -> tuple[float, float]:
    """Mean and variance of the log of all gold that a run shows, in the catch and in the tails, each weighed."""
    noise, grains = situation.noise, grains_of(situation)
    gold = log_of_sum(grains, grains.kept + noise.tails_found * grains.lost)
    parts = np.array([float(grains.kept_mg), noise.tails_found * float(grains.lost_mg)])
    # A weighing never shows less than none, so that next to nothing reads as more than it is.
    readings, weight = scale_of(noise).shows(parts, _READINGS)
    shown = float((readings @ weight).sum())
    by_scale = float(((readings - (readings @ weight)[:, np.newaxis]) ** 2 @ weight).sum()) / shown**2
    return float(gold.mean) + math.log(shown / float(parts.sum())), float(gold.variance) + by_scale


def share_of_zeros(measure: MeasureName, situation: Situation, change: TrueEffect, pairs: int) -> float:
    """What share of the runs of a trial of so many pairs finds none of what a ratio is made of?

    A pair that is empty on both sides says nothing and is left out, as the check of a verdict leaves it out.
    """
    first, second = (arm.zero_share for arm in budgets_of_arms(measure, situation, change, pairs))
    both = first * second
    return (first + second - 2.0 * both) / (2.0 * (1.0 - both)) if both < 1.0 else 1.0


def chance_stopped(measure: MeasureName, situation: Situation, change: TrueEffect, pairs: int) -> float:
    """How often, 0 to 1, would a check stop a trial of so many pairs?

    By too many runs that find none (binomial), or by too little gold on the scale in the middle run: the likelier of
    the two, for it is lean runs that set off both. The rules are those of `trials.fairness.stops`; halves of unlike
    mass and a draw of one order are not planned.

    >>> from trials.simulation.dirt import Dirt
    >>> [round(chance_stopped("tails_gold", Situation(Dirt(gold)), TrueEffect(), 6), 2) for gold in (50, 150, 400)]
    [0.99, 0.18, 0.0]
    """
    none = share_of_zeros(measure, situation, change, pairs)
    runs = 2 * pairs
    has_no_steps = measure_named(measure).weighs and situation.noise.scale_division_g == 0.0
    most = 0 if has_no_steps else math.floor(ZERO_RUNS_STOP_PERCENT * runs / 100.0 + LIMIT_DUST)
    by_zeros = float(special.bdtrc(most, runs, min(max(none, 0.0), 1.0))) if measure_named(measure).is_ratio else 0.0
    middle = middle_run(measure, situation, change, pairs)
    return by_zeros if middle is None else max(by_zeros, middle.chance_stopped)
