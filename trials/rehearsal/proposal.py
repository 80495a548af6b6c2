"""A plan before the digging: its draw, what it may hope to find, and what stands in its way."""

import dataclasses
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from schemas import Answer, Compared, LevelsAnswer, Record, Trial
from trials.errors import Problem, Refused
from trials.plans.advice.advise import advise
from trials.plans.advice.told import Advice
from trials.plans.draw import planned_runs
from trials.plans.plan_power import PlanPower, power_of_plan
from trials.plans.planned_scatter import PlannedScatter, scatter_from_trial
from trials.records.cross_check import cross_check
from trials.rehearsal.plan_rehearsed import scenario_of
from trials.rehearsal.rehearsal import Rehearsal, Scenario, rehearse_scenario
from trials.verdicts.reach import reach_verdict

QUICK_REHEARSALS = 4_000
CAUTIOUS_UNDER = 0.015
SHOWN_ALIKE = 0.5


@dataclass(frozen=True, slots=True)
class Plan:
    """A plan with its planned runs, what it may hope to find, and what it must hear."""

    record: Record
    outlook: PlanPower
    advice: tuple[Advice, ...]

    @property
    def trial(self) -> Trial:
        """The plan itself."""
        return self.record.trial


def propose(trial: Trial, earlier: Record | None = None) -> Plan:
    """Draw a plan's order and tags, and reckon what it may find.

    `earlier` is the trial whose scatter it goes by, where it names one. A plan that does not hold together is refused,
    and an earlier trial that tells no scatter.

    >>> from schemas import Gear, Lot
    >>> plan = propose(Trial(name="mat", measure="gold_mass", pairs=6, seed=41, worth_having=20.0,
    ...     lots=(Lot(kind="natural", mass_g=2e5),), gear=Gear(kind="sluice")))
    >>> len(plan.record.runs)
    12
    """
    problems = cross_check(trial, (), "plan", trial.name)
    if problems:
        raise Refused(problems)
    try:
        outlook = power_of_plan(trial, None if earlier is None else _scatter_of(earlier, trial))
    except ValueError as error:
        raise Refused([Problem(f"{trial.name}, [guess]", str(error))]) from error
    advice = advise(outlook)
    if any(one.weight == "refuse" for one in advice):
        return Plan(Record(trial=trial), outlook, advice)
    try:
        runs = planned_runs(trial)
    except ValueError as error:
        raise Refused([Problem(f"{trial.name}, pairs", str(error))]) from error
    told = (*advice, *_rehearsed(outlook))
    return Plan(Record(trial=trial, runs=runs), outlook, told)


def is_sound(plan: Plan) -> bool:
    """Whether a plan can be judged once it is run."""
    return not any(advice.weight == "refuse" for advice in plan.advice)


def refuse_unsound(plan: Plan) -> None:
    """Refuse a plan that could not be judged, all reasons at once."""
    stops = [advice for advice in plan.advice if advice.weight == "refuse"]
    if stops:
        raise Refused([Problem(f"{plan.trial.name}, {advice.about}", advice.says) for advice in stops])


def tells_scatter(record: Record) -> bool:
    """Whether a trial that was run tells how far pairs differ by luck, so that a new one may go by it."""
    return _seen_scatter(reach_verdict(record.trial, record.runs, record.corrections).answer)[0] > 0.0


def _scatter_of(record: Record, trial: Trial) -> PlannedScatter:
    """The scatter of the earlier trial that a plan names."""
    name, place = record.trial.name, f"{trial.name}, [guess] scatter_from"
    if record.trial.measure != trial.measure:
        what = f"{name} measured {record.trial.measure}, and this plan {trial.measure}"
        raise Refused([Problem(place, what, "name a trial of the same measure, or type the scatter")])
    verdict = reach_verdict(record.trial, record.runs, record.corrections)
    answer = verdict.answer
    scatter, pairs = _seen_scatter(answer)
    if not scatter:
        says = f"{name} tells no scatter yet: {verdict.sentence} Finish it, or type the scatter"
        raise Refused([Problem(place, says)])
    return scatter_from_trial(name, scatter, pairs)


def _seen_scatter(answer: Answer) -> tuple[float, int]:
    """How far pairs differ by luck, the floor at least, and from how many pairs that is known; 0 where it is not."""
    match answer:
        case Compared():
            return max(answer.sd, answer.floor or 0.0), len(answer.differences)
        case LevelsAnswer():
            return max(math.sqrt(2) * answer.sd, answer.floor or 0.0), answer.df + 1
        case _:
            return 0.0, 0


def _rehearsed(outlook: PlanPower) -> tuple[Advice, ...]:
    """What a quick rehearsal with nothing changed tells of the plan."""
    trial = outlook.trial
    if outlook.budget is None or trial.kind not in ("pairs", "nothing-changed check") or trial.sizes.main is not None:
        return ()
    scenario = scenario_of(outlook, QUICK_REHEARSALS, seed=0)
    if trial.kind == "pairs":
        scenario = dataclasses.replace(scenario, line=None)
    nothing = _nothing_changed(scenario)
    return (*_alike(outlook, nothing), *_cautious(outlook, nothing))


@lru_cache(maxsize=64)
def _nothing_changed(scenario: Scenario) -> Rehearsal:
    """Rehearse once what is asked again while a plan is talked over, and its names and words change."""
    return rehearse_scenario(scenario)


def _alike(outlook: PlanPower, nothing: Rehearsal) -> Iterator[Advice]:
    """How often two pieces that are alike would be shown so."""
    if outlook.trial.kind != "nothing-changed check" or not outlook.line:
        return
    shown = nothing.share("no_difference")
    says = (
        f"Two that are truly alike would be shown alike, within {outlook.measure.size_text(outlook.line)}, about "
        f"{100 * shown:.0f} times in 100."
    )
    if shown < SHOWN_ALIKE:
        says += " More pairs, or a wider line, show it more often."
    yield Advice("warn" if shown < SHOWN_ALIKE else "note", "alike", says)


def _cautious(outlook: PlanPower, nothing: Rehearsal) -> Iterator[Advice]:
    """Whether luck alone would cry gain or loss far too seldom on this dirt, so that true gains are missed too."""
    alarms = [nothing.share("better"), nothing.share("worse")]
    if outlook.trial.kind != "pairs" or max(alarms) >= CAUTIOUS_UNDER:
        return
    says = (
        f"Cautious here: gains are missed more often. With nothing changed such trials would say better "
        f"{100 * alarms[0]:.1f} times in 100 and worse {100 * alarms[1]:.1f}, where 2.5 each is meant."
    )
    yield Advice("note", "cautious", says)
