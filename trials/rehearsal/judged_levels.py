"""How do thousands of simulated graded trials end? The functions and the rule of their verdict, on arrays."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from trials.measures.measure import Measure
from trials.rehearsal.judged import BLOCKED, TOO_FEW, Codes, Flags, Judged, is_stopped_by_readings
from trials.rehearsal.simulated_trials import BlockReadings
from trials.statistics.arrays import Numbers
from trials.statistics.block_fit import BlockFit, fit_blocks
from trials.verdicts import level_outcome
from trials.verdicts.outcome import NOT_SETTLED, WORSE

NONE_NAMED = -1


@dataclass(frozen=True, slots=True, eq=False)
class JudgedLevels(Judged):
    """How each of many graded trials ended.

    means: Of the level that the verdict speaks of.
    level_codes: Index into `ENDINGS` for every level, shape (trials, levels); too_few where it can't be compared.
    to_use: Which level would be named as the one to use, from 0; -1 for none.
    """

    level_codes: Codes
    to_use: npt.NDArray[np.intp]


def judge_levels_of_many(
    measure: Measure, seen: BlockReadings, *, division: float | None, line: float | None, has_scale: bool = True
) -> JudgedLevels:
    """How does each graded trial end, judged as `reach_verdict` would judge its runs, costs left out?

    All planned blocks, none void; `has_scale` is whether the order of the levels says anything, as of grits. A run in
    which no recovery can be made is a gap, and such trials are fitted one by one.

    Three blocks of baseline, an idle level and one that gains a half:

    >>> from trials.measures.gold_mass import GOLD_MASS
    >>> runs = np.array([[[40.0, 41, 60], [42, 41, 62], [38, 38, 58]]])[..., np.newaxis]
    >>> turn = np.array([[[1, 2, 3], [5, 6, 4], [9, 7, 8]]])
    >>> ended = judge_levels_of_many(GOLD_MASS, BlockReadings(runs, turn, np.full((1, 3, 3), 350.0)), division=1.0,
    ...                              line=0.18)
    >>> ended.codes.tolist(), ended.level_codes.tolist(), ended.to_use.tolist()
    ([1], [[3, 1]], [1])
    """
    trials, blocks, arms = seen.turn.shape
    blocked = _is_blocked(measure, seen, division)
    says_nothing = measure.zeros(seen.runs) | ~np.isfinite(measure.value(seen.runs))
    speaks = ~np.asarray(says_nothing.all(axis=-1))
    informative = speaks.sum(axis=-1)
    codes = np.where(blocked, BLOCKED, TOO_FEW).astype(np.int8)
    level_codes = np.full((trials, arms - 1), TOO_FEW, dtype=np.int8)
    to_use = np.full(trials, NONE_NAMED, dtype=np.intp)
    means = np.full(trials, np.nan)
    for count in range(level_outcome.FEWEST_BASELINE_RUNS, blocks + 1):
        rows = np.flatnonzero((informative == count) & ~blocked)
        readings = seen.runs[rows][speaks[rows]].reshape(rows.size, count, arms, seen.runs.shape[-1])
        values = measure.scaled(readings, division)
        whole = np.isfinite(values).all(axis=(1, 2))
        groups = [rows[whole], *rows[~whole, np.newaxis]]
        parts = [(values[whole], readings[whole]), *zip(values[~whole], readings[~whole], strict=True)]
        for group, (of_group, read) in zip(groups, parts, strict=True):
            found = _fit(of_group) if group.size else None
            if found is None:
                continue
            fit, taken = found
            bounds = level_outcome.level_bounds(fit, level_outcome.floor_of_levels(measure, read, division, taken))
            outcomes = level_outcome.level_outcomes(bounds, line)
            chosen = level_outcome.level_to_use(outcomes, bounds.estimate, line if has_scale else None)
            own = np.array(taken[1:]) - 1
            level_codes[np.ix_(group, own)] = outcomes
            open_too = np.full((*outcomes.shape[:-1], arms - len(taken)), NOT_SETTLED, dtype=np.int8)
            codes[group] = level_outcome.trial_outcome(np.concatenate([outcomes, open_too], axis=-1))
            to_use[group] = np.where(chosen < 0, NONE_NAMED, own[chosen])
            means[group] = _spoken_of(bounds.estimate, outcomes, codes[group], chosen)
    return JudgedLevels(codes, means, np.zeros(trials, dtype=np.bool_), level_codes, to_use)


def _fit(values: Numbers) -> tuple[BlockFit, list[int]] | None:
    """Many whole trials at once, or one with gaps."""
    return level_outcome.fitted(values) if values.ndim == 2 else (fit_blocks(values), list(range(values.shape[-1])))


def _is_blocked(measure: Measure, seen: BlockReadings, division: float | None) -> Flags:
    """Which trials would a check stop, asked of each level beside the baseline; or one order in every block."""
    levels = range(1, seen.turn.shape[-1])
    stops = [is_stopped_by_readings(measure, seen.beside_baseline(arm), division) for arm in levels]
    order = np.argsort(seen.turn, axis=-1)
    return np.asarray(np.any(stops, axis=0) | (order == order[:, :1]).all(axis=(1, 2)))


def _spoken_of(gains: Numbers, outcomes: Codes, codes: Codes, chosen: npt.NDArray[np.intp]) -> Numbers:
    """The gain of the level that the verdict names: the one to use; of a loss the lowest; else the one that leads."""
    lowest = np.where(outcomes == WORSE, gains, np.inf).argmin(axis=-1)
    place = np.where(chosen >= 0, chosen, np.where(codes == WORSE, lowest, gains.argmax(axis=-1)))
    return np.asarray(np.take_along_axis(gains, place[..., np.newaxis], axis=-1)[..., 0])
