"""The noise formulas one by one, for small luck: what each kind of chance adds to the variance of one run."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from schemas import MeasureName
from trials.measures.catalogue import measure_named
from trials.noise.grains import RunGrains
from trials.noise.kinds import FEED, GRAIN_MASS, KEPT, SPLITTING
from trials.noise.quadrature import bell, log_spread
from trials.statistics.arrays import Numbers


@dataclass(frozen=True, eq=False)
class Slopes:
    """How far a measure moves, on its scale, with one more mg (or grain) in the catch, or truly in the tails."""

    kept: Numbers
    lost: Numbers


def slopes_of(measure: MeasureName, kept: Numbers, lost: Numbers, tails_found: float) -> Slopes:
    """Give the slopes of a measure of the gold itself: recovery as a share, masses and counts as logs.

    Differentials of C/(C + uT), ln C, ln(n + 1/2) and -ln T: tails_gold counts less lost as more. `kept` and `lost` are
    the gold in the catch and truly in the tails, mg, above 0 (grains for grain counts).
    """
    none = np.zeros_like(kept)
    one = measure_named(measure)
    if one.side == "share kept":
        found = kept + tails_found * lost
        share = kept / found
        return Slopes((1.0 - share) / found, -tails_found * share / found)
    if one.side == "lost":
        return Slopes(none, -1.0 / lost)
    return Slopes(1.0 / (kept if one.weighs else kept + 0.5), none)


def grain_noise(grains: RunGrains, slopes: Slopes) -> dict[str, Numbers]:
    """How far do the grains alone scatter a run? Its variance, part by part, on the scale squared.

    Derived: variance of a sum of a random number of random grains; fed Poisson, each kept by its own coin. For gold
    kept the four add up to sum lam m^2 p (1 + (v - 1) p + cv^2) / C^2, and for recovery to sum lam m^2 (p(1-p)(1 +
    cv^2) + (v + cv^2)(p - R)^2) / F^2.
    """
    in_catch, in_tails = slopes.kept[..., np.newaxis], slopes.lost[..., np.newaxis]
    weighed = grains.fed * grains.mass_mg**2
    by_feed: Numbers = (weighed * (in_catch * grains.kept + in_tails * grains.lost) ** 2).sum(axis=-1)
    in_all: Numbers = (weighed * (in_catch**2 * grains.kept + in_tails**2 * grains.lost)).sum(axis=-1)
    return {
        FEED: by_feed,
        KEPT: in_all - by_feed,
        GRAIN_MASS: grains.mass_cv**2 * in_all,
        SPLITTING: grains.clumping * by_feed,
    }


def run_slopes(grains: RunGrains, slopes: Slopes, left_behind: float = 0.0) -> tuple[Numbers, Numbers]:
    """How far does a measure move, per unit of logit, with the run effect, of this run and of the run before it?

    Of the kept gold the share `left_behind` stays in the gear and is found with the next run. With nothing left behind
    the first is G/F for recovery, G/C and G/T for logs of masses, G = sum lam m p (1 - p): the slope of the logistic
    function.
    """
    more_kept = slopes.kept * grains.total(grains.kept * grains.lost)
    less_lost = slopes.lost * grains.total(grains.lost * (1.0 - grains.lost))
    return (1.0 - left_behind) * more_kept - less_lost, left_behind * more_kept


def pair_square(own: npt.ArrayLike, before: npt.ArrayLike) -> Numbers:
    """How much of a run's own luck is left in a pair when some of it comes out with the next run?

    Luck of variance 1 does `own` to its own run and `before` to the one after it. Half the variance of the difference
    of two runs in a row, own x2 + before x1 - own x1 - before x0 with independent x, is own^2 + before^2 - own x
    before.
    """
    of_own, of_before = np.asarray(own, dtype=np.float64), np.asarray(before, dtype=np.float64)
    return of_own**2 + of_before**2 - of_own * of_before


def left_over_variance(left_behind: float, lot_cv: float, pairs: int) -> float:
    """How much does gold of another lot, left in the gear, scatter the log of the gold kept? Variance of one run.

    Half the mean square of ln(1 - h + h r), r the ratio of two lots of which one feeds a pair; r = 0 before the very
    first run, which starts in clean gear. The first half of a pair is short of what the second gets of its own lot.

    >>> left_over_variance(0.0, 0.5, 6), round(left_over_variance(0.1, 0.0, 1), 5)
    (0.0, 0.00555)
    """
    ratio = bell(math.sqrt(2.0 * log_spread(lot_cv)), 9)
    later = float(ratio.mean(np.log1p(left_behind * np.expm1(ratio.at)) ** 2))
    return ((1.0 - 1.0 / pairs) * later + math.log1p(-left_behind) ** 2 / pairs) / 2.0


def closed_balance_sd(share: npt.ArrayLike, kept_cv: float, lost_cv: float) -> Numbers:
    """How far off is the share R = C/(C + T) when catch and tails are each known to so many per cent?

    R (1 - R) sqrt(CVc^2 + CVt^2). Source: JCGM 100:2008, eq. 10, with dR/R = (1 - R)(dC/C - dT/T).

    >>> float(closed_balance_sd(0.9, 0.0, 0.3).round(3))
    0.027
    """
    kept_share = np.asarray(share, dtype=np.float64)
    return kept_share * (1.0 - kept_share) * math.hypot(kept_cv, lost_cv)


def counting_variance(share: npt.ArrayLike, grains: int, run_variance: npt.ArrayLike = 0.0) -> Numbers:
    """How far does the share of counted grains scatter by which of them were kept?

    (p (1 - p) - P^2) / n, P^2 the variance of the chance itself from run to run: a binomial share whose chance varies.
    With P^2 on top a run scatters by p (1 - p)/n + P^2 (1 - 1/n).

    >>> round(100 * float(np.sqrt(counting_variance(0.9, 100))), 1)
    3.0
    """
    chance = np.asarray(share, dtype=np.float64)
    variance: Numbers = (chance * (1.0 - chance) - np.asarray(run_variance)) / grains
    return variance
