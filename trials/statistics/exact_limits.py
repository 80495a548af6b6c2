"""Where may a true share, or a true count, lie, given what was counted? Limits without a bell curve."""

import numpy as np
from numpy.typing import ArrayLike

from trials.statistics import special
from trials.statistics.arrays import Numbers, number_or_array
from trials.statistics.checks import checked_counts, checked_level, checked_share
from trials.statistics.limits import ConfidenceLimits


def proportion_limits(found: ArrayLike, fed: ArrayLike, *, level: float = 0.95) -> ConfidenceLimits:
    """Where may the true share lie, if `found` of `fed` were found? At least `level` of the time inside these limits.

    - None found: low is 0. All found: high is 1.
    - One-sided 95 % limits: `level=0.90`.
    - Counts that are not whole, more found than fed, or none fed are refused.

    Source: Clopper & Pearson, The use of confidence or fiducial limits illustrated in the case of the binomial,
    Biometrika 26, 1934, p. 404; as beta points, NIST/SEMATECH e-Handbook sec. 7.2.4.1.

    >>> limits = proportion_limits(4, 20)
    >>> round(limits.low, 5), round(limits.high, 5)
    (0.05733, 0.43661)
    """
    x, n = checked_share(found, fed, found_name="found", fed_name="fed")
    return beta_limits(x, n, level=level)


def beta_limits(found: Numbers, fed: Numbers, *, level: float = 0.95) -> ConfidenceLimits:
    """The limits of `proportion_limits` for counts that need not be whole: luck from run to run thins grains out.

    >>> limits = beta_limits(np.array(4.0), np.array(20.0))
    >>> round(limits.low, 5), round(limits.high, 5)
    (0.05733, 0.43661)
    """
    level = checked_level(level)
    tail = (1 - level) / 2
    none, every = found <= 0, found >= fed
    # A beta point with a parameter 0 does not exist; the limit is the end of the scale there.
    low = np.where(none, 0.0, special.betaincinv(np.where(none, 1, found), fed - found + 1, tail))
    high = np.where(every, 1.0, special.betainccinv(found + 1, np.where(every, 1, fed - found), tail))
    return ConfidenceLimits(number_or_array(low), number_or_array(high), level)


def count_limits(count: ArrayLike, *, level: float = 0.95) -> ConfidenceLimits:
    """Where may the true mean of a count lie, if this many were counted once? At least `level` of the time inside.

    - None counted: low is 0, high is -ln((1 - level)/2).
    - Counting luck alone; where grains come in clumps the truth may lie further off.

    Source: Garwood, Fiducial limits for the Poisson distribution, Biometrika 28, 1936, p. 437, as gamma points.

    >>> limits = count_limits(20)
    >>> round(limits.low, 2), round(limits.high, 2)
    (12.22, 30.89)
    """
    x = checked_counts(count, "count")
    level = checked_level(level)
    tail = (1 - level) / 2
    # A gamma point with shape 0 does not exist; no mean is too small for a count of 0.
    low = np.where(x == 0, 0.0, special.gammaincinv(np.maximum(x, 1), tail))
    return ConfidenceLimits(number_or_array(low), number_or_array(special.gammainccinv(x + 1, tail)), level)
