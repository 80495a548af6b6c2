"""From the grains that came out to what is counted and weighed."""

import math
from dataclasses import dataclass

import numpy as np

from trials.simulation.arrays import IntArray
from trials.simulation.grains import GrainFates
from trials.simulation.noise_model import Noise
from trials.simulation.schedule import Schedule, next_run
from trials.simulation.streams import Streams, lognormal
from trials.statistics.arrays import Numbers


def net_weight_sd_mg(scale_sd_g: float) -> float:
    """Give the SD of one net weighing, mg: two readings, gross less tare, each with this SD."""
    return 1000.0 * scale_sd_g * math.sqrt(2)


def weigh_mg(
    rng: np.random.Generator, true_mg: Numbers, *, scale_sd_g: float, scale_division_g: float = 0.0
) -> Numbers:
    """Draw the net weight that is written down, mg, never negative. No gold at all is not weighed: 0.

    `scale_division_g` is the step of the scale; 0 does not round. Normal error is assumed for simulation, no source.

    >>> rng = np.random.default_rng(1)
    >>> weigh_mg(rng, np.array([0.0, 5.2, 91.7]), scale_sd_g=0.002, scale_division_g=0.001)
    array([ 0.,  8., 93.])
    """
    shown = true_mg + net_weight_sd_mg(scale_sd_g) * rng.standard_normal(true_mg.shape)
    if scale_division_g:
        step_mg = 1000.0 * scale_division_g
        shown = np.rint(shown / step_mg) * step_mg
    return np.where(true_mg > 0.0, np.maximum(shown, 0.0), 0.0)


def count_each(rng: np.random.Generator, grains: IntArray, cv: Numbers) -> IntArray:
    """Draw the count that is written down of each size; `cv` is that of one count, by size on the last axis.

    Whole grains, never under 0; none is counted as none. Normal error is assumed for simulation, no source.

    >>> count_each(np.random.default_rng(1), np.array([0, 100, 100]), np.array([0.1, 0.1, 0.0])).tolist()
    [0, 108, 100]
    """
    return _written_down(rng, grains, cv * grains)


def count_in_all(rng: np.random.Generator, grains: IntArray, cv: Numbers) -> IntArray:
    """Draw the count that is written down of all sizes together, each of which errs by itself; the last axis goes.

    >>> count_in_all(np.random.default_rng(1), np.array([[300, 400]]), np.array([0.0, 0.05])).tolist()
    [707]
    """
    return _written_down(rng, grains.sum(axis=-1), np.sqrt(((cv * grains) ** 2).sum(axis=-1)))


def _written_down(rng: np.random.Generator, grains: IntArray, sd: Numbers) -> IntArray:
    counted = np.maximum(np.rint(grains + sd * rng.standard_normal(grains.shape)), 0.0)
    return counted.astype(np.int64)


@dataclass(frozen=True, eq=False)
class RunGold:
    """Grains and gold of every run; arrays of shape (trials, pairs, arms).

    grains_kept: Native grains counted in the concentrate: of this run, and left over from the one before.
    gold_kept_true_mg, gold_tails_true_mg: Gold truly in the concentrate and in the tails, mg.
    gold_kept_mg, gold_tails_mg: The same as worked up and weighed, mg, never negative.
    """

    grains_fed: IntArray
    grains_kept: IntArray
    gold_kept_true_mg: Numbers
    gold_tails_true_mg: Numbers
    gold_kept_mg: Numbers
    gold_tails_mg: Numbers


def work_up(streams: Streams, schedule: Schedule, noise: Noise, fates: GrainFates) -> RunGold:
    """Count and weigh what came of each run, all sizes together; gold held comes out with the next run.

    Source: assumed noise model, no source.
    """
    by_size, fates = fates, fates.pooled()
    if noise.counting_cv:
        kept_by_size = by_size.found + next_run(schedule, by_size.held)
        grains_kept = count_in_all(streams.counting, kept_by_size, np.asarray(noise.counting_cv))
    else:
        grains_kept = fates.found + next_run(schedule, fates.held)
    rng = streams.scale
    kept_mg = fates.found_mg + next_run(schedule, fates.held_mg)
    tails_found_mg = noise.tails_found * fates.tails_mg * lognormal(rng, noise.tails_cv, schedule.shape)
    scale = {"scale_sd_g": noise.scale_sd_g, "scale_division_g": noise.scale_division_g}
    return RunGold(
        grains_fed=fates.found + fates.held + fates.tails + fates.panned_away,
        grains_kept=grains_kept,
        gold_kept_true_mg=kept_mg,
        gold_tails_true_mg=fates.tails_mg,
        gold_kept_mg=weigh_mg(rng, kept_mg, **scale),
        gold_tails_mg=weigh_mg(rng, tails_found_mg, **scale),
    )
