"""A plan rehearsed twice: with nothing changed, and with a change just worth having; and what that means."""

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from schemas import Trial
from trials.errors import Problem, Refused
from trials.measures.catalogue import measure_named
from trials.plans.plan_power import PlanPower, power_of_plan
from trials.rehearsal.judged import ENDINGS
from trials.rehearsal.rehearsal import Rehearsal, Scenario, rehearse_scenario

FOUND_SELDOM = 75.0
ENDING_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "better": "better",
        "worse": "worse",
        "no_difference": "no difference worth having",
        "not_settled": "not settled",
        "too_few": "too few pairs with any gold",
        "blocked": "stopped by a check",
    }
)
Progress = Callable[[str], Callable[[int, int], None]]
"""What is being done -> what is told how far it is."""


@dataclass(frozen=True, slots=True)
class Told:
    """What rehearsals have to say.

    A table of how often what would come, times in 100, and sentences; `plain` is all of it for a plain reader.
    """

    heading: str
    header: Sequence[str]
    rows: Sequence[Sequence[str]]
    sentences: Sequence[str]
    plain: Mapping[str, object]


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


def tell_both(played: Played) -> Told:
    """How often each outcome would come, and what that means."""
    trial, nothing, at_line = played.trial, played.nothing, played.at_line
    header = ["outcome, times in 100", "nothing changed"]
    columns = [nothing]
    if at_line is not None and played.outlook.line is not None:
        header.append(measure_named(trial.measure).gain_text(played.outlook.line))
        columns.append(at_line)
    shown = [one for one in ENDINGS if any(column.share(one) > 0 for column in columns) or one in ("better", "worse")]
    return Told(
        f"{trial.name}, rehearsed {nothing.times:,} times on simulated dirt (assumed noise, seed {nothing.seed}):",
        header,
        [[ENDING_WORDS[one], *(f"{100 * column.share(one):.1f}" for column in columns)] for one in shown],
        _sentences(played),
        _plain(played),
    )


def _sentences(played: Played) -> list[str]:
    nothing, at_line, line = played.nothing, played.at_line, played.outlook.line
    false = nothing.share("better")
    error = 100 * nothing.standard_error(false)
    alarm = (
        f"With nothing changed, luck alone would cry better {100 * false:.1f} times in 100 (give or take "
        f"{max(error, 0.05):.1f}, the rehearsal's own luck)."
    )
    said = [alarm]
    if at_line is not None and line is not None:
        found = 100 * at_line.share("better")
        gain = measure_named(played.trial.measure).gain_text(line)
        said.append(f"A change truly worth {gain} would be found {found:.0f} times in 100.")
        if found < FOUND_SELDOM:
            said.append(f"{_more_often(played.outlook)}: samedirt plan {played.trial.name} --ways")
    elif line is None:
        said.append("No line is set, so no change worth having was rehearsed.")
    else:
        said.append("Nothing could bring the line here, so no change worth having was rehearsed.")
    if played.trial.look_after is not None and at_line is not None:
        said.append(
            f"With such a change the early look after pair {played.trial.look_after} would end "
            f"{100 * at_line.stopped_at_look:.0f} in 100 trials; on average {at_line.mean_pairs:.1f} pairs are run."
        )
    return said


def _more_often(outlook: PlanPower) -> str:
    """What would find the line more often: pairs, where a plan holds enough of them; else another way alone."""
    if outlook.needed is None or outlook.needed <= outlook.trial.pairs:
        return "Another way to measure it may find it more often"
    return f"{outlook.needed} pairs would find it 4 times in 5; or another way may"


def _plain(played: Played) -> dict[str, object]:
    def plain(one: Rehearsal | None) -> dict[str, object] | None:
        if one is None:
            return None
        shares = {ending: one.share(ending) for ending in ENDINGS}
        return {
            "times": one.times,
            "seed": one.seed,
            "shares": shares,
            "standard_errors": {ending: one.standard_error(share) for ending, share in shares.items()},
            "stopped_at_look": one.stopped_at_look,
            "mean_pairs": one.mean_pairs,
        }

    return {
        "trial": played.trial.name,
        "pairs": played.trial.pairs,
        "line": played.outlook.line,
        "nothing_changed": plain(played.nothing),
        "at_line": plain(played.at_line),
    }
