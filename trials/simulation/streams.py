"""One random stream for each part of a simulation, so that changing one leaves the others alone; and factors."""

import math
from dataclasses import dataclass
from typing import Self, TypeAlias

import numpy as np

from trials.statistics.arrays import Numbers


def lognormal(rng: np.random.Generator, cv: float, shape: tuple[int, ...]) -> Numbers:
    """Draw positive factors with mean 1 and a given CV; their logs have SD sqrt(ln(1 + cv^2))."""
    sd = math.sqrt(math.log1p(cv**2))
    return np.exp(sd * rng.standard_normal(shape) - sd**2 / 2)


Seed: TypeAlias = int | np.random.Generator


@dataclass(frozen=True, eq=False)
class Streams:
    """Independent generators, all children of one seed.

    Effects on recovery of process, session and feeder; feed, how rich and how heavy; grains, which and how heavy;
    scale, for weighing and the work-up; costs; tracers; counting.
    """

    effects: np.random.Generator
    feed: np.random.Generator
    grains: np.random.Generator
    scale: np.random.Generator
    costs: np.random.Generator
    tracers: np.random.Generator
    counting: np.random.Generator

    @classmethod
    def from_seed(cls, rng: Seed) -> Self:
        """Give every part of the simulation its own stream, of a seed (0 or more) or a generator made from one.

        The same seed always gives the same streams; one generator asked twice gives new ones. A generator not made from
        a seed sequence cannot be split: numpy raises ``TypeError``. Source: numpy, "Parallel random number generation",
        ``Generator.spawn``.

        >>> a, b = Streams.from_seed(7), Streams.from_seed(7)
        >>> a.grains.random() == b.grains.random() != a.scale.random()
        True
        """
        return cls(*np.random.default_rng(rng).spawn(7))
