"""All numbers of a graded trial's verdict, before any word is said of them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from schemas import Cost, Interval
from schemas.answer import LevelCode
from trials.fairness.graded import BlockEvidence
from trials.statistics.arrays import Numbers
from trials.statistics.best_level import ShortOfBest, short_of_best
from trials.statistics.block_fit import BlockFit
from trials.statistics.blocks_needed import blocks_needed
from trials.statistics.dunnett import dunnett_p
from trials.statistics.level_trend import LevelTrend, level_trend
from trials.verdicts import level_outcome
from trials.verdicts.level_costs import costs_of_levels, net_differences
from trials.verdicts.outcome import NOT_SETTLED, OUTCOMES, JudgedByLimits, Outcome, interval_of

NO_SCALE = ("mat", "riffle", "other")
"""Changes whose levels are told by name: their order says nothing."""


@dataclass(frozen=True, slots=True)
class JudgedLevel(JudgedByLimits):
    """One level beside the baseline.

    runs: in the sum. differences: in each block, None where a run is missing.
    mean, estimate, interval, floored: None where it is not judged (too_few).
    net: the estimate less its minutes and black sand by the plan's price; None without one, or where it can't be said.
    scatter: SD of a difference in a block that its limits stand on, the floor in it; None where nothing is known.
    """

    name: str
    runs: int
    code: LevelCode
    differences: tuple[float | None, ...]
    mean: float | None = None
    estimate: float | None = None
    interval: Interval | None = None
    floored: Interval | None = None
    p: float | None = None
    scatter: float | None = None
    could_be_best: bool | None = None
    short_of_best: float | None = None
    costs: tuple[Cost, ...] = ()
    net: float | None = None

    @property
    def has_a_cost_over(self) -> bool:
        """Any cost is over its limit."""
        return any(cost.status == "over" for cost in self.costs)

    @property
    def gain(self) -> float:
        """The estimate of a level that is judged."""
        assert self.estimate is not None  # noqa: S101 - asked of judged levels alone
        return self.estimate


@dataclass(frozen=True, slots=True)
class LevelsAnalysis:
    """The engine's answer for a graded trial.

    baseline: its text. levels: every level in scale order. fit: of those judged, the baseline first.
    reach: standard errors from a mean to its joint limit. floor: SD of a difference in a block, or None.
    pick: the level to use; None where none is better. trend: None where the change has no scale.
    could_be_best, enough: the first set-up in scale order that no other is shown to be beyond, and that no other is a
        line beyond; the second None where none is shown, both without a line or a scale.
    """

    baseline: str
    baseline_runs: int
    blocks: int
    levels: tuple[JudgedLevel, ...]
    code: Outcome
    fit: BlockFit
    reach: float
    line: float | None
    floor: float | None
    trend: LevelTrend | None
    short: ShortOfBest
    pick: JudgedLevel | None
    could_be_best: str | None
    enough: str | None

    @property
    def judged(self) -> tuple[JudgedLevel, ...]:
        """The levels with runs enough."""
        return tuple(level for level in self.levels if level.code != "too_few")

    @property
    def highest(self) -> JudgedLevel:
        """The level with the highest mean."""
        return max(self.judged, key=lambda level: level.gain)

    @property
    def named(self) -> JudgedLevel:
        """The level a sentence is of: the one to use; else of a loss the lowest, and else the one that leads."""
        if self.pick is not None:
            return self.pick
        worse = [level for level in self.judged if level.code == "worse"]
        return min(worse, key=lambda level: level.gain) if self.code == "worse" else self.highest

    @property
    def scatter(self) -> float | None:
        """SD of a difference in a block, for a new trial: of the level named."""
        return self.named.scatter

    def blocks_for_new_trial(self) -> int | None:
        """Blocks a new trial would need to find the line 4 times in 5; None where nothing is open or known."""
        if self.code != "not_settled" or self.line is None or not self.scatter:
            return None
        return blocks_needed(self.line / self.scatter, len(self.judged) + 1)

    def blocks_to_tell_where_it_stops(self) -> int | None:
        """Blocks that would tell where more stops paying, by the trial's own scatter; None where it is told."""
        if self.line is None or self.could_be_best == self.enough or not float(self.fit.sd) > 0:
            return None
        return blocks_needed(self.line / (math.sqrt(2) * float(self.fit.sd)), len(self.judged) + 1)


