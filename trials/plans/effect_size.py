"""What would a trial of so many pairs see of a change, each arm with the noise it then has?"""

import dataclasses
import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from schemas import MeasureName
from trials.noise.budget import Budget, noise_budget
from trials.noise.effect import difference_sd, true_difference
from trials.noise.grains import USUAL_PAIRS
from trials.noise.situation import Situation
from trials.simulation.gear import SimulatedGear, TrueEffect, recovery_logits

_LEAST_SHARE = 1e-6


@dataclass(frozen=True, slots=True)
class EffectSize:
    """A change as a trial of so many pairs sees it, on the measure's scale.

    difference: What the change truly does, on the average of the trial.
    seen: What the mean of many such trials shows of it: luck of grains and scale pulls the mean of a log or of a share
        off, and not alike in both arms.
    sd: Of one pair difference while it does so: the noise of both arms, each as it then is, and what the change does
        more on a hard day than on an easy one.
    """

    difference: float
    seen: float
    sd: float

    @property
    def effect(self) -> float:
        """What is seen, in SDs of a pair; 0 where nothing is to be seen."""
        return self.seen / self.sd if self.sd > 0 and math.isfinite(self.sd) else 0.0


@lru_cache(maxsize=4_096)
def effect_size(
    measure: MeasureName, situation: Situation, change: TrueEffect, *, pairs: int = USUAL_PAIRS
) -> EffectSize:
    """What does a trial of so many pairs see of a change?

    - A changed arm that keeps more has less left to lose, and scatters less. Of 100 grains two arms that keep 90
      differ with an SD of 4.2 points, one that keeps 90 and one that keeps 95 with 3.7 (binomial). To reckon both arms
      like the unchanged one would plan too many pairs for a gain and too few for a loss.
    - The number of pairs matters little: drift is centred on the trial and ends with the twelfth run.

    Derived from the assumed noise model (`noise_budget`, `true_difference`); held against rehearsals by its tests.

    >>> from trials.simulation.tracers import SeededTracers
    >>> seeded = Situation(tracers=SeededTracers(100))
    >>> nothing, gain = (effect_size("tracers", seeded, TrueEffect(shift_logit=shift)) for shift in (0.0, 0.9))
    >>> nothing.difference, gain.sd < nothing.sd
    (0.0, True)
    """
    before, after = budgets_of_arms(measure, situation, change, pairs)
    difference = true_difference(measure, situation, change, pairs=pairs)
    varies = difference_sd(measure, situation, change, pairs=pairs)
    return EffectSize(
        difference=difference,
        seen=difference + after.pull - before.pull,
        sd=math.sqrt(before.variance + after.variance + varies**2),
    )


def budgets_of_arms(
    measure: MeasureName, situation: Situation, change: TrueEffect, pairs: int = USUAL_PAIRS
) -> tuple[Budget, Budget]:
    """Give the noise of a run of the unchanged gear, and of the changed one."""
    return budget_at(measure, situation, pairs), budget_at(measure, changed_situation(situation, change), pairs)


@lru_cache(maxsize=4_096)
def budget_at(measure: MeasureName, situation: Situation, pairs: int = USUAL_PAIRS) -> Budget:
    """Give the noise of a run in a trial of so many pairs; `noise_budget`, reckoned once."""
    return noise_budget(measure, situation, pairs=pairs)


def changed_situation(situation: Situation, change: TrueEffect) -> Situation:
    """The same dirt and habits on the changed gear."""
    return dataclasses.replace(situation, gear=_changed_gear(situation.gear, change))


@lru_cache(maxsize=1_024)
def _changed_gear(gear: SimulatedGear, change: TrueEffect) -> SimulatedGear:
    logits = recovery_logits(gear, (change,))[1]
    kept = np.clip(1.0 / (1.0 + np.exp(-logits)), _LEAST_SHARE, 1.0 - _LEAST_SHARE)
    return SimulatedGear(recovery=tuple(float(share) for share in kept))
