"""Habits of comparing, rehearsed on the person's own plan."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np

from schemas import Trial
from trials.errors import Problem, Refused
from trials.rehearsal.habits import Habit, HabitRate, Rate, fair_rate, habit_rates
from trials.rehearsal.plan_rehearsed import Progress, outlook_to_rehearse
from trials.rehearsal.unchanged_runs import HabitPlan, UnchangedRuns

TYPED_AS: Final[Mapping[str, Habit]] = MappingProxyType(
    {
        "one-each": "one each",
        "no-unchanged": "no unchanged half",
        "two-days": "two days",
        "looking": "looking",
        "stop-ahead": "stopping when ahead",
        "drop-worst": "dropping the worst",
        "best-of": "best of the measures",
    }
)
DAYS_APART: Final = 0.3
"""SD of the natural log of richness between two days' natural dirt: assumed, no source."""
SECOND_PASSES: Final = 2_000


@dataclass(frozen=True, slots=True)
class HabitsPlayed:
    """Habits of one plan.

    fair: How often the plan itself would say better.
    """

    trial: Trial
    plan: HabitPlan
    fair: Rate
    rates: tuple[HabitRate, ...]

    @property
    def second_pass(self) -> float | None:
        """The gold of a second pass over the unchanged gear, over that of the first; None where none was weighed."""
        shares = UnchangedRuns(self.plan, part=0, times=min(SECOND_PASSES, self.plan.times)).twice.shares
        return float(np.mean(shares)) if shares.size else None


def rehearse_habits(trial: Trial, typed: str, times: int, seed: int, progress: Progress) -> HabitsPlayed:
    """Rehearse one habit, or "all" of them, with nothing changed; a plan that can't be rehearsed is refused."""
    if trial.kind == "graded":
        says = f"has {len(trial.arms)} set-ups, and the habits are of comparing two"
        raise Refused([Problem(trial.name, says, "rehearse it without --habit, or plan two of its set-ups as pairs")])
    outlook = outlook_to_rehearse(trial)
    is_dug_daily = all(lot.kind == "natural" for lot in trial.lots)
    plan = HabitPlan(
        measure=trial.measure,
        pairs=trial.pairs,
        situation=outlook.situation,
        line=outlook.line,
        look_after=trial.look_after,
        day_richness_sd=DAYS_APART if is_dug_daily else 0.0,
        feeds_tails=trial.feeds_tails,
        times=times,
        seed=seed,
    )
    habits = tuple(TYPED_AS.values()) if typed == "all" else (TYPED_AS[typed],)
    rates = habit_rates(plan, habits, on_progress=progress("Habits"))
    return HabitsPlayed(trial, plan, fair_rate(plan), rates)
