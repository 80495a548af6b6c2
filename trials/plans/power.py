"""How often would so many pairs find a change, each arm with the noise it then has, and how many pairs are enough?"""

import dataclasses
import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from schemas import MeasureName
from trials.noise.budget import Budget, noise_budget
from trials.noise.effect import shift_reaching, true_difference
from trials.noise.grains import USUAL_PAIRS
from trials.noise.situation import Situation
from trials.simulation.gear import SimulatedGear, TrueEffect, recovery_logits
from trials.statistics.pairs_needed import pairs_needed, power, smallest_findable

FEWEST_PLANNED, MOST_PLANNED = 3, 60
USUAL_POWER = 0.8
_LEAST_SHARE = 1e-6
_ROUNDS = 12


def pairs_for(effect: float, *, level: float = 0.95) -> int | None:
    """How many pairs find a difference of so many SDs 4 times in 5? 3 or more; None for none at all, or over a million.

    >>> pairs_for(1.0), pairs_for(-9.0), pairs_for(0.1), pairs_for(0.0)
    (10, 3, 787, None)
    """
    needed = pairs_needed(effect, power=USUAL_POWER, level=level) if effect else None
    return None if needed is None else max(FEWEST_PLANNED, needed)


@dataclass(frozen=True, slots=True)
class EffectSize:
    """A change as a trial of so many pairs sees it, on the measure's scale.

    difference: What the change truly does, on the average of the trial.
    sd: Of one pair difference while it does so: the noise of both arms, each as it then is.
    """

    difference: float
    sd: float

    @property
    def effect(self) -> float:
        """The difference in SDs of a pair; 0 where nothing is to be seen."""
        return self.difference / self.sd if self.sd > 0 and math.isfinite(self.sd) else 0.0


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
    arms = (budget_at(measure, situation, pairs), budget_at(measure, changed_situation(situation, change), pairs))
    return EffectSize(
        difference=true_difference(measure, situation, change, pairs=pairs),
        sd=math.sqrt(math.fsum(arm.variance for arm in arms)),
    )


@lru_cache(maxsize=4_096)
def budget_at(measure: MeasureName, situation: Situation, pairs: int = USUAL_PAIRS) -> Budget:
    """Give the noise of a run in a trial of so many pairs; `noise_budget`, reckoned once."""
    return noise_budget(measure, situation, pairs=pairs)


def changed_situation(situation: Situation, change: TrueEffect) -> Situation:
    """The same dirt and habits on the changed gear."""
    logits = recovery_logits(situation.gear, (change,))[1]
    kept = np.clip(1.0 / (1.0 + np.exp(-logits)), _LEAST_SHARE, 1.0 - _LEAST_SHARE)
    gear = SimulatedGear(recovery=tuple(float(share) for share in kept))
    return dataclasses.replace(situation, gear=gear)


def chance_to_find(
    measure: MeasureName, situation: Situation, change: TrueEffect, pairs: int, *, level: float = 0.95
) -> float:
    """How often, 0 to 1, does the interval of so many pairs, 2 or more, leave 0 out?

    By `power` of the noncentral t; a fairness check that would stop the trial is left aside.

    >>> from trials.simulation.dirt import Dirt
    >>> rich = Situation(dirt=Dirt(900, "fine"))
    >>> [round(chance_to_find("recovery", rich, TrueEffect(shift_logit=0.45), pairs), 2) for pairs in (6, 12)]
    [0.53, 0.9]
    """
    return float(power(effect_size(measure, situation, change, pairs=pairs).effect, pairs, level=level))


def pairs_to_find(measure: MeasureName, situation: Situation, change: TrueEffect, *, level: float = 0.95) -> int | None:
    """How many pairs, 3 or more, find a change 4 times in 5? None where 60 are too few.

    What each pair sees depends a little on their number, so that it is looked for step by step: from what a usual trial
    sees to the pairs that would need, to what a trial of so many sees.

    >>> from trials.simulation.dirt import Dirt
    >>> rich = Situation(dirt=Dirt(900, "fine"))
    >>> pairs_to_find("recovery", rich, TrueEffect(shift_logit=0.45)), pairs_to_find("recovery", rich, TrueEffect())
    (10, None)
    """
    pairs = USUAL_PAIRS
    for _ in range(_ROUNDS):
        needed = pairs_for(effect_size(measure, situation, change, pairs=pairs).effect, level=level)
        if needed is None or needed > MOST_PLANNED:
            return None
        if needed == pairs:
            break
        pairs = needed
    return pairs


def smallest_found(measure: MeasureName, situation: Situation, pairs: int, *, level: float = 0.95) -> float | None:
    """How small a gain do so many pairs, 2 or more, find 4 times in 5, on the measure's scale?

    What it truly does in a usual trial; None where there is no such gain to be had. Begun with the scatter of two
    unchanged arms, then with that of a change so large, until the two agree to 1 %.

    >>> from trials.simulation.dirt import Dirt
    >>> rich = Situation(dirt=Dirt(900, "fine"))
    >>> round(smallest_found("recovery", rich, 10), 1)
    5.1
    """
    effect = float(smallest_findable(pairs, power=USUAL_POWER, level=level))
    sd = budget_at(measure, situation, pairs).sd_pair
    found = None
    for _ in range(_ROUNDS):
        change = shift_reaching(measure, effect * sd, situation, pairs=pairs)
        if change is None:
            return None
        found = true_difference(measure, situation, change)
        seen = effect_size(measure, situation, change, pairs=pairs).sd
        if abs(seen - sd) < 0.01 * sd:
            break
        sd = seen
    return found
