"""Common habits of comparing, on simulated dirt with nothing changed: how often would each cry gain?"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from schemas import MeasureName
from trials.measures.catalogue import measure_named
from trials.measures.measure import Measure, root_mean_square
from trials.rehearsal.rehearsal import in_parts, rehearse_scenario
from trials.rehearsal.simulated_trials import division_mg, readings_of
from trials.rehearsal.unchanged_runs import HabitPlan, UnchangedRuns
from trials.statistics.arrays import Numbers
from trials.statistics.limits import critical_t
from trials.verdicts.analysis import LEVEL
from trials.verdicts.outcome import bounds

Habit = Literal[
    "one each",
    "no unchanged half",
    "two days",
    "looking",
    "stopping when ahead",
    "dropping the worst",
    "best of the measures",
]
Calls = NDArray[np.int8]
"""What was called in each trial: 1 a gain, -1 a loss, 0 neither. Shape (trials,)."""

FIRST_LOOK: Final = 3
FULLER_PERCENT: Final = 10.0
"""One run each: how much more is called a gain of a ratio where no line is set; our default."""
MEASURES_TAKEN: Final[tuple[MeasureName, ...]] = ("recovery", "gold_mass", "tails_gold", "grain_counts", "tracers")


@dataclass(frozen=True, slots=True)
class Rate:
    """A share of simulated trials, 0 to 1, of so many."""

    share: float
    times: int

    @property
    def standard_error(self) -> float:
        """How far the luck of the simulation itself takes the share: one SD."""
        return float(np.sqrt(self.share * (1.0 - self.share) / self.times))


@dataclass(frozen=True, slots=True)
class HabitRate:
    """How often one habit would have cried gain with nothing changed.

    does: What is done, in one line.
    cried_gain: Share of the trials in which the changed gear was called the better one. Calls of a loss are not in it.
    """

    habit: Habit
    does: str
    cried_gain: Rate
    cried_loss: Rate


def habit_rates(
    plan: HabitPlan, habits: Sequence[Habit] | None = None, *, on_progress: Callable[[int, int], None] | None = None
) -> tuple[HabitRate, ...]:
    """How often would each habit have cried gain, had nothing been changed?

    Those asked for, in this order; all of `HABITS` unless given; another one is refused with ``ValueError``.
    `on_progress` is called with (trials done, `plan.times`) after each part of some thousand.

    All habits look at the same trials, so that a difference between two of them is surer than either. A seed gives the
    same rates on any number of processors. What each habit does is said in `HABITS`. A t interval is that of the
    verdict, floor and all. The noise is assumed, not measured.

    Source of the questions: repeated looks, Armitage, McPherson and Rowe, JRSS A 132, 1969; the others are common
    practice, no source.

    >>> from trials.noise.situation import Situation
    >>> from trials.simulation.dirt import Dirt
    >>> plan = HabitPlan("gold_mass", 6, Situation(dirt=Dirt(90, "medium")), times=2000)
    >>> one, worst = habit_rates(plan, ("one each", "dropping the worst"))
    >>> 0.25 < one.cried_gain.share < 0.40, 0.05 < worst.cried_gain.share < 0.10
    (True, True)
    """
    asked = tuple(HABITS) if habits is None else tuple(habits)
    for habit in asked:
        if habit not in HABITS:
            raise ValueError(f"{habit} is not a habit that is known; one of: {', '.join(HABITS)}")

    def calls_of_part(part: int, times: int) -> list[Calls]:
        runs = UnchangedRuns(plan, part, times)
        return [HABITS[habit].calls(runs) for habit in asked]

    parts = list(in_parts(calls_of_part, plan.times, plan.pairs, on_progress))
    return tuple(_rate(habit, np.concatenate([part[at] for part in parts])) for at, habit in enumerate(asked))


def _rate(habit: Habit, calls: Calls) -> HabitRate:
    gain, loss = (Rate(float(np.mean(calls == side)), calls.size) for side in (1, -1))
    return HabitRate(habit, HABITS[habit].does, gain, loss)


def fair_rate(plan: HabitPlan) -> Rate:
    """How often would the plan itself say better with nothing changed: every pair in, judged by its own line and look?

    The same share as `rehearse` gives at this seed.
    """
    return Rate(rehearse_scenario(plan).share("better"), plan.times)


def one_each(runs: UnchangedRuns, least: float | None = None) -> Calls:
    """One run of each, and the one that shows more by `least` is called better; the plan's line unless given."""
    measure = measure_named(runs.plan.measure)
    if least is None:
        least = runs.plan.line or (measure.line(FULLER_PERCENT) if measure.is_ratio else 0.0)
    first = _differences(measure, runs, slice(0, 1))[:, 0]
    return _sides(first > least, first < -least)


def no_unchanged_half(runs: UnchangedRuns) -> Calls:
    """The tails over the changed gear alone, and anything that shows is its gain; it can call no loss.

    Where the plan feeds stored tails, a changed half is such a pass; else the tails of one run are fed once more.
    """
    measure = measure_named(runs.plan.measure)
    if runs.plan.feeds_tails:
        kept = runs.in_pairs.gold_kept_mg if measure.weighs else readings_of(measure, runs.in_pairs)[..., 0]
        found = np.asarray(kept[:, 0, 1] > 0)
    elif measure.weighs:
        found = np.asarray(runs.twice.second_mg > 0)
    else:
        found = np.asarray((runs.twice.second_grains if measure.is_ratio else runs.twice.second_tracers) > 0)
    return _sides(found, np.zeros_like(found))


