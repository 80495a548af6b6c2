"""A change to a locked plan: kept with its day, what it was and why, and shown on every verdict."""

from collections.abc import Callable
from datetime import date

from pydantic import ValidationError

from schemas import Amendment, Record, Trial, is_made
from trials.changes.lock import is_locked
from trials.changes.merge import LOCKED
from trials.errors import Problem, Refused
from trials.plans.draw import added_runs
from trials.records.faults import problems_of
from trials.records.flat import flat_trial
from trials.records.keys import unknown_keys
from trials.wording.lists import count_of
from trials.wording.steps import reason_place, step

NEVER = ("seed", "locked", "audit", "name")
AMENDED = tuple(key for key in LOCKED if key not in NEVER)


def amend(record: Record, key: str, planned: Callable[[Trial], Trial], why: str | None, today: date) -> Record:
    """Change one key of a locked plan, as "pairs" or "limits.minutes"; runs are drawn for pairs that were added.

    `planned` makes of the plan as it is the plan with that key changed; it may refuse. Refused too: a plan that is not
    locked, no reason, a key that can't be amended, a value that does not fit, or nothing changed.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"),
    ...     locked=date(2026, 5, 2))
    >>> after = amend(Record(trial=trial), "pairs", lambda plan: plan.model_copy(update={"pairs": 5}), "dirt left over",
    ...     date(2026, 5, 9))
    >>> after.trial.pairs, amended_words(Record(trial=trial), after)
    (5, 'mat: pairs was 3, now 5. The verdict will say so.')
    """
    name = record.trial.name
    _refuse_what_is_no_amendment(record, key, why)
    trial = planned(record.trial)
    was, now = _in_force(record.trial, key), _in_force(trial, key)
    if was == now:
        raise Refused([Problem(_place(key), f"{now} is what the plan has", "nothing to amend")])
    try:
        entry = Amendment(when=today, what=key, was=was or "", now=now or "", why=why or "")
    except ValidationError as error:
        raise Refused(problems_of(error, lambda _: reason_place())) from error
    whole = trial.model_copy(update={"amended": (*record.trial.amended, entry)})
    rows = tuple(run for run in record.runs if is_made(run) or run.pair <= whole.pairs + whole.spares)
    try:
        new = added_runs(whole, rows) if rows and whole.seed is not None else ()
    except ValueError as error:
        raise Refused([Problem(f"{name}, {key}", str(error))]) from error
    return record.model_copy(update={"trial": whole, "runs": (*rows, *new)})


def _in_force(trial: Trial, key: str) -> str | None:
    """The value of a key as text; of a limit that was not set, our default, which is what holds."""
    section, _, field = key.partition(".")
    if section == "limits" and trial.limits is None:
        default = getattr(trial.cost_limits, field, None)
        return None if default is None else f"{default:g}"
    return flat_trial(trial).get(key)


def _refuse_what_is_no_amendment(record: Record, key: str, why: str | None) -> None:
    name = record.trial.name
    problems = unknown_keys([key], "--amend")
    if not problems and key not in AMENDED and not key.startswith(("limits.", "price.")):
        can = f"a plan's {', '.join(AMENDED)}, limits and price can"
        what = f"can't be amended; {can}. For anything else plan another trial"
        problems.append(Problem(_place(key), what))
    if not is_locked(record):
        again = step(f"plan it again instead: samedirt plan {name} --from trial.toml", "change it under Plan")
        problems.append(Problem(name, "is not locked yet", again))
    if why is None or not why.strip():
        problems.append(Problem(_place(key), step('needs its reason: --why "the reason"', "needs its reason")))
    if problems:
        raise Refused(problems)


def _place(key: str) -> str:
    return step(f"--amend {key}", key)


def amended_words(before: Record, after: Record) -> str:
    """What was done, in one sentence."""
    name, entry = after.trial.name, after.trial.amended[-1]
    done = f"{name}: {entry.what} was {entry.was or 'not set'}, now {entry.now or 'not set'}. The verdict will say so."
    known = {run.key for run in before.runs}
    new = sum(run.key not in known for run in after.runs)
    sheet = step(f"samedirt sheet {name}", "Papers")
    return f"{done} {count_of(new, 'run')} added and drawn: {sheet} prints them." if new else done
