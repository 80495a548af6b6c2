"""A plan laid out: stored for the first time, or in the place of one of its name that is not locked yet."""

from schemas import Record, is_made
from trials.changes.merge import is_locked
from trials.errors import Problem, Refused
from trials.wording.lists import count_of


def lay_out(stored: Record | None, plan: Record) -> Record:
    """Lay out a plan with its planned runs, in the place of what there is of its name; refused where that is locked."""
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
    says = (
        f"is locked {since}, {count_of(made, 'run')} made. Plan another name, or amend it: "
        f'samedirt plan {name} --amend pairs=8 --why "the reason"'
    )
    raise Refused([Problem(name, says)])
