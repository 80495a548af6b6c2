"""A plan laid out, drawn where it was not yet, and locked: what it asks for is settled."""

from datetime import date

from schemas import Record, is_made
from trials.errors import Problem, Refused
from trials.wording.lists import count_of
from trials.wording.steps import step


def is_locked(record: Record) -> bool:
    """Whether the plan is locked: by its date, or because a run was made."""
    return record.trial.locked is not None or any(is_made(run) for run in record.runs)


def lay_out(stored: Record | None, plan: Record) -> Record:
    """Lay out a plan with its planned runs, in the place of what there is of its name; refused where it is locked."""
    if stored is not None:
        refuse_locked(stored)
    return plan


def refuse_locked(record: Record) -> None:
    """Refuse to plan over a locked plan."""
    if not is_locked(record):
        return
    name, locked = record.trial.name, record.trial.locked
    since = f"since its sheet was printed ({locked})" if locked else "since its first run"
    made = sum(is_made(run) for run in record.runs)
    says = f"is locked {since}, {count_of(made, 'run')} made. Plan another name, or amend it" + step(
        f': samedirt plan {name} --amend pairs=8 --why "the reason"', " under Plan, at its page"
    )
    raise Refused([Problem(name, says)])


def lock(record: Record, today: date) -> Record:
    """Lock a plan from today; one that is locked stays as it is."""
    if record.trial.locked is not None:
        return record
    return record.model_copy(update={"trial": record.trial.model_copy(update={"locked": today})})


def draw_if_undrawn(record: Record, seed: int) -> Record:
    """Draw the runs of a plan where none was drawn or made yet, by its seed or this one; refused if tags run out."""
    if any(run.turn is not None or is_made(run) for run in record.runs):
        return record
    trial = record.trial
    if trial.seed is None:
        trial = trial.model_copy(update={"seed": seed})
    try:
        from trials.plans.draw import planned_runs  # whoever locks nothing pays for no numbers

        return record.model_copy(update={"trial": trial, "runs": planned_runs(trial)})
    except ValueError as error:
        raise Refused([Problem(trial.name, str(error))]) from error
