"""One run of a pair at every node, and what the kinds of luck that all gold measures know add to it."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from schemas import MeasureName
from trials.measures.catalogue import measure_named
from trials.noise.first_order import (
    Slopes,
    grain_noise,
    left_over_variance,
    pair_square,
    run_slopes,
    slopes_of,
)
from trials.noise.grains import RunGrains, Shared, grains_of, shared
from trials.noise.kinds import DRIFT, FEED, GRAIN_MASS, KEPT, LEFT_OVER, SCALE, SPLITTING
from trials.noise.quadrature import Nodes, bell
from trials.noise.situation import Situation
from trials.simulation.noise_model import logit_sd
from trials.statistics.arrays import Numbers


@dataclass(frozen=True, eq=False)
class Parts:
    """What the noise of one run is made of.

    variances: Of one run by kind of luck, on the measure's scale squared; recovery as a share, not in points.
    expected: What the run should show; recovery as a share.
    zero_share: Chance that it finds none.
    """

    variances: Mapping[str, float]
    expected: float
    zero_share: float = 0.0


@dataclass(frozen=True, eq=False)
class OneRun:
    """A run of the unchanged gear, laid out over the nodes.

    situation, measure, pairs: As asked.
    both: What it shares with the other half of its pair.
    run: Its own luck of the run.
    grains: Its grains, shape (shared nodes, run nodes, 10).
    slopes: Of the measure, shape (shared nodes, run nodes).
    """

    situation: Situation
    measure: MeasureName
    pairs: int
    both: Shared
    run: Nodes
    grains: RunGrains
    slopes: Slopes


def lay_out_run(measure: MeasureName, situation: Situation, pairs: int) -> OneRun:
    """Lay out one run with gold in its dirt over what it shares with the other half, and over its own luck.

    Where gold stays in the gear until the next run, the luck of a run reaches the other half too, or comes from it; the
    run effect is shrunk to what of it a pair still shows.

    >>> lay_out_run("recovery", Situation(), 6).grains.kept.shape
    (5, 7, 10)
    """
    noise, counted = situation.noise, measure_named(measure).what == "native grains"
    both = shared(situation, pairs)
    middle = grains_of(situation, both.shift, both.richness, counted=counted)
    own, before = run_slopes(middle, _slopes(measure, middle, situation), noise.carry_over)
    shrunk = np.sqrt(pair_square(own, before)) / (own + before)
    run = bell(logit_sd(noise.process_sd_points))
    shift = both.shift[:, np.newaxis] + shrunk[:, np.newaxis] * run.at
    grains = grains_of(situation, shift, both.richness[:, np.newaxis], counted=counted)
    return OneRun(situation, measure, pairs, both, run, grains, _slopes(measure, grains, situation))


def _slopes(measure: MeasureName, grains: RunGrains, situation: Situation) -> Slopes:
    return slopes_of(measure, grains.kept_mg, grains.lost_mg, situation.noise.tails_found)


def of_the_grains(one: OneRun, variance: Numbers) -> dict[str, float]:
    """Share out the luck of the grains, shape (shared nodes,), among its kinds, in the proportions of first order."""
    luck = grain_noise(one.grains, one.slopes)
    parts = {FEED: luck.fed, KEPT: luck.kept, GRAIN_MASS: luck.spread, SPLITTING: luck.split}
    averaged = {kind: one.both.mean(one.run.mean(part)) for kind, part in parts.items()}
    fitted = one.both.mean(variance) / sum(averaged.values())
    return {kind: fitted * part for kind, part in averaged.items()}


def from_run_to_run(one: OneRun) -> dict[str, float]:
    """What the order of the runs adds: drift from one half to the other, and gold of another lot left in the gear.

    A pair differs by one turn of drift, one way or the other: half its square a run.
    """
    noise = one.situation.noise
    own, before = run_slopes(one.grains, one.slopes, noise.carry_over)
    turn = logit_sd(noise.drift_points_per_run)
    of_kept = (one.slopes.kept * one.grains.kept_mg) ** 2
    of_lots = left_over_variance(noise.carry_over, one.situation.dirt.lot_cv, one.pairs)
    return {
        DRIFT: one.both.mean(one.run.mean((turn * (own + before)) ** 2)) / 2.0,
        LEFT_OVER: one.both.mean(one.run.mean(of_kept)) * of_lots,
    }


def with_scale(variances: Mapping[str, float], by_scale: float) -> dict[str, float]:
    """Add the scale; where it hides more luck than it adds, all others shrink alike instead.

    >>> with_scale({"splitting": 3.0}, 1.0), with_scale({"splitting": 3.0}, -1.0)
    ({'splitting': 3.0, 'scale': 1.0}, {'splitting': 2.0, 'scale': 0.0})
    """
    true = math.fsum(variances.values())
    left = max(true + min(by_scale, 0.0), 0.0) / true if true else 0.0
    return {**{kind: left * variance for kind, variance in variances.items()}, SCALE: max(by_scale, 0.0)}


def spread_over(nodes: Nodes, values: Numbers) -> tuple[Numbers, Numbers]:
    """Mean and variance of values over nodes, on the last axis.

    >>> mean, variance = spread_over(bell(2.0), 3.0 * bell(2.0).at)
    >>> abs(round(float(mean), 9)), round(float(variance), 9)
    (0.0, 36.0)
    """
    mean = nodes.mean(values)
    return mean, nodes.mean((values - mean[..., np.newaxis]) ** 2)
