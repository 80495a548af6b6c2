"""A plan -> the logbook: its draw, what it may hope to find, and what stands in its way."""

import dataclasses
import secrets
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from schemas import Record, Trial, is_made
from trials.changes.merge import is_locked
from trials.commands.loading import remember_words
from trials.errors import NotYet, Problem, Refused
from trials.logbook.logbook import Logbook
from trials.plans.advice.advise import advise
from trials.plans.advice.told import Advice
from trials.plans.draw import planned_runs
from trials.plans.plan_power import EarlierScatter, PlanPower, power_of_plan
from trials.records.cross_check import cross_check
from trials.rehearsal.rehearsal import Rehearsal, rehearse
from trials.verdicts.reach import reach_verdict, refuse_what_comes_later
from trials.wording.lists import count_of

SEEDS = 2**31
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


def make_plan(book: Logbook, trial: Trial) -> Plan:
    """Draw a plan's order and tags, and reckon what it may find.

    A seed is drawn where it has none. Nothing is stored.

    Raises
    ------
    Refused
        The plan does not hold together, or asks for an earlier trial that can't tell a scatter.
    """
    whole = trial if trial.seed is not None else trial.model_copy(update={"seed": secrets.randbelow(SEEDS)})
    problems = cross_check(whole, (), "plan")
    if problems:
        raise Refused(problems)
    try:
        outlook = power_of_plan(whole, _earlier(book, whole))
    except ValueError as error:
        raise Refused([Problem(f"{trial.name}, [guess]", str(error))]) from error
    advice = advise(outlook)
    if any(one.weight == "refuse" for one in advice):
        return Plan(Record(trial=whole), outlook, advice)
    try:
        runs = planned_runs(whole)
    except ValueError as error:
        raise Refused([Problem(f"{trial.name}, pairs", str(error))]) from error
    told = (*_verdict_to_come(whole), *advice, *_rehearsed(outlook))
    return Plan(Record(trial=whole, runs=runs), outlook, told)


def is_sound(plan: Plan) -> bool:
    """Whether a plan can be judged once it is run."""
    return not any(advice.weight == "refuse" for advice in plan.advice)


def refuse_unsound(plan: Plan) -> None:
    """Refuse a plan that could not be judged, all reasons at once."""
    stops = [advice for advice in plan.advice if advice.weight == "refuse"]
    if stops:
        raise Refused([Problem(f"{plan.trial.name}, {advice.about}", advice.says) for advice in stops])


def store_plan(book: Logbook, plan: Plan) -> bool:
    """Store a plan; whether it replaced one of the same name that was not locked yet.

    Raises
    ------
    Refused
        A plan of that name is locked.
    """
    name = plan.trial.name
    with book.writing() as pages:
        found = pages.records([name])
        if found:
            refuse_locked(found[0])
        pages.store([plan.record])
        remember_words(pages, [plan.record])
    return bool(found)


def locked_words(book: Logbook, name: str) -> str:
    """Why a name can't be planned over; blank where it can."""
    if not is_stored(book, name):
        return ""
    try:
        refuse_locked(book.read(name))
    except Refused as refused:
        return refused.lines[0]
    return ""


def is_stored(book: Logbook, name: str) -> bool:
    """Whether the logbook holds a trial of this name."""
    if not Path(book.path).is_file():
        return False
    with book.reading() as pages:
        return name in pages.names()


def refuse_locked(record: Record) -> None:
    """Refuse to plan over a locked plan."""
    if not is_locked(record):
        return
    name, locked = record.trial.name, record.trial.locked
    since = f"since its sheet was printed ({locked})" if locked else "since its first run"
    made = sum(is_made(run) for run in record.runs)
    says = (
        f"is locked {since}, {count_of(made, 'run')} made. Plan another name, or amend it: "
        f'samedirt plan {name} --amend pairs=8 --why "the reason"'
    )
    raise Refused([Problem(name, says)])


