"""Had the draw gone otherwise, how often would the difference have come out as large? Sign flips.

Which half of a pair was run with the change is a coin of the draw. If the change does nothing, every pair's
difference could as well have come out with the other sign. All 2^pairs ways of flipping the signs are then equally
likely, and no bell curve is needed.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trials.statistics.arrays import Numbers, number_or_array
from trials.statistics.checks import checked_differences, checked_level

EXACT_TO_PAIRS = 20
DRAWN_FLIPS = 100_000


@dataclass(frozen=True, slots=True, eq=False)
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


@lru_cache(maxsize=4)
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
    by_pair = np.asfortranarray(drawn[partial])
    by_pair.flags.writeable = False  # whoever has them from the cache can't change them
    return FlipSets(pairs, DRAWN_FLIPS, by_pair, empty=1 + int((~partial).sum()))


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


# Sums that differ by so much of the sum of absolute differences are ties: floats of equal decimals may differ.
TIE_SHARE = 1e-12
_SUMS_AT_ONCE = 2**21


@dataclass(frozen=True, slots=True)
class SignFlip:
    """The check by the draw of one trial (plain numbers) or of many (arrays of the leading shape).

    p: Two-sided: share of flips whose sum is as far from 0 as the one that happened, that one and ties counted.
    low, high: Limits of the true difference; where there are too few pairs for any, None (one trial) or NaN (many).
    flips: How many flips were counted: 2^pairs, or 100,000 drawn ones.
    smallest_p: The smallest p that so many flips can give, 2 / flips.
    """

    p: Any
    low: Any
    high: Any
    flips: int
    exact: bool
    smallest_p: float


def sign_flip(differences: ArrayLike, *, level: float = 0.95, seed: int = 1) -> SignFlip:
    """Had the draw gone otherwise, how often would the difference of 2 or more pairs have come out as large?

    `seed` picks the drawn flips; it has no effect up to 20 pairs.

    - Up to 20 pairs all 2^pairs flips are counted. Above, 49,999 sets of pairs to flip are drawn, each pair in or
      out by a coin; every set goes with its opposite, and the flip that happened goes with its own: 100,000 in all.
      The pairs are first put in order of size, so that it does not matter in which order they are given.
    - Two sums that differ by at most 1e-12 of the sum of absolute differences are a tie, and ties count.
    - p never falls under 2 / flips: .25, .125, .0625 at 3, 4, 5 pairs. From 6 pairs it can pass under .05.
    - The limits turn the same check around: a true difference stays inside as long as flips about it do not
      make it rarer than 1 - level. They are the m-th smallest and the m-th largest mean of a non-empty set of pairs
      to flip, m = floor((1 - level)/2 x flips). m = 0: there are none.
    - p and limits agree: 0 lies outside (beyond low or high) if and only if p is not over 2 m / flips.
    - All differences equal and not 0: p is the smallest there is, and both limits are that difference. All 0: p is 1.

    Source: Fisher, The Design of Experiments, 1935, sec. 21; Pitman, Suppl. J. R. Stat. Soc. 4, 1937, p. 119;
    limits: Hartigan, Using subsample values as typical values, J. Am. Stat. Assoc. 64, 1969, p. 1303, theorems for
    all and for random subsets; drawn flips with the one that happened counted among them: Dwass, Ann. Math. Stat.
    28, 1957, p. 181, and Hemerik & Goeman, TEST 27, 2018, p. 811 (pages cited from memory).

    >>> check = sign_flip([2.1, 0.4, 3.0, 1.2, -0.5, 2.6])
    >>> check.p, check.low, check.high, check.flips, check.smallest_p
    (0.09375, -0.5, 3.0, 64, 0.03125)
    """
    values = checked_differences(differences, at_least=2)
    level = checked_level(level)
    sets = flip_sets(values.shape[-1], seed)
    # (1 - .95)/2 is .025 and some float dust; a level that asks for a whole number must not lose it to the dust.
    rank = math.floor((1 - level) / 2 * sets.flips + 1e-9)
    results = [_p_and_limits(chunk, sets, rank) for chunk in _chunks(values, sets)]
    shape = values.shape[:-1]
    p, low, high = (_joined(column, shape) for column in zip(*results, strict=True))
    no_limits = not shape and np.isnan(low)
    return SignFlip(
        p=number_or_array(p),
        low=None if no_limits else number_or_array(low),
        high=None if no_limits else number_or_array(high),
        flips=sets.flips,
        exact=sets.exact,
        smallest_p=2 / sets.flips,
    )


def _chunks(values: Numbers, sets: FlipSets) -> Iterator[Numbers]:
    """Cut the trials, one a row, into chunks whose sums fit into bounded memory."""
    rows = values.reshape(-1, sets.pairs)
    if not sets.exact:
        rows = _in_order_of_size(rows)
    step = max(1, _SUMS_AT_ONCE // sets.flips)
    for start in range(0, max(1, len(rows)), step):
        yield rows[start : start + step]


def _in_order_of_size(rows: Numbers) -> Numbers:
    rows = np.sort(rows, axis=-1)
    return np.take_along_axis(rows, np.argsort(np.abs(rows), axis=-1, kind="stable"), axis=-1)


def _sums(rows: Numbers, sets: FlipSets) -> tuple[Numbers, Numbers]:
    """Sums over each set, each trial turned so that its total is not under 0, and what counts as 0 among them.

    A flipped sum is total - 2 x (sum over the set), so that a tie within 1e-12 there is one within half of it here.
    """
    return subset_sums(rows * _turn(rows), sets), TIE_SHARE / 2 * np.abs(rows).sum(axis=-1, keepdims=True)


def _turn(rows: Numbers) -> Numbers:
    return np.where(rows.sum(axis=-1, keepdims=True) < 0, -1.0, 1.0)


def _reaching(sums: Numbers, tie: Numbers) -> NDArray[np.int64]:
    """Half the number of flips as far from 0 as what happened (total 0: half of all, or more).

    With total > 0 the flipped sum total - 2s reaches total where s <= 0, and -total where the opposite set has
    s <= 0: twice the count of sets with s <= 0.
    """
    reaching: NDArray[np.int64] = (sums <= tie).sum(axis=-1)
    return reaching


def _p_and_limits(rows: Numbers, sets: FlipSets, rank: int) -> tuple[Numbers, Numbers, Numbers]:
    sums, tie = _sums(rows, sets)
    reaching = _reaching(sums, tie)
    low, high = _ranked_means(sums, sets, rank)
    # Turned, 0 is never above the high limit, and below the low one only if p says so; float dust must not differ.
    low, high = np.where(reaching > rank, np.minimum(low, 0.0), low), np.maximum(high, 0.0)
    turned = _turn(rows)[:, 0] < 0
    p = np.minimum(1.0, 2 * reaching / sets.flips)
    return p, np.where(turned, 0.0 - high, low), np.where(turned, 0.0 - low, high)


def _ranked_means(sums: Numbers, sets: FlipSets, rank: int) -> tuple[Numbers, Numbers]:
    """Take the rank-th smallest and largest mean over non-empty sets.

    An empty set drawn again reaches at every true difference: it stands below all means and above all means, and
    uses up one rank at each end.
    """
    rank -= sets.empty - 1
    if rank < 1:
        none = np.full(len(sums), np.nan)
        return none, none
    means = sums[:, sets.empty :] / _sizes(sets)[:, sets.empty :]
    last = means.shape[-1] - rank
    means.partition((rank - 1, last), axis=-1)
    return means[:, rank - 1], means[:, last]


@lru_cache(maxsize=4)
def _sizes(sets: FlipSets) -> Numbers:
    """How many pairs each set holds."""
    return subset_sums(np.ones((1, sets.pairs)), sets)


def _joined(chunks: Sequence[Numbers], shape: tuple[int, ...]) -> Numbers:
    return np.concatenate(chunks).reshape(shape)