def analyse_levels(evidence: BlockEvidence) -> LevelsAnalysis | None:
    """Run the engine over the blocks of a graded trial; None where the baseline or every level has too few runs."""
    trial, blocking = evidence.trial, evidence.blocking
    change = trial.change
    assert change is not None  # noqa: S101 - a graded trial changes something
    blocks = blocking.informative
    readings = blocking.readings(blocks)
    values = blocking.measure.scaled(readings, blocking.division_mg) if blocks else np.empty((0, len(trial.arms)))
    both = level_outcome.fitted(values)
    if both is None:
        return None
    fit, taken = both
    line = None if trial.worth_having is None else blocking.measure.line(trial.worth_having)
    least = level_outcome.floor_of_levels(blocking.measure, readings, blocking.division_mg, taken)
    floor = None if least is None else float(least)
    bounds, short = level_outcome.level_bounds(fit, floor), short_of_best(fit)
    codes = level_outcome.level_outcomes(bounds, line)
    costs, net = costs_of_levels(trial, blocks), net_differences(trial, blocking.measure, blocks, values)
    levels = tuple(
        replace(_judged(level, fit, bounds, short, codes, taken.index(at)), net=net.get(at)) if at in taken else level
        for at, level in enumerate(_unjudged(change.changed, values, costs), start=1)
    )
    of_all = np.concatenate([codes, np.full(len(levels) + 1 - len(taken), NOT_SETTLED)])
    has_scale = change.variable not in NO_SCALE
    told = line is not None and has_scale
    names = [(change.baseline, *change.changed)[at] for at in taken]
    return LevelsAnalysis(
        baseline=change.baseline,
        baseline_runs=int(np.isfinite(values[:, 0]).sum()),
        blocks=len(blocks),
        levels=levels,
        code=OUTCOMES[int(level_outcome.trial_outcome(of_all))],
        fit=fit,
        reach=bounds.reach,
        line=line,
        floor=floor,
        trend=level_trend(fit) if has_scale and len(taken) > 2 else None,
        short=short,
        pick=pick_of(levels, line if has_scale else None),
        could_be_best=_first(names, short.could_be_best) if told else None,
        enough=_first(names, short.is_enough(line)) if told and line is not None else None,
    )


def _unjudged(names: Sequence[str], values: Numbers, costs: Sequence[tuple[Cost, ...]]) -> list[JudgedLevel]:
    """Each level with its runs and costs alone."""
    apart = values - values[:, :1]
    return [
        JudgedLevel(
            name=name,
            runs=int(np.isfinite(values[:, at]).sum()),
            code="too_few",
            differences=tuple(None if np.isnan(d) else float(d) for d in apart[:, at]),
            costs=costs[at - 1],
        )
        for at, name in enumerate(names, start=1)
    ]


def _judged(
    level: JudgedLevel,
    fit: BlockFit,
    bounds: level_outcome.LevelBounds,
    short: ShortOfBest,
    codes: NDArray[np.int8],
    at: int,
) -> JudgedLevel:
    """The level with all that the fit says of it; `at` is its column there, the baseline's being 0."""
    own = at - 1
    estimate, seen = float(bounds.estimate[own]), float(fit.errors[at, 0])
    floored = float(bounds.floored_scatter[own])
    return replace(
        level,
        code=OUTCOMES[int(codes[own])],
        mean=float(fit.means[at]),
        estimate=estimate,
        interval=interval_of(bounds.low[own], bounds.high[own], level_outcome.LEVEL),
        floored=interval_of(bounds.floored_low[own], bounds.floored_high[own], level_outcome.LEVEL),
        p=dunnett_p(estimate / seen, fit.means.size - 1, fit.df) if seen else None,
        scatter=math.sqrt(2) * floored if np.isfinite(floored) else None,
        could_be_best=bool(short.could_be_best[at]),
        short_of_best=float(short.atmost[at]),
    )


def pick_of(levels: Sequence[JudgedLevel], line: float | None) -> JudgedLevel | None:
    """Which of the levels is the one to use? None where none is better.

    By the plan's price, the one that gains most net of its minutes and black sand; else as `level_to_use` says.
    """
    judged = [level for level in levels if level.code != "too_few"]
    priced = [(level.net, level) for level in judged if level.code == "better" and level.net is not None]
    if priced:
        return max(priced, key=lambda one: one[0])[1]
    codes = np.array([OUTCOMES.index(level.code) for level in judged if level.code != "too_few"], dtype=np.int8)
    over = np.array([level.has_a_cost_over for level in judged])
    at = int(level_outcome.level_to_use(codes, np.array([level.gain for level in judged]), line, over))
    return None if at < 0 else judged[at]


def _first(names: Sequence[str], which: NDArray[np.bool_]) -> str | None:
    return next((name for name, told in zip(names, which.tolist(), strict=True) if told), None)
