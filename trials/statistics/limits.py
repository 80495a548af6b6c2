"""The limits of an interval, the t value that most of them are made with, and those of the next value."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from trials.statistics import special
from trials.statistics.arrays import Numbers, number_or_array
from trials.statistics.checks import checked_level, checked_pairs


@dataclass(frozen=True, slots=True)
class ConfidenceLimits:
    """Where a true value may lie.

    level: How often such an interval holds the true value, 0 to 1.
    """

    low: Any
    high: Any
    level: float


def critical_t(df: ArrayLike, level: float) -> Numbers:
    """How many standard errors does an interval reach to each side? The (1 + level)/2 point of Student's t.

    Source: Student, Biometrika 6, 1908; tabled in Fisher & Yates, Statistical Tables, 1938, table III (cited from
    memory). Computed by `scipy.special.stdtrit`.

    >>> round(float(critical_t(9, 0.95)), 4)
    2.2622
    """
    return np.asarray(special.stdtrit(df, 0.5 + level / 2))


def next_value_limits(mean: ArrayLike, sd: ArrayLike, count: ArrayLike, *, level: float = 0.95) -> ConfidenceLimits:
    """Within which limits may one more value lie, after 2 to 1,000,000 with this mean and this scatter?

    mean -/+ t((1 + level)/2, count - 1) sd sqrt(1 + 1/count): wider than the limits of the mean, for the next value
    strays by itself too.

    - sd 0: both limits are the mean; NaN (no scatter known): both are NaN.
    - It is meant for values that follow a bell curve, the next one drawn as those before it.

    Source: Hahn, Factors for calculating two-sided prediction intervals for samples from a normal distribution, JASA
    64, 1969, and 65, 1970 (from memory).

    Three lots that gained 2.4, 3.9 and 1.1 points:

    >>> limits = next_value_limits(2.4666667, 1.4011900, 3)
    >>> round(limits.low, 2), round(limits.high, 2)
    (-4.49, 9.43)
    """
    middle, scatter = np.asarray(mean, dtype=float), np.asarray(sd, dtype=float)
    counts = checked_pairs(count)
    level = checked_level(level)
    reach = critical_t(counts - 1, level) * scatter * np.sqrt(1 + 1 / counts)
    return ConfidenceLimits(number_or_array(middle - reach), number_or_array(middle + reach), level)
