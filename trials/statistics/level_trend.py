"""Do levels in scale order rise or fall along a straight line?"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from trials.statistics import special
from trials.statistics.arrays import number_or_array, ratio_or_nan
from trials.statistics.block_fit import BlockFit
from trials.statistics.limits import critical_t


@dataclass(frozen=True, slots=True)
class LevelTrend:
    """The straight line through the levels, of one trial (plain numbers) or of many (arrays).

    slope: Rise from one level to the next; low, high: its limits. t, p: two-sided; NaN where nothing scatters.
    """

    slope: Any
    low: Any
    high: Any
    t: Any
    p: Any
    df: int
    level: float


def level_trend(fit: BlockFit, *, level: float = 0.95) -> LevelTrend:
    """By how much do levels in scale order, the baseline first, rise from one to the next?

    slope = sum w m_j / sum w^2, w_j = j - mean; its standard error stands on the larger of the trial's scatter and the
    SD of the blocks' own slopes. With missing runs it is the contrast of the fitted means, on the trial's scatter. A
    hump does not show in it.

    Source: orthogonal polynomials, Fisher, Statistical Methods for Research Workers, 1925 (from memory).

    >>> from trials.statistics.block_fit import fit_blocks
    >>> line = level_trend(fit_blocks([[81, 84, 86, 87, 87], [78, 83, 85, 84, 88], [84, 85, 88, 90, 89],
    ...                                [80, 84, 84, 87, 86]]))
    >>> round(line.slope, 2), round(line.t, 4)
    (1.65, 9.2418)
    """
    blocks, levels = fit.values.shape[-2:]
    w = np.arange(levels) - (levels - 1) / 2
    square = float(w @ w)
    slope = np.asarray(fit.means @ w / square)
    error = fit.sd * math.sqrt(float(w @ fit.covariance @ w))
    if fit.is_complete:
        error = np.maximum(error, (fit.values @ w).std(axis=-1, ddof=1) / math.sqrt(blocks))
    error = np.where(fit.sd > 0, error, 0.0) / square
    t = np.where(error > 0, ratio_or_nan(np.abs(slope), error) * np.sign(slope), np.nan)
    reach = critical_t(fit.df, level) * error
    p = 2.0 * special.stdtr(fit.df, -np.abs(t))
    return LevelTrend(
        slope=number_or_array(slope),
        low=number_or_array(slope - reach),
        high=number_or_array(slope + reach),
        t=number_or_array(t),
        p=number_or_array(p),
        df=fit.df,
        level=level,
    )
