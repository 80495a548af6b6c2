"""How much dirt each run was fed, and how rich it was. Assumed, not measured."""

from dataclasses import dataclass

import numpy as np

from trials.simulation.dirt import Dirt
from trials.simulation.factors import lognormal
from trials.simulation.schedule import Schedule
from trials.statistics.arrays import Numbers


@dataclass(frozen=True, eq=False)
class Feed:
    """Dirt fed to each run; every array has shape (trials, pairs, arms).

    richness: Gold expected in it over that expected of the dirt at large.
    """

    fed_g: Numbers
    richness: Numbers


def draw_feed(rng: np.random.Generator, dirt: Dirt, schedule: Schedule) -> Feed:
    """Draw how much dirt, and how rich, each run got.

    A pair is one lot: its runs share the lot's richness, and a heavier half holds more gold in proportion. Source:
    assumed for simulation, no source.
    """
    trials, pairs, _ = schedule.shape
    lot = lognormal(rng, dirt.lot_cv, (trials, pairs, 1))
    mass = lognormal(rng, dirt.fed_cv, schedule.shape)
    return Feed(fed_g=dirt.fed_g * mass, richness=lot * mass)
