"""A plan rehearsed: with nothing changed, with a change just worth having, and by habits of comparing."""

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np

from schemas import Trial
from trials.errors import Problem, Refused
from trials.plans.brief import NO_GOLD_SAID
from trials.plans.plan_power import PlanPower, power_of_plan
from trials.rehearsal.habits import Habit, HabitRate, Rate, fair_rate, habit_rates
from trials.rehearsal.level_rehearsal import LevelScenario, rehearse_levels
from trials.rehearsal.rehearsal import Rehearsal, Scenario, rehearse_scenario
from trials.rehearsal.unchanged_runs import HabitPlan, UnchangedRuns
from trials.simulation.gear import TrueEffect
from trials.verdicts.levels import NO_SCALE
from trials.wording.steps import step

Progress = Callable[[str], Callable[[int, int], None]]
"""What is being done -> what is told how far it is."""


@dataclass(frozen=True, slots=True)
class Played:
    """Two rehearsals of one plan.

    at_line: With a change just worth having; None where no line is set, or nothing could bring it.
    """

    trial: Trial
    outlook: PlanPower
    nothing: Rehearsal
    at_line: Rehearsal | None


def rehearse_both(trial: Trial, times: int, seed: int, progress: Progress) -> Played:
    """Rehearse a plan with nothing changed, and with a change just worth having.

    Of a graded plan the last level alone is worth having, all others nothing. Refused are an audit, which compares
    nothing, a main size class, which no simulated run is sorted by, and a plan with neither a guess of its gold nor
    tracers.
    """
    outlook = outlook_to_rehearse(trial)
    if trial.kind == "graded":
        return _rehearse_levels(outlook, times, seed, progress)
    scenario = scenario_of(outlook, times, seed)
    nothing = rehearse_scenario(scenario, progress("Nothing changed"))
    at_line = None
    if outlook.change is not None:
        changed = dataclasses.replace(scenario, change=outlook.change)
        at_line = rehearse_scenario(changed, progress("Change worth having"))
    return Played(trial, outlook, nothing, at_line)


def _rehearse_levels(outlook: PlanPower, times: int, seed: int, progress: Progress) -> Played:
    trial, change = outlook.trial, outlook.trial.change
    assert change is not None  # noqa: S101 - a graded trial changes something
    idle = (TrueEffect(),) * len(change.changed)
    has_scale = change.variable not in NO_SCALE
    plan = (trial.measure, trial.pairs, outlook.situation, outlook.line)
    scenario = LevelScenario(*plan, times=times, seed=seed, levels=change.changed, changes=idle, has_scale=has_scale)
    nothing = rehearse_levels(scenario, progress("Nothing changed"))
    at_line = None
    if outlook.change is not None:
        one_gains = dataclasses.replace(scenario, changes=(*idle[:-1], outlook.change))
        at_line = rehearse_levels(one_gains, progress(f"{change.changed[-1]} worth having"))
    return Played(trial, outlook, nothing, at_line)


def outlook_to_rehearse(trial: Trial) -> PlanPower:
    """What a plan may hope to find; one whose trials can't be simulated is refused."""
    outlook = power_of_plan(trial)
    if trial.kind == "audit":
        says = "is an audit: it compares nothing, so there is no word to rehearse"
        plan = step(f"samedirt plan {trial.name}", "Plan")
        raise Refused([Problem(trial.name, says, f"{plan} tells the luck of its counts")])
    if trial.sizes.main is not None:
        says = f"is judged on {trial.sizes.main} alone, and simulated runs are not sorted by size"
        raise Refused([Problem(trial.name, says, "rehearse it on the total: leave main out of [sizes] in a copy")])
    if outlook.budget is None:
        raise Refused([Problem(trial.name, NO_GOLD_SAID)])
    return outlook


def scenario_of(outlook: PlanPower, times: int, seed: int) -> Scenario:
    """A plan as it is rehearsed with nothing changed."""
    trial = outlook.trial
    return Scenario(
        trial.measure, trial.pairs, outlook.situation, outlook.line, look_after=trial.look_after, times=times, seed=seed
    )


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
        rehearse = step("rehearse it without --habit", "rehearse the plan itself")
        raise Refused([Problem(trial.name, says, f"{rehearse}, or plan two of its set-ups as pairs")])
    outlook = outlook_to_rehearse(trial)
    is_dug_daily = all(lot.kind == "natural" for lot in trial.lots)
    fair = scenario_of(outlook, times, seed)
    apart = DAYS_APART if is_dug_daily else 0.0
    plan = HabitPlan(
        **{one.name: getattr(fair, one.name) for one in dataclasses.fields(fair)},
        day_richness_sd=apart,
        feeds_tails=trial.feeds_tails,
    )
    habits = tuple(TYPED_AS.values()) if typed == "all" else (TYPED_AS[typed],)
    rates = habit_rates(plan, habits, on_progress=progress("Habits"))
    return HabitsPlayed(trial, plan, fair_rate(plan), rates)
