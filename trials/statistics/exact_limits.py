"""Where may a true share, or a true count, lie, given what was counted? Limits without a bell curve."""

import numpy as np
from numpy.typing import ArrayLike

from trials.statistics import special
from trials.statistics.arrays import plain
from trials.statistics.checks import checked_counts, checked_level, checked_share
from trials.statistics.limits import Limits


def proportion_limits(found: ArrayLike, fed: ArrayLike, *, level: float = 0.95) -> Limits:
    """Where may the true share lie, if `found` of `fed` were found?

    Parameters
    ----------
    found
        Whole numbers from 0, any shape.
    fed
        Whole numbers from 1, not under `found`, any shape.
    level
        Coverage, 0 to 1; at least this often the true share lies inside.

    Returns
    -------
    Limits
        Shares from 0 to 1; plain numbers if both were single numbers.

    Raises
    ------
    ValueError
        Counts that are not whole or negative; more found than fed; fed 0; level out of range.

    Notes
    -----
    - None found: low is 0. All found: high is 1.
    - One-sided 95 % limits: `level=0.90`.

    Source: Clopper & Pearson, The use of confidence or fiducial limits illustrated in the case of the binomial,
    Biometrika 26, 1934, p. 404; as beta points, NIST/SEMATECH e-Handbook sec. 7.2.4.1.

    Examples
    --------
    >>> limits = proportion_limits(4, 20)
    >>> round(limits.low, 5), round(limits.high, 5)
    (0.05733, 0.43661)
    """
    x, n = checked_share(found, fed, found_name="found", fed_name="fed")
    level = checked_level(level)
    tail = (1 - level) / 2
    # A beta point with a parameter 0 does not exist; the limit is the end of the scale there.
    low = np.where(x == 0, 0.0, special.betaincinv(np.maximum(x, 1), n - x + 1, tail))
    high = np.where(x == n, 1.0, special.betainccinv(x + 1, np.maximum(n - x, 1), tail))
    return Limits(plain(low), plain(high), level)


def count_limits(count: ArrayLike, *, level: float = 0.95) -> Limits:
    """Where may the true mean of a count lie, if this many were counted once?

    Parameters
    ----------
    count
        Whole numbers from 0, any shape.
    level
        Coverage, 0 to 1; at least this often the true mean lies inside.

    Returns
    -------
    Limits
        Mean counts; plain numbers for a single count.

    Raises
    ------
    ValueError
        A count that is not whole or is negative; level out of range.

    Notes
    -----
    - None counted: low is 0, high is -ln((1 - level)/2).
    - Counting luck alone; where grains come in clumps the truth may lie further off.

    Source: Garwood, Fiducial limits for the Poisson distribution, Biometrika 28, 1936, p. 437, as gamma points.

    Examples
    --------
    >>> limits = count_limits(20)
    >>> round(limits.low, 2), round(limits.high, 2)
    (12.22, 30.89)
    """
    x = checked_counts(count, "count")
    level = checked_level(level)
    tail = (1 - level) / 2
    # A gamma point with shape 0 does not exist; no mean is too small for a count of 0.
    low = np.where(x == 0, 0.0, special.gammaincinv(np.maximum(x, 1), tail))
    return Limits(plain(low), plain(special.gammainccinv(x + 1, tail)), level)
