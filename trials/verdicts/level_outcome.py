"""The rule of a graded trial: fitted blocks in, one code a level and one a trial out. For one trial or for 20,000."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trials.statistics.arrays import Numbers
from trials.statistics.block_fit import BlockFit
from trials.statistics.dunnett import dunnett_value
from trials.verdicts.outcome import BETTER, NO_DIFFERENCE, NOT_SETTLED, WORSE, outcome

LEVEL = 0.95
FEWEST_SHARED_BLOCKS = 2


@dataclass(frozen=True, slots=True)
class LevelBounds:
    """What the rule needs of every level beside the baseline; each field has the shape (..., levels).

    reach: standard errors from a difference to its joint limit.
    scatter: SD of a run that the limits stand on; the floor's where all runs are alike, NaN with neither.
    floored_scatter: the larger of scatter and floor.
    """

    reach: float
    estimate: Numbers
    scatter: Numbers
    floored_scatter: Numbers
    low: Numbers
    high: Numbers
    floored_low: Numbers
    floored_high: Numbers


def judged_columns(values: Numbers) -> list[int]:
    """Which set-ups can be compared, the baseline at 0? Those that share 2 blocks or more with it."""
    known = np.isfinite(values)
    shared = (known & known[:, :1]).sum(axis=0)
    return [0, *(at for at in range(1, values.shape[1]) if shared[at] >= FEWEST_SHARED_BLOCKS)]


def level_bounds(fit: BlockFit, floor: ArrayLike | None) -> LevelBounds:
    """Which joint limits has the difference of every level from the baseline, with and without the floor?

    The floor is the SD of a difference within a block by counting and weighing luck alone, one a trial, None or NaN
    where it is not known.

    >>> from trials.statistics.block_fit import fit_blocks
    >>> seen = level_bounds(fit_blocks([[81, 84, 86, 87, 87], [78, 83, 85, 84, 88], [84, 85, 88, 90, 89],
    ...                                 [80, 84, 84, 87, 86]]), None)
    >>> seen.low.round(2).tolist(), seen.high.round(2).tolist()
    ([0.85, 2.76, 4.01, 3.64], [5.65, 7.24, 8.49, 9.86])
    """
    estimate, seen = fit.means[..., 1:] - fit.means[..., :1], fit.larger_sd(0)[..., 1:]
    least = np.asarray(np.nan if floor is None else floor, dtype=float)[..., np.newaxis] / np.sqrt(2)
    own = np.where(seen > 0, seen, np.where(least > 0, least, np.nan))
    larger = np.fmax(own, least)
    reach = dunnett_value(estimate.shape[-1], fit.df, level=LEVEL)
    half, floored = (reach * fit.factor[1:, 0] * sd for sd in (own, larger))
    return LevelBounds(
        reach, estimate, own, larger, estimate - half, estimate + half, estimate - floored, estimate + floored
    )


def level_outcomes(found: LevelBounds, line: float | None) -> NDArray[np.int8]:
    """Which outcome has each level? Indices into `OUTCOMES`, as `outcome` gives them."""
    return outcome(found.low, found.high, found.floored_low, found.floored_high, line)


def trial_outcome(codes: NDArray[np.int8]) -> NDArray[np.int8]:
    """Which outcome has the trial, from those of its levels on the last axis?

    Better if any level is; no difference if all are none; worse if one is and none is open; else not settled.

    >>> trial_outcome(np.array([[1, 0], [3, 3], [2, 3], [2, 0]])).tolist()
    [1, 3, 2, 0]
    """
    none_open = ~(codes == NOT_SETTLED).any(axis=-1)
    rules = [
        (codes == BETTER).any(axis=-1),
        (codes == NO_DIFFERENCE).all(axis=-1),
        none_open & (codes == WORSE).any(axis=-1),
    ]
    return np.select(rules, [BETTER, NO_DIFFERENCE, WORSE], NOT_SETTLED).astype(np.int8)
