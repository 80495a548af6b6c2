"""Plans and the logbook: drawn and reckoned from what is stored, stored, amended, and drawn for their papers."""

import secrets
from datetime import date

from schemas import Record, Trial, is_made
from trials.changes.amend import amend, amended_words
from trials.changes.lock import draw_if_undrawn, lay_out, lock, refuse_locked
from trials.errors import Problem, Refused
from trials.files.plan_given import trial_told
from trials.files.write import trial_text
from trials.keeping.storing import apply, apply_all
from trials.logbook.logbook import Logbook
from trials.rehearsal.proposal import Plan, propose, refuse_unsound
from trials.wording.steps import step

SEEDS = 2**31


def make_plan(book: Logbook, trial: Trial) -> Plan:
    """Draw a plan's order and tags, and reckon what it may find; a seed is drawn where it has none. Nothing is stored.

    Refused where it does not hold together, or asks for an earlier trial that can't tell a scatter.
    """
    whole = trial if trial.seed is not None else trial.model_copy(update={"seed": secrets.randbelow(SEEDS)})
    earlier = trial.guess.scatter_from
    return propose(whole, None if earlier is None else book.read(earlier))


def store_plan(book: Logbook, plan: Plan) -> bool:
    """Store a plan; whether it replaced one of the same name that was not locked yet."""
    name = plan.trial.name
    replaced = book.holds(name)
    apply_all(book, [name], lambda stored: [lay_out(stored.get(name), plan.record)])
    return replaced


def store_amendment(book: Logbook, name: str, key: str, text: str, why: str | None, today: date) -> str:
    """Change one key of a locked plan, with its reason; says what was done."""

    def planned(trial: Trial) -> Trial:
        return trial_told(trial_text(trial), step(f"{name} --amend {key}", name), {key: text})

    before, after = apply(book, name, lambda record: amend(record, key, planned, why, today))
    return amended_words(before, after)


def store_planned_anew(book: Logbook, name: str, key: str, text: str) -> str:
    """Change one key of a plan that is not locked yet, and draw it anew; says what was done."""
    made = make_plan(book, trial_told(trial_text(book.read(name).trial), name, {key: text}))
    refuse_unsound(made)
    store_plan(book, made)
    return f"{name} is planned anew with {key} {text}."


def locked_words(book: Logbook, name: str) -> str:
    """Why a name can't be planned over; blank where it can."""
    if not book.holds(name):
        return ""
    try:
        refuse_locked(book.read(name))
    except Refused as refused:
        return refused.lines[0]
    return ""


def record_to_print(book: Logbook, name: str, today: date) -> tuple[Record, bool]:
    """The record that papers are printed of, locked from today where it was not; and whether that lock is to be stored.

    A draw made just now is stored at once, so that papers printed again are the same; `lock_printed` stores the lock.
    Refused: no such trial, a plan that could not be judged, runs without tags to print.
    """
    stored = book.read(name)
    drawn = draw_if_undrawn(stored, secrets.randbelow(SEEDS))
    if stored.trial.locked is None and not any(is_made(run) for run in stored.runs):
        refuse_unsound(make_plan(book, drawn.trial))
    if any(run.tag is None or run.turn is None for run in drawn.runs):
        what = "has runs without a tag or a turn, made before there were papers"
        raise Refused([Problem(name, what, "papers need both on every run")])
    if drawn != stored:
        _put(book, stored, drawn)
        drawn = book.read(name)
    return lock(drawn, today), stored.trial.locked is None


def lock_printed(book: Logbook, record: Record) -> None:
    """Store the lock of a record whose papers are written."""
    _put(book, record.model_copy(update={"trial": record.trial.model_copy(update={"locked": None})}), record)


def _put(book: Logbook, before: Record, after: Record) -> None:
    """Store what became of a record, unless it was changed by someone else in between."""
    name = before.trial.name

    def printed(record: Record) -> Record:
        if record != before:
            again = step(f"print them again: sheet {name}", "make them again")
            raise Refused([Problem(name, "was changed while its papers were made", again)])
        return after

    apply(book, name, printed)
