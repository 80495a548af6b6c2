"""A change to a locked plan: kept with its day, what it was and why, and shown on every verdict."""

from datetime import date

import tomlkit
from pydantic import ValidationError

from schemas import Amendment, Record, Trial, is_made
from trials.changes.merge import LOCKED, is_locked
from trials.errors import Problem, Refused
from trials.files.answers import put_answer, unknown_keys
from trials.files.trial_file import read_trial
from trials.files.write import trial_text
from trials.plans.draw import added_runs
from trials.records.faults import problems_of
from trials.records.flat import flat_trial
from trials.wording.lists import count_of

NEVER = ("seed", "locked", "audit", "name")
AMENDED = tuple(key for key in LOCKED if key not in NEVER)


def amended(record: Record, key: str, text: str, why: str | None, today: date) -> tuple[Record, str]:
    """Change one key of a locked plan.

    Parameters
    ----------
    record
        A record whose plan is locked.
    key, text
        What is changed, and to what, as typed.
    why
        The reason; needed.
    today
        The day of the change.

    Returns
    -------
    tuple
        The record as amended, with rows for pairs that were added; and what was done, in one sentence.

    Raises
    ------
    Refused
        Not locked, no reason, a key that can't be amended, a value that does not fit, or nothing changed.
    """
    name = record.trial.name
    _refuse_what_is_no_amendment(record, key, why)
    was = _in_force(record.trial, key)
    document = tomlkit.parse(trial_text(record.trial))
    put_answer(document, key, text)
    trial, problems = read_trial(tomlkit.dumps(document), f"{name} --amend {key}")
    if trial is None:
        raise Refused(problems)
    now = _in_force(trial, key)
    if was == now:
        raise Refused([Problem(f"--amend {key}", f"{text} is what the plan has; nothing to amend")])
    try:
        entry = Amendment(when=today, what=key, was=was or "", now=now or "", why=why or "")
    except ValidationError as error:
        raise Refused(problems_of(error, lambda _: "--why")) from error
    whole = trial.model_copy(update={"amended": (*record.trial.amended, entry)})
    rows = tuple(run for run in record.runs if is_made(run) or run.pair <= whole.pairs + whole.spares)
    try:
        new = added_runs(whole, rows) if rows and whole.seed is not None else ()
    except ValueError as error:
        raise Refused([Problem(f"{name}, {key}", str(error))]) from error
    done = f"{name}: {key} was {was or 'not set'}, now {now or 'not set'}. The verdict will say so."
    if new:
        done += f" {count_of(len(new), 'run')} added and drawn: samedirt sheet {name} prints them."
    return record.model_copy(update={"trial": whole, "runs": (*rows, *new)}), done


def _in_force(trial: Trial, key: str) -> str | None:
    """The value of a key as text; of a limit that was not set, our default, which is what holds."""
    section, _, field = key.partition(".")
    if section == "limits" and trial.limits is None:
        default = getattr(trial.cost_limits, field, None)
        return None if default is None else f"{default:g}"
    return flat_trial(trial).get(key)


def _refuse_what_is_no_amendment(record: Record, key: str, why: str | None) -> None:
    name = record.trial.name
    problems = unknown_keys({key: ""}, "--amend")
    if not problems and key not in AMENDED and not key.startswith("limits."):
        says = f"can't be amended; a plan's {', '.join(AMENDED)} and limits can. For anything else plan another trial"
        problems.append(Problem(f"--amend {key}", says))
    if not is_locked(record):
        says = f"is not locked yet; plan it again instead: samedirt plan {name} --from trial.toml"
        problems.append(Problem(name, says))
    if why is None or not why.strip():
        problems.append(Problem(f"--amend {key}", 'needs its reason: --why "the reason"'))
    if problems:
        raise Refused(problems)
