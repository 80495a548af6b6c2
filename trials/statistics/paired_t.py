"""Did the mean difference of the pairs stray further from 0 than luck would take it? The paired t."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from trials.statistics import special
from trials.statistics.arrays import Numbers, number_or_array, ratio_or_nan, scatter_or_zero
from trials.statistics.checks import checked_differences, checked_level, checked_pairs
from trials.statistics.limits import ConfidenceLimits, critical_t


@dataclass(frozen=True, slots=True)
class PairedT:
    """The paired t of one trial (plain numbers) or of many (arrays of the leading shape).

    sd: Sample standard deviation of the differences, divisor pairs - 1.
    t: mean / standard_error; NaN where sd is 0.
    p: Two-sided: how often luck alone strays this far or further; NaN where sd is 0.
    low, high: Limits of the true mean difference; both the mean where sd is 0.
    """

    pairs: int
    mean: Any
    sd: Any
    standard_error: Any
    df: int
    t: Any
    p: Any
    low: Any
    high: Any
    level: float


def paired_t(differences: ArrayLike, *, level: float = 0.95) -> PairedT:
    """Did the mean difference of 2 or more pairs stray further from 0 than luck would take it?

    Differences are changed less baseline, on the scale of the measure; one beyond 1e100 is refused.

    - All differences equal, to 1e-12 of the largest: sd is 0, t and p are NaN, both limits are the mean. No
      luck was seen, which is not the same as none; the caller puts a floor in (see `t_limits`).
    - Many trials at once: row by row the same answers, in one pass.

    Source: Student, The probable error of a mean, Biometrika 6, 1908, p. 1-25; Fisher, Statistical Methods for
    Research Workers, 1925, sec. 24 (section cited from memory).

    Student's ten patients, hours of sleep gained by the second drug over the first:

    >>> fit = paired_t([1.2, 2.4, 1.3, 1.3, 0.0, 1.0, 1.8, 0.8, 4.6, 1.4])
    >>> round(fit.t, 4), round(fit.p, 6), round(fit.low, 4), round(fit.high, 4)
    (4.0621, 0.002833, 0.7001, 2.4599)
    """
    values = checked_differences(differences, at_least=2)
    level = checked_level(level)
    pairs = values.shape[-1]
    mean = np.asarray(values.mean(axis=-1))
    sd = _sample_sd(values, mean)
    standard_error = sd / math.sqrt(pairs)
    t = ratio_or_nan(mean, standard_error)
    reach = critical_t(pairs - 1, level) * standard_error
    return PairedT(
        pairs=pairs,
        mean=number_or_array(mean),
        sd=number_or_array(sd),
        standard_error=number_or_array(standard_error),
        df=pairs - 1,
        t=number_or_array(t),
        p=number_or_array(2.0 * special.stdtr(pairs - 1, -np.abs(t))),
        low=number_or_array(mean - reach),
        high=number_or_array(mean + reach),
        level=level,
    )


def _sample_sd(values: Numbers, mean: Numbers) -> Numbers:
    """Divisor pairs - 1, in two passes: the mean is taken off before squaring, so that no digits are lost."""
    residuals = values - mean[..., np.newaxis]
    squares = np.einsum("...i,...i->...", residuals, residuals)
    return scatter_or_zero(np.sqrt(squares / (values.shape[-1] - 1)), values)


def t_limits(mean: ArrayLike, sd: ArrayLike, pairs: ArrayLike, *, level: float = 0.95) -> ConfidenceLimits:
    """Which limits would this mean difference of 2 to 1,000,000 pairs have with this scatter?

    The same interval as in `paired_t`, mean -/+ t((1 + level)/2, pairs - 1) sd / sqrt(pairs), for a scatter of one pair
    difference that comes from elsewhere: the floor of counting and weighing luck. With `level=0.90` each end is a one-
    sided 95 % limit.

    - sd 0: both limits are the mean.
    - sd NaN (no scatter known): both limits are NaN, so that no comparison with them holds.

    Source: as `paired_t`.

    >>> floored = t_limits(3.6, 4.0064, 5)
    >>> round(floored.low, 2), round(floored.high, 2)
    (-1.37, 8.57)
    """
    middle, scatter = _checked_moments(mean, sd)
    counts = checked_pairs(pairs)
    level = checked_level(level)
    reach = critical_t(counts - 1, level) * scatter / np.sqrt(counts)
    return ConfidenceLimits(number_or_array(middle - reach), number_or_array(middle + reach), level)


def _checked_moments(mean: ArrayLike, sd: ArrayLike) -> tuple[Numbers, Numbers]:
    middle, scatter = np.asarray(mean, dtype=float), np.asarray(sd, dtype=float)
    if not np.isfinite(middle).all():
        raise ValueError(f"mean: {middle[~np.isfinite(middle)].flat[0]} is not a finite number; leave it out.")
    unfit = (scatter < 0) | np.isinf(scatter)
    if unfit.any():
        raise ValueError(f"sd: {scatter[unfit].flat[0]} is not a finite number from 0 up; give NaN if not known.")
    return middle, scatter
