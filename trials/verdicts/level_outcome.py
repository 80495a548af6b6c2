"""The rule of a graded trial: fitted blocks in, one code a level and one a trial out. For one trial or for 20,000."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trials.measures.measure import Measure, root_mean_square
from trials.statistics.arrays import Numbers
from trials.statistics.block_fit import BlockFit, fit_blocks
from trials.statistics.dunnett import dunnett_value
from trials.verdicts.outcome import BETTER, NO_DIFFERENCE, NOT_SETTLED, WORSE, outcome

LEVEL = 0.95
FEWEST_SHARED_BLOCKS = 2
FEWEST_BASELINE_RUNS = 3


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


def fitted(values: Numbers) -> tuple[BlockFit, list[int]] | None:
    """Fit the blocks of one trial, gaps and all, and say which of its set-ups can be compared, the baseline at 0.

    None where the baseline has under 3 runs, or no level can be compared.
    """
    taken = judged_columns(values)
    if np.isfinite(values[:, 0]).sum() < FEWEST_BASELINE_RUNS or len(taken) < 2:
        return None
    compared = values[:, taken]
    return fit_blocks(compared[np.isfinite(compared).sum(axis=1) >= 2]), taken


def floor_of_levels(
    measure: Measure, readings: Numbers, division: float | None, taken: Sequence[int]
) -> Numbers | None:
    """SD of a difference by counting and weighing luck alone, root mean square over every block and level.

    Of one trial, readings (blocks, arms, readings of a run) with gaps, or of many without any. None where it is not
    known.
    """
    found = []
    for at in taken[1:]:
        both = readings[..., [0, at], :]
        if both.ndim == 3:  # one trial, which may have gaps
            both = both[np.isfinite(both).all(axis=(1, 2))]
        floors = measure.floor(both[..., 0, :], both[..., 1, :], division)
        if floors is None:
            return None
        found.append(floors)
    return root_mean_square(np.concatenate(found, axis=-1))


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


def level_to_use(
    codes: NDArray[np.int8], gains: Numbers, line: float | None, over: NDArray[np.bool_] | None = None
) -> NDArray[np.intp]:
    """Which of the levels that are better is the one to use? Its place on the last axis; -1 where none is better.

    Levels with a cost over its limit leave, if any remain; then the first in scale order that lies less than the line
    under the highest; without a line, or a scale (line None), the highest.

    >>> level_to_use(np.array([[1, 1, 1], [0, 0, 1], [0, 0, 0]]), np.array([2.0, 5.0, 6.0]), 3.0).tolist()
    [1, 2, -1]
    """
    better = codes == BETTER
    left = better if over is None else better & ~over
    left = np.where(left.any(axis=-1, keepdims=True), left, better)
    highest = np.where(left, gains, -np.inf).max(axis=-1, keepdims=True)
    near = left & ((gains == highest) if line is None else (highest - gains < line) | (gains == highest))
    return np.where(left.any(axis=-1), near.argmax(axis=-1), -1)


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
