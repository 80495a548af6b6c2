"""A few weighted points that stand in for a bell curve, so that an average over it is a short sum."""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from trials.statistics import special
from trials.statistics.arrays import Numbers


@dataclass(frozen=True, eq=False)
class Nodes:
    """Points, shape (points,), with weights that add up to 1."""

    at: Numbers
    weight: Numbers

    def mean(self, values: Numbers) -> Numbers:
        """Average values given at each point, on the last axis."""
        averaged: Numbers = values @ self.weight
        return averaged


def bell(sd: float, points: int = 7) -> Nodes:
    """Stand in for a bell curve about 0 under something smooth; exact for polynomials up to degree 2 points - 1.

    An SD of 0 gives the one point 0. Source: Gauss-Hermite quadrature, Abramowitz & Stegun, Handbook of Mathematical
    Functions, 1964, 25.4.46.

    >>> round(float(bell(2.0).mean(bell(2.0).at ** 4)), 6)  # 3 sd^4
    48.0
    """
    standard = _hermite(points if sd > 0.0 else 1)
    return Nodes(sd * standard.at, standard.weight)


@lru_cache
def even(points: int) -> Nodes:
    """Stand in for a bell curve with SD 1 under something with corners, as a scale that rounds.

    The middles of so many slices, 2 or more, of equal chance, stretched to an SD of exactly 1.

    >>> even(4).at.round(2), even(4).weight
    (array([-1.36, -0.38,  0.38,  1.36]), array([0.25, 0.25, 0.25, 0.25]))
    """
    at = special.ndtri((np.arange(points) + 0.5) / points)
    return Nodes(at / math.sqrt(float(np.mean(at**2))), np.full(points, 1.0 / points))


def log_spread(cv: float) -> float:
    """Give the variance of the log of a log-normal factor with this CV: ln(1 + cv^2)."""
    return math.log1p(cv**2)


@lru_cache
def _hermite(points: int) -> Nodes:
    at, weight = np.polynomial.hermite_e.hermegauss(points)
    return Nodes(at, weight / weight.sum())
