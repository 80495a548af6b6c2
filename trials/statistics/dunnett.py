"""How far may several levels stray from one baseline by luck, all of them at once? Dunnett's distribution."""

import math
from collections.abc import Callable
from functools import lru_cache

import numpy as np

from trials.statistics import special
from trials.statistics.arrays import Numbers
from trials.statistics.checks import checked_level
from trials.statistics.limits import critical_t

EQUAL_RUNS = math.sqrt(0.5)
"""The loading of a level with as many runs as the baseline: its comparisons go together with a correlation of 1/2."""
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)
_REACH = 8.5  # standard normal values past it do not count
_TAIL = 1e-14
_NEAR = 1e-12


@lru_cache(maxsize=1024)
def dunnett_value(
    comparisons: int, df: int, *, level: float = 0.95, sides: int = 2, loadings: tuple[float, ...] = ()
) -> float:
    """How many standard errors must the limits of each level reach, for all to hold their true difference at once?

    `comparisons` are the levels compared with the baseline and `df` the degrees of freedom of the scatter, 1 or more
    each; `level` is how often all limits hold at once; `sides` 2, or 1 for one-sided limits. Where levels have other
    numbers of runs than the baseline, `loadings` has one for each: sqrt(n_j / (n_j + n_0)). Right to about 1e-9; with
    one level it is the value of Student's t.

    P(max |T_j| <= c) = int f(s) int phi(z) prod_j [Phi((l_j z + c s)/r_j) - Phi((l_j z - c s)/r_j)] dz ds, r_j = sqrt(1
    - l_j^2), f the density of s = sqrt(chi2 / df); one-sided the first Phi alone. 64 Gauss-Legendre points in z on
    +/-8.5 and in s between its 1e-14 points; c by false position between t and the Bonferroni t.

    Source: Dunnett, J. Am. Stat. Assoc. 50, 1955, p. 1096; Dunnett, Biometrics 20, 1964, p. 482 (pages from memory).

    >>> round(dunnett_value(4, 12), 4), round(dunnett_value(4, 12, sides=1), 4)
    (2.8071, 2.4098)
    """
    loads = _checked(comparisons, df, sides, loadings)
    level = checked_level(level)
    tail = (1 - level) / sides
    low, high = (float(critical_t(df, 1 - 2 * share)) for share in (tail, tail / comparisons))
    if comparisons == 1:
        return low
    return _where_it_is_0(lambda c: _chance(c, df, sides, loads) - level, low, high)


def _where_it_is_0(rising: Callable[[float], float], low: float, high: float) -> float:
    """The root of a rising function between two ends, by false position that halves an end that stays (Illinois)."""
    short, over, middle, last = rising(low), rising(high), high, 0
    while high - low > _NEAR:
        middle = low - short * (high - low) / (over - short)
        miss = rising(middle)
        if abs(miss) < _NEAR:
            break
        if miss < 0:
            low, short, over = middle, miss, over / 2 if last < 0 else over
        else:
            high, over, short = middle, miss, short / 2 if last > 0 else short
        last = -1 if miss < 0 else 1
    return middle


@lru_cache(maxsize=1024)
def dunnett_p(t: float, comparisons: int, df: int, *, sides: int = 2) -> float:
    """How often does luck take any of so many levels as far from the baseline as this one?

    The p of one comparison adjusted for all of them; `t` is its difference in standard errors, one-sided upwards.

    Source: as `dunnett_value`, single step.

    >>> round(dunnett_p(1.353, 5, 66), 3)
    0.526
    """
    loads = _checked(comparisons, df, sides, ())
    return min(1.0, max(0.0, 1.0 - _chance(abs(t) if sides == 2 else t, df, sides, loads)))


def _checked(comparisons: int, df: int, sides: int, loadings: tuple[float, ...]) -> Numbers:
    if comparisons < 1 or df < 1 or sides not in (1, 2):
        raise ValueError(
            f"{comparisons} levels, {df} degrees of freedom, {sides} sides; this needs a level, a degree of freedom "
            "and 1 or 2 sides. Add runs."
        )
    if loadings and len(loadings) != comparisons:
        raise ValueError(f"loadings: {len(loadings)} for {comparisons} levels; give one for each.")
    return np.array(loadings or (EQUAL_RUNS,) * comparisons)


def _chance(c: float, df: int, sides: int, loads: Numbers) -> float:
    """How often do all comparisons stay within c standard errors?"""
    s, weight_s = _scatter_nodes(df)
    z = _REACH * _NODES
    inside = np.ones((len(s), len(z)))
    for load in np.unique(loads):
        rest = math.sqrt(1 - load**2)
        at, reach = load * z / rest, (c * s / rest)[:, np.newaxis]
        one = special.ndtr(at + reach) - (special.ndtr(at - reach) if sides == 2 else 0.0)
        inside *= one ** np.count_nonzero(loads == load)
    weight_z = _WEIGHTS * _REACH * np.exp(-z * z / 2) / math.sqrt(2 * math.pi)
    return float(weight_s @ inside @ weight_z)


@lru_cache(maxsize=256)
def _scatter_nodes(df: int) -> tuple[Numbers, Numbers]:
    """Points of s = sqrt(chi2 / df) and their weights, its density in them."""
    low, high = (math.sqrt(2 * float(end(df / 2, _TAIL)) / df) for end in (special.gammaincinv, special.gammainccinv))
    s = low + (high - low) * (_NODES + 1) / 2
    log_density = math.log(2) + df / 2 * math.log(df / 2) - math.lgamma(df / 2) + (df - 1) * np.log(s) - df * s * s / 2
    return s, _WEIGHTS * (high - low) / 2 * np.exp(log_density)
