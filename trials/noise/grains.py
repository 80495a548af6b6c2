"""What becomes of the grains of a run on the average: how many are fed, kept and lost, and how habits move them."""

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
import numpy.typing as npt

from schemas import MeasureName
from trials.measures.catalogue import measure_named
from trials.noise.quadrature import bell, log_spread
from trials.noise.situation import Situation
from trials.simulation.dirt import Dirt
from trials.simulation.gear import TrueEffect, recovery_logits
from trials.simulation.grains import LOST_IN_PAN
from trials.simulation.noise_model import Noise, logit_sd
from trials.simulation.run_effects import drift_by_turn
from trials.statistics.arrays import Numbers

USUAL_PAIRS = 6
"""Pairs a trial is taken to have where nothing says how many; our default, not a finding."""
_ONE_EACH: Numbers = np.ones(LOST_IN_PAN.shape)
_FARTHEST = 30.0  # logits; beyond it a share is 0 or 1 to all digits that matter


def require_feed(measure: MeasureName, situation: Situation, pairs: int) -> None:
    """Refuse a situation in which there is nothing to measure: no tracers, no gold, no pair.

    >>> require_feed("tracers", Situation(), 6)
    Traceback (most recent call last):
    ValueError: SeededTracers.fed is 0, so there is nothing to count. Give the grains of each size seeded into a run.
    """
    if pairs < 1:
        raise ValueError(f"pairs is {pairs}; a trial has 1 or more. Give the pairs planned.")
    if not measure_named(measure).is_simulated:
        raise ValueError(f"{measure} does not say how it is simulated, so nothing can be foretold of it.")
    if measure_named(measure).is_seeded:
        if situation.tracers.fed_in_all == 0:
            raise ValueError(
                "SeededTracers.fed is 0, so there is nothing to count. Give the grains of each size seeded into a run."
            )
    elif situation.dirt.gold_mg == 0.0:
        raise ValueError(
            f"Dirt.gold_mg is 0, so there is nothing to show for {measure}. Give the gold expected in one run's half."
        )


@dataclass(frozen=True, eq=False)
class RunGrains:
    """The grains of one run, at each of many nodes; arrays of shape (..., 10), coarsest first, or (10,) if all alike.

    kept: Share of them found in the catch, after the final pan-out.
    lost: Share of them gone to the tails. What is in neither was panned away.
    mass_mg: Mean mass of a grain, shape (10,); 1 where grains are counted.
    mass_cv: CV of grain mass within a class; 0 where grains are counted.
    clumping: Variance over mean of what a split gives, less 1: 0 is pure luck.
    """

    fed: Numbers
    kept: Numbers
    lost: Numbers
    mass_mg: Numbers
    mass_cv: float
    clumping: float

    @cached_property
    def kept_mg(self) -> Numbers:
        """Gold in the catch, mg; grains where grains are counted."""
        return self.total(self.kept)

    @cached_property
    def lost_mg(self) -> Numbers:
        """Gold truly in the tails, mg; grains where grains are counted."""
        return self.total(self.lost)

    def total(self, share: Numbers) -> Numbers:
        """Add up the mass of so large a share of every class; the class axis goes."""
        summed: Numbers = (self.fed * share) @ self.mass_mg
        return summed


@dataclass(frozen=True, eq=False)
class Shared:
    """What both halves of a pair have in common, at each of many nodes; shape (nodes,).

    shift: Day, water, feeder and the turn in the trial, on the logit of recovery.
    richness: Gold fed over gold expected.
    """

    shift: Numbers
    richness: Numbers
    weight: Numbers

    def mean(self, values: Numbers) -> float:
        """Average values of shape (nodes,)."""
        return float(values @ self.weight)


def shared(situation: Situation, pairs: int) -> Shared:
    """Lay out the nodes of what the halves of a pair share, over the pairs of a trial: 1 where nothing acts, up to 20.

    Derived from the assumed noise model.
    """
    shift = bell(shared_sd(situation.noise, pairs), 5)
    log_variance = log_spread(situation.dirt.lot_cv) + log_spread(situation.dirt.fed_cv)
    rich = bell(math.sqrt(log_variance), 4)
    return Shared(
        shift=np.repeat(shift.at, rich.at.size),
        richness=np.tile(np.exp(rich.at - log_variance / 2), shift.at.size),
        weight=np.outer(shift.weight, rich.weight).ravel(),
    )


