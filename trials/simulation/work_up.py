"""From the grains that came out to what is counted and weighed."""

from dataclasses import dataclass

import numpy as np

from trials.simulation.arrays import IntArray
from trials.simulation.counting import count_each, count_in_all
from trials.simulation.factors import lognormal
from trials.simulation.grains import GrainFates
from trials.simulation.noise_model import Noise
from trials.simulation.schedule import Schedule, next_run
from trials.simulation.streams import Streams
from trials.simulation.weighing import weigh_mg
from trials.statistics.arrays import Numbers


@dataclass(frozen=True, eq=False)
class RunGold:
    """Grains and gold of every run; arrays of shape (trials, pairs, arms), or by class with one more axis.

    By class, each class is weighed by itself: the weighed classes do not add up to one weighing of the whole.

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


def work_up(
    streams: Streams, schedule: Schedule, noise: Noise, fates: GrainFates, *, by_class: bool = False
) -> RunGold:
    """Count and weigh what came of each run, all sizes together or by class; gold held comes out with the next run.

    Source: assumed noise model, no source.
    """
    counted = _counted(streams.counting, schedule, noise, fates, by_class=by_class) if noise.counting_cv else None
    if not by_class:
        fates = fates.pooled()
    rng = streams.scale
    kept_mg = fates.found_mg + next_run(schedule, fates.held_mg)
    spread = lognormal(rng, noise.tails_cv, schedule.shape)
    classes = (1,) * (fates.tails_mg.ndim - spread.ndim)
    tails_found_mg = noise.tails_found * fates.tails_mg * spread.reshape(spread.shape + classes)
    scale = {"scale_sd_g": noise.scale_sd_g, "scale_division_g": noise.scale_division_g}
    return RunGold(
        grains_fed=fates.found + fates.held + fates.tails + fates.panned_away,
        grains_kept=fates.found + next_run(schedule, fates.held) if counted is None else counted,
        gold_kept_true_mg=kept_mg,
        gold_tails_true_mg=fates.tails_mg,
        gold_kept_mg=weigh_mg(rng, kept_mg, **scale),
        gold_tails_mg=weigh_mg(rng, tails_found_mg, **scale),
    )


def _counted(
    rng: np.random.Generator, schedule: Schedule, noise: Noise, fates: GrainFates, *, by_class: bool
) -> IntArray:
    kept, cv = fates.found + next_run(schedule, fates.held), np.asarray(noise.counting_cv)
    return (count_each if by_class else count_in_all)(rng, kept, cv)
