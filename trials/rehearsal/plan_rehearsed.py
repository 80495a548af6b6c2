"""A plan rehearsed twice: with nothing changed, and with a change just worth having."""

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass

from schemas import Trial
from trials.errors import Problem, Refused
from trials.plans.plan_power import PlanPower, power_of_plan
from trials.rehearsal.rehearsal import Rehearsal, Scenario, rehearse_scenario

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

    Refused are a graded trial, an audit or a main size class, which this version does not rehearse; or a plan with
    neither a guess of its gold nor tracers.
    """
    outlook = outlook_to_rehearse(trial)
    scenario = scenario_of(outlook, times, seed)
    nothing = rehearse_scenario(scenario, progress("Nothing changed"))
    at_line = None
    if outlook.change is not None:
        changed = dataclasses.replace(scenario, change=outlook.change)
        at_line = rehearse_scenario(changed, progress("Change worth having"))
    return Played(trial, outlook, nothing, at_line)


def outlook_to_rehearse(trial: Trial) -> PlanPower:
    """What a plan may hope to find; one whose trials can't be simulated is refused."""
    outlook = power_of_plan(trial)
    if trial.kind in ("graded", "audit") or trial.sizes.main is not None:
        says = "is not a trial of pairs judged on their total; only such a plan can be rehearsed in this version"
        raise Refused([Problem(trial.name, says)])
    if outlook.budget is None:
        says = (
            'says nothing of the gold in the dirt; guess it in the plan ([guess] gold = "5 mg/kg", sizes = "fine"), or '
            "seed tracers ([grains] seeded = 100)"
        )
        raise Refused([Problem(trial.name, says)])
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
