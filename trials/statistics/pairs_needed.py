"""How many pairs does a change of this size need, and how small a change can so many pairs find?"""

import math
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trials.statistics import special
from trials.statistics.arrays import Numbers, number_or_array
from trials.statistics.checks import MOST_PAIRS, checked_level, checked_pairs
from trials.statistics.limits import critical_t

_HALVINGS = 60
# Beyond so many SDs every trial finds the difference, and the noncentral t has no more digits to give.
LARGEST_EFFECT = 1e6
# Above it the noncentral t has no answer at 2 pairs where the answer matters.
_LARGEST_LEVEL = 0.9999


def power(effect: ArrayLike, pairs: ArrayLike, *, level: float = 0.95) -> Any:  # noqa: ANN401 - float or array
    """How often would a trial of 2 to 1,000,000 pairs find a true difference of this size?

    P(|T| > t((1 + level)/2, pairs - 1)), T noncentral t with pairs - 1 degrees of freedom and noncentrality
    effect x sqrt(pairs); `effect` is the true mean difference over the SD of one pair difference, either sign. `level`,
    up to 0.9999, is that of the interval that has to leave 0 out.

    - effect 0: the false alarms, 1 - level.
    - Both tails are counted. Where `scipy.special.nctdtr` has no answer for a tail, that tail is under 1e-12 and is
      left out (met at noncentralities over 6 in the far tail, over 36 in the near one).

    Source: Johnson & Welch, Applications of the non-central t-distribution, Biometrika 31, 1940, p. 362; Cohen,
    Statistical Power Analysis for the Behavioral Sciences, 2nd ed., 1988, ch. 2 (cited from memory).

    >>> round(power(1.0, 8), 4)
    0.6808
    """
    return number_or_array(_power(_checked_effect(effect), checked_pairs(pairs), _checked_level(level)))


def pairs_needed(effect: float, *, power: float = 0.8, level: float = 0.95) -> int | None:
    """How many pairs does a trial need to find a true difference of this size so often? None if a million are too few.

    `effect`, not 0, and `level` as in `power`; `power`, how often it should be found, lies between 1 - level (which
    luck alone gives) and 1. Never under 2, however large the effect: one pair has no scatter.

    Source: as `power`.

    >>> pairs_needed(1.0), pairs_needed(0.5), pairs_needed(0.5, power=0.9)
    (10, 34, 44)
    """
    size = _checked_effect(effect)
    level = _checked_level(level)
    target = _checked_power(power, level)
    if size.ndim or size == 0:
        raise ValueError(f"effect: {effect} cannot be planned for; give one difference that is not 0.")

    def finds(pairs: int) -> bool:
        return bool(_power(size, np.asarray(pairs), level) >= target)

    # Begun where a bell curve would have it, which is mostly right to a pair or two.
    reach = float(special.ndtri((1.0 + level) / 2.0))
    by_bell = ((reach + float(special.ndtri(target))) / max(abs(float(size)), 1e-6)) ** 2 + reach**2 / 2.0
    enough = min(max(2, math.ceil(by_bell)), MOST_PAIRS)
    step = 1
    while not finds(enough):
        if enough == MOST_PAIRS:
            return None
        enough, step = min(enough + step, MOST_PAIRS), 2 * step
    too_few, step = enough - 1, 1
    while too_few > 1 and finds(too_few):
        enough, too_few, step = too_few, max(1, too_few - 2 * step), 2 * step
    while enough - too_few > 1:
        middle = (enough + too_few) // 2
        enough, too_few = (middle, too_few) if finds(middle) else (enough, middle)
    return enough


def smallest_findable(pairs: ArrayLike, *, power: float = 0.8, level: float = 0.95) -> Any:  # noqa: ANN401
    """How small a true difference, in SDs of one pair difference, does a trial of so many pairs find so often?

    As `pairs_needed`, asked the other way. Found by halving an interval to the last digits of a float; `power` of the
    answer is the power asked for.

    >>> [round(smallest_findable(pairs), 3) for pairs in (3, 6, 12)]
    [3.264, 1.435, 0.889]
    """
    counts = checked_pairs(pairs)
    level = _checked_level(level)
    target = _checked_power(power, level)
    return _smallest_of_one(int(counts), target, level) if counts.ndim == 0 else _smallest(counts, target, level)


def _smallest(counts: NDArray[np.int64], target: float, level: float) -> Numbers:
    low = np.zeros(counts.shape)
    high = np.ones(counts.shape)
    while (short := _power(high, counts, level) < target).any():
        high = np.where(short, 2 * high, high)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        found = _power(middle, counts, level) >= target
        low, high = np.where(found, low, middle), np.where(found, middle, high)
    return high


@lru_cache(maxsize=1_024)
def _smallest_of_one(pairs: int, target: float, level: float) -> float:
    return float(_smallest(np.asarray(pairs), target, level))


def _power(effect: Numbers, pairs: Any, level: float) -> Numbers:  # noqa: ANN401 - whole numbers of any shape
    """Both tails of the noncentral t beyond the critical value, for checked input."""
    df = pairs - 1
    critical = critical_t(df, level)
    noncentrality = np.abs(effect) * np.sqrt(pairs)
    near, far = (special.nctdtr(df, noncentrality, at) for at in (critical, -critical))
    both: Numbers = 1.0 - np.where(np.isnan(near), 0.0, near) + np.where(np.isnan(far), 0.0, far)
    return both


def _checked_effect(effect: ArrayLike) -> Numbers:
    values = np.asarray(effect, dtype=float)
    if not np.isfinite(values).all():
        unfit = values[~np.isfinite(values)].flat[0]
        raise ValueError(f"effect: {unfit} is not a finite number; give difference / SD of one pair difference.")
    clipped: Numbers = np.clip(values, -LARGEST_EFFECT, LARGEST_EFFECT)
    return clipped


def _checked_level(level: float) -> float:
    if level > _LARGEST_LEVEL and level < 1:
        raise ValueError(f"level: {level} is over {_LARGEST_LEVEL}, where power can't be computed; use a lower one.")
    return checked_level(level)


def _checked_power(power: float, level: float) -> float:
    if not 1 - level < power < 1:
        raise ValueError(
            f"power: {power} does not lie between {1 - level:g} (what luck alone gives at level {level:g}) and 1; "
            "write 80 % as 0.8."
        )
    return power
