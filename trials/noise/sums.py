"""Sums of a random number of random grains: the mean and variance of their log, and of the share that was kept.

No bell curve is assumed. If E is exponential with mean 1, then P(E > t X) is the Laplace transform of X at t, which for
such sums is a closed form; so ln E - ln X has a known distribution, and ln E is known too. The same transform gives the
moments of a ratio, since 1/F is the integral of exp(-t F) over t.
"""

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from trials.noise.grains import RunGrains
from trials.statistics.arrays import Numbers

# Steps of ln t. Their error falls as the gamma function does along the imaginary axis: e^(-pi^2/0.4) of the answer.
# What is cut off below is 21 e^-21 of a log, and above nothing but where there is hardly a grain.
_STEP = 0.4
_BELOW, _ABOVE = 21.0, 6.0


@dataclass(frozen=True, eq=False)
class LogSum:
    """The natural log of a sum, where there is any; `none` is the chance that there is no grain at all."""

    mean: Numbers
    variance: Numbers
    none: Numbers


def log_of_sum(grains: RunGrains, share: Numbers, added: float = 0.0) -> LogSum:
    """How does the log of the gold in so large a share of every class scatter: of the kept, the lost, or both?

    `added` goes to every sum, as half a grain to a count; then a sum of 0 has a log too. With nothing added only sums
    over 0 are looked at.

    Exact for grains that are Poisson (or negative binomial) with gamma masses, but for the error of the sum over t:
    under 1e-7 in the variance.

    Derived. Source: Laplace transform of a compound Poisson sum: Feller, An Introduction to Probability Theory and Its
    Applications, vol. 2, 1971, XIII (value from memory); variance of the log of an exponential: pi^2/6.

    Ten grains of like mass, counted: 1/10 and a bit.

    >>> ten = RunGrains(np.full(1, 10.0), np.ones(1), np.zeros(1), np.ones(1), mass_cv=0.0, clumping=0.0)
    >>> round(float(log_of_sum(ten, ten.kept, added=0.5).variance), 4)
    0.1062
    """
    log_t = _log_times(grains, grains.total(share) + added)
    missing, _, _ = _transform(grains, np.exp(log_t))
    exponent = _exponent(grains, (share, missing))
    none = _minus_log_none(grains, share) if added == 0.0 else np.full(exponent.shape[:-1], np.inf)
    above = _given_some(exponent, none) * np.exp(-added * np.exp(log_t))
    # Mean and mean square of ln E - ln X from its survival function, by the trapezoidal rule; its one corner, where
    # the straight line of the second integrand begins to bend, is mended by the Euler-Maclaurin term.
    edges = np.ones(log_t.size)
    edges[[0, -1]] = 0.5
    first = log_t[0] + _STEP * (above @ edges)
    second = log_t[0] ** 2 + 2.0 * _STEP * (above @ (edges * log_t)) + _STEP**2 / 6.0
    variance = np.maximum(second - first**2 - math.pi**2 / 6.0, 0.0)
    return LogSum(mean=-np.euler_gamma - first, variance=variance, none=np.exp(-none))


def share_moments(grains: RunGrains, tails_found: float) -> tuple[Numbers, Numbers]:
    """How does recovery, C/(C + uT), scatter by the luck of the grains? Mean and mean square, where any gold is found.

    The work-up finds the share u, above 0, of the gold in the tails. Exact in the sense of `log_of_sum`: the mean of
    C/F is the integral of E[C exp(-t F)] over t, that of C^2/F^2 the integral of t E[C^2 exp(-t F)].
    """
    log_t = _log_times(grains, grains.kept_mg + tails_found * grains.lost_mg)
    t = np.exp(log_t)
    missing, mass, square = _transform(grains, t)
    missing_lost = missing if tails_found == 1.0 else _transform(grains, tails_found * t)[0]
    exponent = _exponent(grains, (grains.kept, missing), (grains.lost, missing_lost))
    once, twice = _drawn(grains, mass, square, (grains.kept, missing), (grains.lost, missing_lost))
    weight = _STEP * t * np.exp(-exponent)
    some = -np.expm1(-_minus_log_none(grains, grains.kept + grains.lost))
    return (weight * once).sum(axis=-1) / some, (weight * t * twice).sum(axis=-1) / some


def chance_of_none(grains: RunGrains, share: Numbers) -> Numbers:
    """How often is there not one grain in so large a share of every class? By the zero terms of their laws."""
    return np.exp(-_minus_log_none(grains, share))


