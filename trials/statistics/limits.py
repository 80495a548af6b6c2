"""The limits of an interval, and the t value that most of them are made with."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from trials.statistics import special
from trials.statistics.arrays import Numbers


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
