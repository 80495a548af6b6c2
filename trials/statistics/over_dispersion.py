"""Do pairs of counts differ by more, or by less, than the luck of counting allows?"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from trials.statistics import special
from trials.statistics.arrays import Numbers, number_or_array, ratio_or_nan
from trials.statistics.checks import checked_counts, checked_share


@dataclass(frozen=True, slots=True)
class Dispersion:
    """Scatter of counts against counting luck, of one trial (plain numbers) or of many (arrays).

    x2: Sum of squares in units of what counting alone gives; about `df` if there is no more than that.
    p_upper: How often counting alone scatters as much or more: small means more scatter than counting gives.
    p_lower: How often counting alone scatters as little or less: small means agreement better than counting allows.
    """

    x2: Any
    df: Any
    p_upper: Any
    p_lower: Any


def tracer_dispersion(kept0: ArrayLike, fed0: ArrayLike, kept1: ArrayLike, fed1: ArrayLike) -> Dispersion:
    """Do the differences of 2 or more pairs in tracers kept scatter by more than counting luck?

    x2 = sum of (d - dbar)^2 / v over the pairs, d = kept1/fed1 - kept0/fed0 (1 the changed half), v = p(1-p)(1/fed0 +
    1/fed1), p = (all kept + 1)/(all fed + 2), dbar the mean of d weighted by 1/v; df = pairs - 1.

    - The 1 and 2 added to p keep the luck above 0 when every tracer, or none, was kept.
    - One p for both halves: an effect of the change itself goes into dbar and not into x2.
    - Equal numbers fed: dbar is the plain mean and v = 2p(1-p)/n.

    Source: Fisher, Statistical Methods for Research Workers, 1925, sec. 19, the index of dispersion of binomial
    samples; weighted mean: Cochran, Biometrics 10, 1954, p. 101 (both cited from memory). Smoothed p: Laplace's rule
    of succession.

    >>> seen = tracer_dispersion([88, 91, 85, 93, 90], 100, [93, 92, 91, 94, 95], 100)
    >>> round(seen.x2, 4), seen.df, round(seen.p_upper, 4)
    (1.4333, 4, 0.8384)
    """
    baseline, baseline_fed = checked_share(kept0, fed0, found_name="kept0", fed_name="fed0")
    changed, changed_fed = checked_share(kept1, fed1, found_name="kept1", fed_name="fed1")
    baseline, baseline_fed, changed, changed_fed = np.broadcast_arrays(baseline, baseline_fed, changed, changed_fed)
    pairs = _checked_pair_axis(baseline)
    all_kept = (baseline + changed).sum(axis=-1)
    all_fed = (baseline_fed + changed_fed).sum(axis=-1)
    p = (all_kept + 1) / (all_fed + 2)
    luck = (p * (1 - p))[..., np.newaxis] * (1 / baseline_fed + 1 / changed_fed)
    d = changed / changed_fed - baseline / baseline_fed
    mean = (d / luck).sum(axis=-1) / (1 / luck).sum(axis=-1)
    x2 = ((d - mean[..., np.newaxis]) ** 2 / luck).sum(axis=-1)
    return _dispersion(x2, np.full(x2.shape, pairs - 1))


def split_dispersion(counts0: ArrayLike, counts1: ArrayLike) -> Dispersion:
    """Do the shares of grains in 2 or more pairs scatter by more than the luck of splitting and counting?

    x2 = sum of n (b/n - pbar)^2 / (pbar (1 - pbar)) over the pairs, b = counts1 of the changed half, n = counts0 +
    counts1, pbar = all b / all n; df = pairs with any grain - 1.

    - Pairs with 0 and 0 grains say nothing about the shares and are dropped.
    - Fewer than 2 pairs left, or all grains of the trial in one half: x2 and both p are NaN.
    - One pbar for all pairs: an effect of the change itself goes into pbar and not into x2.

    Source: Fisher, Statistical Methods for Research Workers, 1925, sec. 21, chi-square of a 2 x k table of counts
    (cited from memory).

    >>> seen = split_dispersion([12, 0, 7, 15, 9], [15, 2, 11, 14, 13])
    >>> round(seen.x2 / seen.df, 4)
    0.6382
    """
    baseline, changed = np.broadcast_arrays(checked_counts(counts0, "counts0"), checked_counts(counts1, "counts1"))
    _checked_pair_axis(baseline)
    n = baseline + changed
    share = ratio_or_nan(changed.sum(axis=-1), n.sum(axis=-1))
    df = np.maximum((n > 0).sum(axis=-1) - 1, 0)
    # n (b/n - pbar)^2 written as (b - n pbar)^2 / n; a pair of 0 and 0 adds 0 / 1.
    squares = ((changed - n * share[..., np.newaxis]) ** 2 / np.maximum(n, 1)).sum(axis=-1)
    luck = np.where(df > 0, share * (1 - share), 0.0)
    return _dispersion(ratio_or_nan(squares, luck), df)


def _dispersion(x2: Numbers, df: Any) -> Dispersion:  # noqa: ANN401 - whole numbers of the shape of x2
    told = np.isfinite(x2)
    p_upper = np.where(told, special.chdtrc(df, x2), np.nan)
    p_lower = np.where(told, special.chdtr(df, x2), np.nan)
    return Dispersion(number_or_array(x2), number_or_array(df), number_or_array(p_upper), number_or_array(p_lower))


def _checked_pair_axis(counts: Numbers) -> int:
    pairs = counts.shape[-1] if counts.ndim else 1
    if pairs < 2:
        raise ValueError(f"counts: {pairs} is too few pairs, scatter needs at least 2; add pairs.")
    return pairs