def _minus_log_none(grains: RunGrains, share: Numbers) -> Numbers:
    """Minus the log of the chance of none: the exponent at a time when every grain is gone."""
    return _exponent(grains, (share, np.ones((share.shape[-1], 1))))[..., 0]


def _given_some(exponent: Numbers, none: Numbers) -> Numbers:
    """The transform exp(-exponent) of sums over 0 alone; `none` is minus the log of the chance of none."""
    # (exp(-exponent) - exp(-none)) / (1 - exp(-none)), written so that no digits are lost where hardly a grain comes
    # (both terms near 1: through expm1) nor where some come almost surely (the chance of none near 0).
    chance = np.exp(-none)[..., np.newaxis]
    of_many: Numbers = (np.exp(-exponent) - chance) / (1.0 - np.minimum(chance, 0.5))
    if (none >= 1.0).all():
        return of_many
    few = np.minimum(none, 1.0)[..., np.newaxis]
    of_few = np.exp(-few) * np.expm1(np.clip(few - exponent, 0.0, 1.0)) / -np.expm1(-few)
    return np.where(none[..., np.newaxis] < 1.0, of_few, of_many)


def _log_times(grains: RunGrains, mean_mg: Numbers) -> Numbers:
    """Lay out ln t, wide enough for the leanest and the richest node, and for one lone grain of the largest."""
    low = -math.log(max(float(mean_mg.max()), float(grains.mass_mg.max()))) - _BELOW
    return np.arange(low, -math.log(float(mean_mg.min())) + _ABOVE + _STEP, _STEP)


def _transform(grains: RunGrains, t: Numbers) -> tuple[Numbers, Numbers, Numbers]:
    """One grain of mass M: 1 - E[exp(-t M)], E[M exp(-t M)], E[M^2 exp(-t M)]; by class and time, (10, times)."""
    # A gamma mass with mean m and CV cv: E[exp(-t M)] = (1 + cv^2 m t)^(-1/cv^2), differentiated for the other two.
    mean = grains.mass_mg[:, np.newaxis]
    spread = grains.mass_cv**2
    at = mean * t
    if spread == 0.0:
        left = np.exp(-at)
        return -np.expm1(-at), mean * left, mean**2 * left
    thinner = np.log1p(spread * at)
    left = np.exp(-thinner / spread)
    once = np.exp(-thinner)
    return -np.expm1(-thinner / spread), mean * left * once, mean**2 * (1.0 + spread) * left * once**2


_Way: TypeAlias = tuple[Numbers, Numbers]
"""A way grains go: the share of each class, (..., 10), and what of one grain is gone at each time, (10, times)."""


def _exponent(grains: RunGrains, *ways: _Way) -> Numbers:
    """Minus the log of the transform of the sum, shape (..., times)."""
    # Poisson: lam x what is gone of one grain. Clumped (gamma-mixed): lam/c ln(1 + c x what is gone of one grain).
    if grains.clumping == 0.0:
        (share, gone), *others = ways
        summed: Numbers = (grains.fed * share) @ gone
        for share, gone in others:
            summed = summed + (grains.fed * share) @ gone
        return summed
    return _over_classes(grains, np.log1p(grains.clumping * _gone(ways))) / grains.clumping


def _drawn(grains: RunGrains, mass: Numbers, square: Numbers, kept: _Way, lost: _Way) -> tuple[Numbers, Numbers]:
    """Ratios of E[C exp(-t F)] and E[C^2 exp(-t F)] to E[exp(-t F)], shape (..., times)."""
    # First and second derivatives of the exponent along the catch; a split that clumps thins each class by 1 + c gone.
    if grains.clumping == 0.0:
        in_catch = grains.fed * kept[0]
        once = in_catch @ mass
        return once, once**2 + in_catch @ square
    thinned = 1.0 + grains.clumping * _gone((kept, lost))
    share = kept[0][..., np.newaxis] / thinned
    one = share * mass
    once = _over_classes(grains, one)
    return once, once**2 + _over_classes(grains, share * square + grains.clumping * one**2)


def _gone(ways: tuple[_Way, ...]) -> Numbers:
    """What of one grain of each class is gone at each time, whichever way it went; shape (..., 10, times)."""
    return sum((share[..., np.newaxis] * gone for share, gone in ways), start=np.zeros(()))


def _over_classes(grains: RunGrains, of_one: Numbers) -> Numbers:
    """Add up over the grains fed what stands for one grain of each class at each time, shape (..., times)."""
    added: Numbers = (grains.fed[..., np.newaxis, :] @ of_one)[..., 0, :]
    return added
