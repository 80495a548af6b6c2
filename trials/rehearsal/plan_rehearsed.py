"""A plan rehearsed twice: with nothing changed, and with a change just worth having."""

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass

from schemas import Trial
from trials.errors import Problem, Refused
from trials.plans.brief import NO_GOLD_SAID
from trials.plans.plan_power import PlanPower, power_of_plan
from trials.rehearsal.level_rehearsal import LevelScenario, rehearse_levels
from trials.rehearsal.rehearsal import Rehearsal, Scenario, rehearse_scenario
from trials.simulation.gear import TrueEffect
from trials.verdicts.levels import NO_SCALE

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
    scenario = LevelScenario(
        trial.measure,
        trial.pairs,
        outlook.situation,
        outlook.line,
        times=times,
        seed=seed,
        levels=change.changed,
        changes=idle,
        has_scale=change.variable not in NO_SCALE,
    )
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
        raise Refused([Problem(trial.name, says, f"samedirt plan {trial.name} tells the luck of its counts")])
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
        trial.measure,
        trial.pairs,
        outlook.situation,
        outlook.line,
        look_after=trial.look_after,
        times=times,
        seed=seed,
    )
