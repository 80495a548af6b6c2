"""Counts against counting luck: over-dispersion, too-tidy. They speak only when the planned end is reached."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trials.fairness.evidence import Check, Evidence
from trials.fairness.remark import Remark, remark
from trials.fairness.thresholds import (
    COUNT_SCATTER_NEEDS_PAIRS,
    OVER_DISPERSION_LEVEL,
    TOO_TIDY_LEVEL,
    TOO_TIDY_NEEDS_VARIANCE,
)
from trials.statistics import special
from trials.statistics.arrays import Numbers
from trials.statistics.over_dispersion import Dispersion, split_dispersion, tracer_dispersion


@dataclass(frozen=True, slots=True)
class CountScatter:
    """How counts scatter over the pairs, of one trial or of many.

    dispersion: against counting luck.
    variance: what counting luck alone gives one pair's count, in grains squared; the mean over the pairs.
    """

    dispersion: Dispersion
    variance: Numbers


def tracer_scatter(baseline: Numbers, changed: Numbers) -> CountScatter:
    """How do the pairs' differences in tracers scatter? Readings (kept, seeded) of each half, shape (..., pairs, 2)."""
    kept0, fed0, kept1, fed1 = (half[..., at] for half in (baseline, changed) for at in (0, 1))
    return CountScatter(tracer_dispersion(kept0, fed0, kept1, fed1), _luck(kept0 + kept1, fed0 + fed1))


def split_scatter(baseline: Numbers, changed: Numbers) -> CountScatter:
    """How do the pairs' shares of native grains scatter? Readings (grains,) of each half, shape (..., pairs, 1)."""
    found0, found1 = baseline[..., 0], changed[..., 0]
    return CountScatter(split_dispersion(found0, found1), _luck(found1, found0 + found1))


def _luck(found: Numbers, of: Numbers) -> Numbers:
    """p(1 - p) n of one pair, the mean over pairs: the variance of a count, and of the difference of two like ones."""
    share = found.sum(axis=-1) / of.sum(axis=-1)
    return np.asarray(share * (1.0 - share) * of.mean(axis=-1))


def tidier_than_luck(scatter: CountScatter) -> NDArray[np.bool_]:
    """Do counts agree better than counting luck does in 99 of 100 trials?

    Counts move by whole grains, so that few grains agree exactly by chance. Under a variance of 10 grains squared the
    answer is no; above, the scatter is taken for 1/12 grain squared larger, the variance of what rounding to whole
    grains hides (Sheppard, Proc. London Math. Soc. 29, 1898; from memory).
    """
    enough = scatter.variance >= TOO_TIDY_NEEDS_VARIANCE
    rounding = 1.0 / (12.0 * np.maximum(scatter.variance, TOO_TIDY_NEEDS_VARIANCE))
    df = np.asarray(scatter.dispersion.df)
    p = special.chdtr(df, np.asarray(scatter.dispersion.x2) + df * rounding)
    return np.asarray(enough & (p < TOO_TIDY_LEVEL))


def count_scatter(evidence: Evidence) -> CountScatter | None:
    """How do the counts of a trial scatter? None before the end, of weighed gold, or of under 3 pairs."""
    if not evidence.ended or not evidence.pairing.counted or evidence.pairing.measure.weighs:
        return None
    pairs = evidence.pairing.informative
    if len(pairs) < COUNT_SCATTER_NEEDS_PAIRS:
        return None
    of_measure = tracer_scatter if evidence.pairing.measure.is_seeded else split_scatter
    return of_measure(*evidence.pairing.readings(pairs))


def more_than_counting(evidence: Evidence) -> Sequence[Remark]:
    """Do pairs of counts differ by more than counting luck alone? Usual, and no fault: a detail."""
    seen = count_scatter(evidence)
    if seen is None or not np.isfinite(seen.dispersion.p_upper) or seen.dispersion.p_upper >= OVER_DISPERSION_LEVEL:
        return []
    return remark("ok", (), str, MORE_THAN_COUNTING)


def too_tidy(evidence: Evidence) -> Sequence[Remark]:
    """Do pairs of counts agree better than counting luck allows?"""
    seen = count_scatter(evidence)
    if seen is None or not tidier_than_luck(seen):
        return []
    return remark("NOTE", (), str, TIDIER_THAN_COUNTING, but="pairs agree better than counting luck allows")


MORE_THAN_COUNTING = "Runs differ by more than counting luck: usual, the interval carries it."
TIDIER_THAN_COUNTING = (
    f"Pairs agree better than counting allows: luck alone does so in under {100 * TOO_TIDY_LEVEL:g} % of trials (our "
    "default). Check for copied or rounded counts."
)
SOURCE = "Fisher, Statistical Methods for Research Workers, 1925, index of dispersion; from memory"
OVER_DISPERSION = Check("over-dispersion", "scatter of counts against counting luck", more_than_counting, SOURCE)
TOO_TIDY = Check("too-tidy", "agreement of counts against counting luck", too_tidy, SOURCE)