def _earlier(book: Logbook, trial: Trial) -> EarlierScatter | None:
    """The scatter of the earlier trial that a plan names."""
    name = trial.guess.scatter_from
    if name is None:
        return None
    record = book.read(name)
    if record.trial.measure != trial.measure:
        says = (
            f"{name} measured {record.trial.measure}, and this plan {trial.measure}; name a trial of the same measure, "
            "or type the scatter"
        )
        raise Refused([Problem(f"{trial.name}, [guess] scatter_from", says)])
    refuse_what_comes_later(record.trial)
    verdict = reach_verdict(record.trial, record.runs, record.corrections)
    answer = verdict.answer
    scatter = 0.0 if answer.kind == "gate" else max(answer.sd, answer.floor or 0.0)
    if answer.kind == "gate" or not scatter:
        says = f"{name} tells no scatter yet: {verdict.sentence} Finish it, or type the scatter"
        raise Refused([Problem(f"{trial.name}, [guess] scatter_from", says)])
    return EarlierScatter(name, scatter, len(answer.differences))


def _rehearsed(outlook: PlanPower) -> tuple[Advice, ...]:
    """What a quick rehearsal with nothing changed tells of the plan."""
    trial = outlook.trial
    if outlook.budget is None or trial.kind not in ("pairs", "nothing-changed check") or trial.sizes.main is not None:
        return ()
    nothing = rehearse(
        trial.measure,
        pairs=trial.pairs,
        situation=outlook.situation,
        line=outlook.line if trial.kind == "nothing-changed check" else None,
        look_after=trial.look_after,
        times=QUICK_REHEARSALS,
        seed=0,
    )
    return (*_alike(outlook, nothing), *_cautious(outlook, nothing))


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


def _verdict_to_come(trial: Trial) -> tuple[Advice, ...]:
    """A question that this version stores but reaches no verdict on yet: better to know before digging."""
    try:
        refuse_what_comes_later(trial)
    except NotYet as later:
        return (Advice("warn", "verdict", later.lines[0].partition(": ")[2] + "."),)
    return ()


def locked_today(record: Record, today: date) -> Record:
    """The record with its plan locked, where it was not yet."""
    if record.trial.locked is not None:
        return record
    return record.model_copy(update={"trial": record.trial.model_copy(update={"locked": today})})


def draw_if_open(record: Record) -> Record:
    """The record with its runs drawn, where none was drawn or made yet."""
    if any(run.turn is not None or is_made(run) for run in record.runs):
        return record
    trial = record.trial
    if trial.seed is None:
        trial = trial.model_copy(update={"seed": secrets.randbelow(SEEDS)})
    try:
        return record.model_copy(update={"trial": trial, "runs": planned_runs(trial)})
    except ValueError as error:
        raise Refused([Problem(trial.name, str(error))]) from error


def as_json(plan: Plan) -> dict[str, object]:
    """A plan and all that was reckoned for it, for a plain reader."""
    outlook, budget, scatter = plan.outlook, plan.outlook.budget, plan.outlook.scatter
    return {
        "trial": plan.trial.model_dump(mode="json"),
        "runs": [{"pair": run.pair, "arm": run.arm, "turn": run.turn, "tag": run.tag} for run in plan.record.runs],
        "scale": outlook.measure.scale,
        "line": outlook.line,
        "scatter": None if scatter is None else dataclasses.asdict(scatter),
        "pairs_needed": outlook.needed_without_limit,
        "smallest_findable": outlook.findable,
        "chance_at_line": outlook.chance,
        "noise": None
        if budget is None
        else {
            "sd_pair": budget.sd_pair,
            "expected": budget.expected,
            "zero_share": budget.zero_share,
            "sources": [dataclasses.asdict(source) for source in budget.sources],
        },
        "advice": [dataclasses.asdict(one) for one in plan.advice],
    }