def shared_sd(noise: Noise, pairs: int) -> float:
    """Give the SD of what both halves of a pair share, over the pairs of many trials, on the logit of recovery."""
    drift = _drift_sd(noise.drift_points_per_run, pairs)
    return logit_sd(math.hypot(noise.session_sd_points, noise.operator_sd_points, drift))


@lru_cache(maxsize=1_024)
def _drift_sd(points_per_run: float, pairs: int) -> float:
    return float(drift_by_turn(points_per_run, 2 * pairs).std())


@lru_cache(maxsize=1_024)
def halves_apart(noise: Noise, pairs: int) -> float:
    """Give how far drift takes the two halves of a pair apart, root mean square over the pairs, on the logit.

    A turn of drift up to the twelfth run, and nothing after it.

    >>> [round(halves_apart(Noise(drift_points_per_run=0.9), pairs), 3) for pairs in (3, 6, 24)]
    [0.1, 0.1, 0.05]
    """
    by_turn = drift_by_turn(noise.drift_points_per_run, 2 * pairs)
    return logit_sd(math.sqrt(float(np.mean((by_turn[1::2] - by_turn[::2]) ** 2))))


def grains_of(
    situation: Situation,
    shift: npt.ArrayLike = 0.0,
    richness: npt.ArrayLike = 1.0,
    *,
    counted: bool = False,
    change: TrueEffect | None = None,
) -> RunGrains:
    """What becomes of the grains of a run that stands so far from a run without luck?

    `shift` is on the logit of recovery of every class, `richness` gold fed over gold expected, above 0; their joint
    shape and a class axis are that of the answer. `counted`: each grain counts as 1, whatever its mass.

    >>> from trials.simulation.dirt import Dirt
    >>> from trials.simulation.noise_model import Noise
    >>> grains = grains_of(Situation(dirt=Dirt(900, "fine"), noise=Noise()))
    >>> round(float(grains.kept_mg / (grains.kept_mg + grains.lost_mg)), 4)
    0.8194
    """
    dirt = situation.dirt
    logits = recovery_logits(situation.gear, (change or TrueEffect(),))[1]
    stands = np.maximum(np.minimum(logits + np.asarray(shift)[..., np.newaxis], _FARTHEST), -_FARTHEST)
    lost = 1.0 / (1.0 + np.exp(stands))
    fed = dirt.expected_grains() * np.asarray(richness)[..., np.newaxis]
    return RunGrains(
        fed=fed,
        kept=(1.0 - lost) * _kept_in_pan(situation.noise.panout_loss_fine),
        lost=lost,
        mass_mg=_ONE_EACH if counted else dirt.grain_masses_mg(),
        mass_cv=0.0 if counted else dirt.grain_cv,
        clumping=dirt.split_vmr - 1.0,
    )


@lru_cache(maxsize=1_024)
def _kept_in_pan(loss_of_fine: float) -> Numbers:
    """Share of each class that the final pan-out leaves."""
    return np.where(LOST_IN_PAN, 1.0 - loss_of_fine, 1.0)


def feed_noise_cv(dirt: Dirt) -> float:
    """How far does the gold of one half lie from what was expected, by the luck of its grains and of the split?

    A CV: sqrt(sum n m^2 (v + cv^2)) / sum n m, the spread of a sum of a random number of random grains. Two halves
    differ by sqrt(2) times as much. Infinite without gold.

    >>> round(feed_noise_cv(Dirt(gold_mg=9, size_set="coarse", grain_cv=0.0)), 2)
    0.7
    """
    grains, mass_mg = dirt.expected_grains(), dirt.grain_masses_mg()
    if dirt.gold_mg == 0.0:
        return math.inf
    squares = float(grains @ mass_mg**2) * (dirt.split_vmr + dirt.grain_cv**2)
    return math.sqrt(squares) / float(grains @ mass_mg)
