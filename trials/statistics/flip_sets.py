"""Which pairs are flipped: all sets of pairs there are, or drawn ones where there are too many."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trials.statistics.arrays import Numbers

EXACT_TO_PAIRS = 20
DRAWN_FLIPS = 100_000


@dataclass(frozen=True, slots=True)
class FlipSets:
    """The sets of pairs that are flipped.

    flips: How many sets there are, the empty one (what happened) counted.
    drawn: One row a set, True for the pairs in it, neither empty nor full; the opposite sets are not listed. None: all
        sets there are.
    empty: How many of the sets are empty: 1, and more if the draw struck the empty or the full set again.
    """

    pairs: int
    flips: int
    drawn: NDArray[np.bool_] | None
    empty: int

    @property
    def exact(self) -> bool:
        """Whether these are all sets there are."""
        return self.drawn is None


def flip_sets(pairs: int, seed: int) -> FlipSets:
    """Which sets of so many pairs are flipped? `seed` picks the drawn ones.

    Up to 20 pairs all 2^pairs sets. Above, the empty and the full set, 49,999 drawn with replacement (each pair in or
    out by a coin), and the opposites of those: 100,000. Source: see `sign_flip`.

    >>> flip_sets(6, seed=1).flips, flip_sets(30, seed=1).flips
    (64, 100000)
    """
    if pairs <= EXACT_TO_PAIRS:
        return FlipSets(pairs, 2**pairs, drawn=None, empty=1)
    random = np.random.default_rng(seed)
    drawn = random.integers(0, 2, size=(DRAWN_FLIPS // 2 - 1, pairs), dtype=np.int8).astype(bool)
    inside = drawn.sum(axis=1)
    partial = (inside > 0) & (inside < pairs)
    return FlipSets(pairs, DRAWN_FLIPS, drawn[partial], empty=1 + int((~partial).sum()))


def subset_sums(rows: Numbers, sets: FlipSets) -> Numbers:
    """Sum each trial's differences (trials, pairs) over each set; shape (trials, flips), the empty sets first.

    >>> subset_sums(np.array([[1.0, 10.0]]), flip_sets(2, seed=1))
    array([[ 0.,  1., 10., 11.]])
    """
    sums = np.empty((len(rows), sets.flips))
    if sets.drawn is None:
        _sum_all(rows, sums)
    else:
        _sum_drawn(rows, sets.drawn, sets.empty, sums)
    return sums


def _sum_all(rows: Numbers, sums: Numbers) -> None:
    sums[:, 0] = 0.0
    for pair in range(rows.shape[1]):
        # Doubling: every set so far, and the same with one more pair in it.
        np.add(sums[:, : 2**pair], rows[:, pair, np.newaxis], out=sums[:, 2**pair : 2 ** (pair + 1)])


def _sum_drawn(rows: Numbers, drawn: NDArray[np.bool_], empty: int, sums: Numbers) -> None:
    full = 2 * empty
    inside, opposite = sums[:, full : full + len(drawn)], sums[:, full + len(drawn) :]
    inside[:] = 0.0
    for pair in range(rows.shape[1]):
        inside += rows[:, pair, np.newaxis] * drawn[:, pair]
    total = rows.sum(axis=-1, keepdims=True)
    sums[:, :empty] = 0.0
    sums[:, empty:full] = total
    np.subtract(total, inside, out=opposite)
