"""How far can the true scatter of pairs lie from the one that was seen?"""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from trials.statistics import special
from trials.statistics.arrays import number_or_array
from trials.statistics.checks import checked_level, checked_pairs
from trials.statistics.limits import ConfidenceLimits


def scatter_limits(sd: ArrayLike, pairs: ArrayLike, *, level: float = 0.95) -> ConfidenceLimits:
    """Where may the true SD of pair differences lie, given the one seen in 2 to 1,000,000 pairs?

    sd sqrt(df / chi2((1 + level)/2, df)) and sd sqrt(df / chi2((1 - level)/2, df)), df = pairs - 1.

    - sd 0: both limits are 0. That no scatter was seen says nothing about a bell curve; mind the floor.
    - Few pairs tell little: at 3 pairs the true SD may be half of what was seen or 6 times it.

    Source: NIST/SEMATECH e-Handbook of Statistical Methods, sec. 1.3.5.8, chi-square interval of a standard
    deviation. It assumes differences that follow a bell curve.

    >>> limits = scatter_limits(1.0, 6)
    >>> round(limits.low, 2), round(limits.high, 2)
    (0.62, 2.45)
    """
    seen = np.asarray(sd, dtype=float)
    fit = (seen >= 0) & np.isfinite(seen)
    if not fit.all():
        raise ValueError(f"sd: {seen[~fit].flat[0]} is not a finite number from 0 up; give the SD that was seen.")
    df = checked_pairs(pairs) - 1
    level = checked_level(level)
    low = seen * np.sqrt(df / special.chdtri(df, (1 - level) / 2))
    high = seen * np.sqrt(df / special.chdtri(df, (1 + level) / 2))
    return ConfidenceLimits(number_or_array(low), number_or_array(high), level)


def pilot_allowance(pairs: ArrayLike, *, level: float = 0.8) -> Any:  # noqa: ANN401 - float, or the array of many
    """By what factor should an SD from so few pairs be raised, so that the true one lies under it `level` of the time?

    sqrt(df / chi2(1 - level, df)), df = pairs - 1: the one-sided upper limit of the true SD in units of the one seen.
    With a low `level` and few pairs it can be under 1; from a `level` of 0.7 up it never is.

    Source: as `scatter_limits`; raising a pilot SD to an upper limit: Browne, Statistics in Medicine 14, 1995,
    p. 1933 (cited from memory).

    >>> [round(pilot_allowance(pairs), 2) for pairs in (3, 4, 6, 12)]
    [2.12, 1.73, 1.46, 1.25]
    """
    df = checked_pairs(pairs) - 1
    return number_or_array(np.sqrt(df / special.chdtri(df, checked_level(level))))
