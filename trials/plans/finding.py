"""How often would so many pairs find a change, each arm with the noise it then has, and how many pairs are enough?"""

import dataclasses
import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from schemas import MeasureName
from trials.noise.budget import Budget, noise_budget
from trials.noise.effect import shift_reaching, true_difference
from trials.noise.grains import USUAL_PAIRS, mean_shift
from trials.noise.situation import Situation
from trials.plans.need import CHANCES, FEWEST_PLANNED, MOST_PLANNED, pairs_for, pairs_without_limit
from trials.simulation.gear import Change, Gear, recovery_logits
from trials.simulation.noise_model import Noise
from trials.statistics.pairs_needed import power, smallest_findable

_LEAST_SHARE = 1e-6
# A change of which even 60 pairs would have to be so many times as many is not looked at in the middle of a long plan.
_HOPELESS = 4 * MOST_PLANNED
_FARTHEST = 2.0
_ROUNDS = 12


@dataclass(frozen=True, slots=True)
class Sight:
    """What a trial of so many pairs sees of a change, on the measure's scale: the true difference, and its pairs' SD.

    Attributes
    ----------
    difference
        What the change truly does, on the average of the trial.
    sd
        Of one pair difference while it does so: the noise of both arms, each as it then is.
    """

    difference: float
    sd: float

    @property
    def effect(self) -> float:
        """The difference in SDs of a pair; 0 where nothing is to be seen."""
        return self.difference / self.sd if self.sd > 0 and math.isfinite(self.sd) else 0.0


def sight_of(measure: MeasureName, situation: Situation, change: Change, *, pairs: int = USUAL_PAIRS) -> Sight:
    """What does a trial of so many pairs see of a change?

    Parameters
    ----------
    measure
        The main measure.
    situation
        Dirt, habits, gear and tracers.
    change
        What the changed gear does.
    pairs
        Pairs of the trial, 1 or more: drift takes a long trial to where less is left to gain or lose.

    Returns
    -------
    Sight

    Notes
    -----
    A changed arm that keeps more has less left to lose, and scatters less. Of 100 grains two arms that keep 90 differ
    with an SD of 4.2 points, one that keeps 90 and one that keeps 95 with 3.7 (binomial). To reckon both arms like the
    unchanged one would plan too many pairs for a gain and too few for a loss.

    References
    ----------
    Derived from the assumed noise model (`noise_budget`, `true_difference`); held against rehearsals by its tests.

    Examples
    --------
    >>> from trials.simulation.tracers import Tracers
    >>> seeded = Situation(tracers=Tracers(100))
    >>> nothing, gain = (sight_of("tracers", seeded, Change(shift_logit=shift)) for shift in (0.0, 0.9))
    >>> nothing.difference, gain.sd < nothing.sd
    (0.0, True)
    """
    arms = (budget_at(measure, situation, pairs), budget_at(measure, changed_situation(situation, change), pairs))
    return Sight(
        difference=true_difference(measure, situation, change, pairs=pairs),
        sd=math.sqrt(math.fsum(arm.variance for arm in arms)),
    )


@lru_cache(maxsize=4_096)
def budget_at(measure: MeasureName, situation: Situation, pairs: int = USUAL_PAIRS) -> Budget:
    """Give the noise of a run in a trial of so many pairs; `noise_budget`, reckoned once."""
    return noise_budget(measure, situation, pairs=pairs)


def changed_situation(situation: Situation, change: Change) -> Situation:
    """The same dirt and habits on the changed gear."""
    logits = recovery_logits(situation.gear, (change,))[1]
    kept = np.clip(1.0 / (1.0 + np.exp(-logits)), _LEAST_SHARE, 1.0 - _LEAST_SHARE)
    gear = Gear(recovery=tuple(float(share) for share in kept))
    return dataclasses.replace(situation, gear=gear)


def chance_to_find(
    measure: MeasureName, situation: Situation, change: Change, pairs: int, *, level: float = 0.95
) -> float:
    """How often do so many pairs, 2 or more, find a change?

    Returns
    -------
    float
        0 to 1: the interval leaves 0 out (`power` of the noncentral t); a fairness check that would stop the trial is
        left aside.

    Examples
    --------
    >>> from trials.simulation.dirt import Dirt
    >>> rich = Situation(dirt=Dirt(900, "fine"))
    >>> [round(chance_to_find("recovery", rich, Change(shift_logit=0.45), pairs), 2) for pairs in (6, 12)]
    [0.52, 0.89]
    """
    return float(power(sight_of(measure, situation, change, pairs=pairs).effect, pairs, level=level))


