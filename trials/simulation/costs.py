"""What the runs cost: minutes, water and black sand. Assumed, not measured."""

from dataclasses import dataclass

import numpy as np

from trials.simulation.factors import lognormal
from trials.simulation.gear import SimulatedGear, TrueEffect
from trials.simulation.noise_model import Noise
from trials.simulation.schedule import Schedule
from trials.statistics.arrays import Numbers


@dataclass(frozen=True, eq=False)
class RunCosts:
    """Costs of each run; every array has shape (trials, pairs, arms)."""

    minutes: Numbers
    water_l_min: Numbers
    black_sand_g: Numbers


def draw_costs(
    rng: np.random.Generator, noise: Noise, schedule: Schedule, gear: SimulatedGear, changes: tuple[TrueEffect, ...]
) -> RunCosts:
    """Draw what each run cost: all positive, independent of each other and of the gold.

    A faster feed shortens the run: minutes = gear minutes x arm ratio / feed rate over intended. `changes` holds one
    for each arm after the baseline. Source: assumed noise model, no source.
    """
    minutes_ratio = np.asarray([1.0, *(change.minutes_ratio for change in changes)])
    sand_ratio = np.asarray([1.0, *(change.black_sand_ratio for change in changes)])
    return RunCosts(
        minutes=gear.minutes * minutes_ratio / lognormal(rng, noise.feed_cv, schedule.shape),
        water_l_min=gear.water_l_min * lognormal(rng, noise.water_cv, schedule.shape),
        black_sand_g=gear.black_sand_g * sand_ratio * lognormal(rng, noise.black_sand_cv, schedule.shape),
    )
