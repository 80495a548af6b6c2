"""Which levels could be the best, where does more stop paying, and which differ from the baseline beyond luck?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trials.statistics.arrays import Numbers
from trials.statistics.block_fit import BlockFit
from trials.statistics.dunnett import dunnett_value


@dataclass(frozen=True, slots=True)
class ShortOfBest:
    """How far each level lies short of the best one, one for each level, the baseline first; (..., levels).

    atmost: no further than this. atleast: further than this; over 0 it is not the best.
    """

    atmost: Numbers
    atleast: Numbers

    @property
    def could_be_best(self) -> NDArray[np.bool_]:
        """No other level is beyond it by more than luck."""
        return np.asarray(self.atleast <= 0)

    def is_enough(self, line: float) -> NDArray[np.bool_]:
        """No other level is as much as a line over it."""
        return np.asarray(self.atmost < line)


def short_of_best(fit: BlockFit, *, level: float = 0.95) -> ShortOfBest:
    """How far does each level lie short of the best of the others, with limits that hold for all levels at once?

    atmost_j = max(0, max_k (m_k - m_j + c SE_jk)), atleast_j = max_k (m_k - m_j - c SE_jk), k over the other levels, c
    Dunnett's one-sided value, SE by the larger scatter.

    Source: comparisons with the best, Hsu, Ann. Stat. 12, 1984, p. 1136; Hsu, Multiple Comparisons, 1996, ch. 4 (from
    memory).

    >>> from trials.statistics.block_fit import fit_blocks
    >>> seen = short_of_best(fit_blocks([[81, 84, 86, 87, 87], [78, 83, 85, 84, 88], [84, 85, 88, 90, 89],
    ...                                  [80, 84, 84, 87, 86]]))
    >>> seen.could_be_best.tolist(), seen.is_enough(3.0).tolist()
    ([False, False, True, True, True], [False, False, False, False, True])
    """
    levels = fit.means.shape[-1]
    reach = dunnett_value(levels - 1, fit.df, level=level, sides=1) * fit.errors
    over = np.swapaxes(fit.differences, -1, -2)  # [j, k] is k less j
    itself = np.eye(levels, dtype=bool)
    most = np.where(itself, 0.0, over + reach).max(axis=-1)
    least = np.where(itself, -np.inf, over - reach).max(axis=-1)
    return ShortOfBest(np.maximum(0.0, most), least)


def levels_beyond(fit: BlockFit, *, level: float = 0.95) -> NDArray[np.int8]:
    """On which side of 0 do the joint limits of each level lie, (..., levels): 1 above, -1 below, 0 around it?

    Of one trial or of many; by Dunnett's value and the larger scatter, without any floor.

    >>> from trials.statistics.block_fit import fit_blocks
    >>> levels_beyond(fit_blocks([[81, 84, 80], [78, 83, 79], [84, 88, 83], [80, 84, 81]])).tolist()
    [1, 0]
    """
    estimate = fit.means[..., 1:] - fit.means[..., :1]
    reach = dunnett_value(estimate.shape[-1], fit.df, level=level)
    half = reach * fit.factor[1:, 0] * fit.larger_sd(0)[..., 1:]
    return np.where(estimate - half > 0, 1, np.where(estimate + half < 0, -1, 0)).astype(np.int8)