def two_days(runs: UnchangedRuns) -> Calls:
    """All unchanged runs on one day, all changed ones on the next, as two groups: Student's t, two-sided 5 %.

    Of ratios the logs are compared; a run in which none was found counts half a scale division, or half a grain.
    """
    measure = measure_named(runs.plan.measure)
    values = np.nan_to_num(measure.value(readings_of(measure, runs.on_two_days)))
    if measure.is_ratio:
        values = np.log(np.maximum(values, (division_mg(measure, runs.plan.situation.noise) or 1.0) / 2.0))
    if measure.side == "lost":
        values = -values
    if runs.plan.pairs < 2:
        return _sides(values[:, 1, 0] > values[:, 0, 0], values[:, 1, 0] < values[:, 0, 0])
    gap = values[:, 1].mean(axis=-1) - values[:, 0].mean(axis=-1)
    error = np.sqrt(values.var(axis=-1, ddof=1).sum(axis=-1) / runs.plan.pairs)
    reach = critical_t(2 * runs.plan.pairs - 2, LEVEL) * error
    return _sides(np.asarray(gap > reach), np.asarray(gap < -reach))


def repeated_looks(runs: UnchangedRuns) -> Calls:
    """A t interval after every pair from the third on; the first that leaves zero out is the answer."""
    measure = measure_named(runs.plan.measure)
    calls = np.zeros(runs.times, dtype=np.int8)
    for pairs in range(min(FIRST_LOOK, runs.plan.pairs), runs.plan.pairs + 1):
        now = _by_interval(measure, runs, slice(0, pairs))
        calls = np.where(calls == 0, now, calls).astype(np.int8)
    return calls


def stopping_when_ahead(runs: UnchangedRuns) -> Calls:
    """The mean looked at after every pair from the first on, and a gain called as soon as it is over 0."""
    differences = _differences(measure_named(runs.plan.measure), runs, slice(None))
    ever_ahead = (np.cumsum(differences, axis=-1) > 0).any(axis=-1)
    return _sides(np.asarray(ever_ahead), np.asarray(~ever_ahead & (differences.sum(axis=-1) < 0)))


def dropping_the_worst(runs: UnchangedRuns) -> Calls:
    """All pairs run, then the one that speaks most against the change struck, and the t interval of the rest."""
    measure = measure_named(runs.plan.measure)
    if runs.plan.pairs < FIRST_LOOK:
        return _by_interval(measure, runs, slice(None))
    worst = _differences(measure, runs, slice(None)).argmin(axis=-1)
    kept = np.arange(runs.plan.pairs) != worst[:, np.newaxis]
    both = readings_of(measure, runs.in_pairs)[kept].reshape(runs.times, runs.plan.pairs - 1, 2, -1)
    return _interval_calls(measure, both, division_mg(measure, runs.plan.situation.noise))


def best_of_the_measures(runs: UnchangedRuns, measures: Sequence[MeasureName] = MEASURES_TAKEN) -> Calls:
    """Every measure taken, each with its t interval, and the one that shows a gain quoted."""
    found = np.stack([_by_interval(measure_named(name), runs, slice(None)) for name in measures])
    return _sides(np.asarray((found > 0).any(axis=0)), np.asarray((found < 0).any(axis=0)))


def _sides(gain: NDArray[np.bool_], loss: NDArray[np.bool_]) -> Calls:
    """A gain where one is called; else a loss where one is."""
    return np.where(gain, 1, np.where(loss, -1, 0)).astype(np.int8)


def _differences(measure: Measure, runs: UnchangedRuns, pairs: slice) -> Numbers:
    """One difference for each of these pairs, shape (trials, pairs)."""
    both = readings_of(measure, runs.in_pairs)[:, pairs]
    return _pair_differences(measure, both, division_mg(measure, runs.plan.situation.noise))


def _pair_differences(measure: Measure, both: Numbers, division: float | None) -> Numbers:
    """Differences of readings (trials, pairs, 2, readings); 0 for a pair in which nothing was found."""
    with np.errstate(divide="ignore", invalid="ignore"):
        found = measure.difference(both[:, :, 0], both[:, :, 1], division)
    return np.where(np.isfinite(found), found, 0.0)


def _by_interval(measure: Measure, runs: UnchangedRuns, pairs: slice) -> Calls:
    both = readings_of(measure, runs.in_pairs)[:, pairs]
    return _interval_calls(measure, both, division_mg(measure, runs.plan.situation.noise))


def _interval_calls(measure: Measure, both: Numbers, division: float | None) -> Calls:
    """What the interval of the verdict says of readings (trials, pairs, 2, readings); of one pair, nothing."""
    if both.shape[1] < 2:
        return np.zeros(both.shape[0], dtype=np.int8)
    with np.errstate(divide="ignore", invalid="ignore"):
        floors = measure.floor(both[:, :, 0], both[:, :, 1], division)
        floor = None if floors is None else root_mean_square(np.nan_to_num(floors))
    limits = bounds(_pair_differences(measure, both, division), floor, level=LEVEL)
    return _sides(limits.low > 0, limits.high < 0)


@dataclass(frozen=True, slots=True)
class _Practice:
    """What is done, in one line, and the function that does it."""

    does: str
    calls: Callable[[UnchangedRuns], Calls]


HABITS: Final[Mapping[Habit, _Practice]] = MappingProxyType(
    {
        "one each": _Practice("one run of each, the fuller vial is better", one_each),
        "no unchanged half": _Practice("tails run over the changed gear alone", no_unchanged_half),
        "two days": _Practice("each set-up has a day of its own", two_days),
        "looking": _Practice("a look after every pair from the third", repeated_looks),
        "stopping when ahead": _Practice("no end planned, it ends when ahead", stopping_when_ahead),
        "dropping the worst": _Practice("the worst pair for the change is struck", dropping_the_worst),
        "best of the measures": _Practice("five measures taken, the best one told", best_of_the_measures),
    }
)