def pairs_to_find(measure: MeasureName, situation: Situation, change: Change, *, level: float = 0.95) -> int | None:
    """How many pairs find a change 4 times in 5?

    Parameters
    ----------
    measure, situation, change
        As in `sight_of`.
    level
        Of the interval that has to leave 0 out.

    Returns
    -------
    int or None
        3 or more; None where `most_pairs` are too few.

    Notes
    -----
    With drift the number of pairs changes what each of them sees, so that it is looked for step by step: from what a
    usual trial sees to the pairs that would need, to what a trial of so many sees.

    Examples
    --------
    >>> from trials.simulation.dirt import Dirt
    >>> rich = Situation(dirt=Dirt(900, "fine"))
    >>> pairs_to_find("recovery", rich, Change(shift_logit=0.45)), pairs_to_find("recovery", rich, Change())
    (10, None)
    """
    most = most_pairs(situation.noise)
    enough: int | None = None
    tried: set[int] = set()
    to_try = [min(USUAL_PAIRS, most)]
    while to_try:
        pairs = to_try.pop()
        if pairs in tried:
            continue
        tried.add(pairs)
        needed = _needed(sight_of(measure, situation, change, pairs=pairs), level)
        if situation.noise.drift_points_per_run == 0.0 or needed is None:
            return needed if needed is not None and needed <= most else None
        if needed <= pairs and (enough is None or pairs < enough):
            enough = pairs
        if needed <= most:
            to_try = [needed]
        elif enough is None and needed < _HOPELESS:
            to_try = [most // 2, most]
    return enough


def most_pairs(noise: Noise) -> int:
    """How long a trial can be compared with itself: 60 pairs, or fewer where runs drift far.

    Notes
    -----
    Drift may have moved the middle run by 2 on the logit, as from 90 % kept to 98.5: our default, not a finding.
    Beyond, the noise model says less and less of what is left to find.

    Examples
    --------
    >>> from trials.simulation.noise_model import LOW, POOR, TYPICAL
    >>> most_pairs(LOW), most_pairs(TYPICAL), most_pairs(POOR)
    (60, 60, 18)
    """
    fit = (pairs for pairs in range(MOST_PLANNED, FEWEST_PLANNED, -1) if abs(mean_shift(noise, pairs)) <= _FARTHEST)
    return next(fit, FEWEST_PLANNED)


def _needed(sight: Sight, level: float) -> int | None:
    """The pairs that would find what is seen; None over a million."""
    if sight.effect == 0.0:
        return None
    planned = pairs_for(sight.difference, sight.sd, level=level)
    return pairs_without_limit(sight.difference, sight.sd, level=level) if planned is None else planned


def smallest_found(measure: MeasureName, situation: Situation, pairs: int, *, level: float = 0.95) -> float | None:
    """How small a gain do so many pairs find 4 times in 5, on the measure's scale?

    Parameters
    ----------
    measure, situation
        As in `sight_of`.
    pairs
        2 or more.
    level
        Of the interval that has to leave 0 out.

    Returns
    -------
    float or None
        What it truly does in a usual trial; None where there is no such gain to be had.

    Notes
    -----
    Begun with the scatter of two unchanged arms, then with that of a change so large, until the two agree to 1 %.

    Examples
    --------
    >>> from trials.simulation.dirt import Dirt
    >>> rich = Situation(dirt=Dirt(900, "fine"))
    >>> round(smallest_found("recovery", rich, 10), 1)
    4.7
    """
    effect = float(smallest_findable(pairs, power=CHANCES, level=level))
    sd = budget_at(measure, situation, pairs).sd_pair
    found = None
    for _ in range(_ROUNDS):
        change = shift_reaching(measure, effect * sd, situation, pairs=pairs)
        if change is None:
            return None
        found = true_difference(measure, situation, change)
        seen = sight_of(measure, situation, change, pairs=pairs).sd
        if abs(seen - sd) < 0.01 * sd:
            break
        sd = seen
    return found
