"""What is written down for grains that are truly there: a count errs, and the more so the finer they are."""

import numpy as np

from trials.simulation.arrays import IntArray
from trials.statistics.arrays import Numbers


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
