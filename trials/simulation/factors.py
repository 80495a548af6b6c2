"""Factors about 1: a rate a bit fast, a lot a bit rich."""

import math

import numpy as np

from trials.statistics.arrays import Numbers


def lognormal(rng: np.random.Generator, cv: float, shape: tuple[int, ...]) -> Numbers:
    """Draw positive factors with mean 1 and a given CV; their logs have SD sqrt(ln(1 + cv^2))."""
    sd = math.sqrt(math.log1p(cv**2))
    return np.exp(sd * rng.standard_normal(shape) - sd**2 / 2)
