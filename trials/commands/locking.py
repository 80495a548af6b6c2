"""A plan is locked when its first paper is printed: what it asks for is settled, and drawn."""

from datetime import date

from schemas import Record, is_made
from trials.commands.loading import remember_words
from trials.commands.planning import draw_if_open, locked_today, make_plan, refuse_unsound
from trials.errors import Problem, Refused
from trials.logbook.logbook import Logbook


def record_to_print(book: Logbook, name: str, today: date) -> tuple[Record, bool]:
    """Give what papers are printed of, drawn where it was not yet; its lock is stored by `lock_printed`.

    Returns
    -------
    tuple
        The record, locked from today where it was not yet, and whether that lock is still to be stored. A draw made
        just now is stored at once, so that papers printed again are the same.

    Raises
    ------
    Refused
        No such trial; a plan that could not be judged; runs without tags to print.
    """
    stored = book.read(name)
    drawn = draw_if_open(stored)
    if stored.trial.locked is None and not any(is_made(run) for run in stored.runs):
        refuse_unsound(make_plan(book, drawn.trial))
    if any(run.tag is None or run.turn is None for run in drawn.runs):
        says = "has runs without a tag or a turn, made before there were papers; papers need both on every run"
        raise Refused([Problem(name, says)])
    if drawn != stored:
        _put(book, stored, drawn)
        drawn = book.read(name)
    return locked_today(drawn, today), stored.trial.locked is None


def lock_printed(book: Logbook, record: Record) -> None:
    """Store the lock of a record whose papers are written."""
    _put(book, record.model_copy(update={"trial": record.trial.model_copy(update={"locked": None})}), record)


def _put(book: Logbook, before: Record, after: Record) -> None:
    """Store what became of a record, unless it was changed by someone else in between."""
    name = before.trial.name
    with book.writing() as pages:
        if pages.records([name]) != [before]:
            raise Refused([Problem(name, f"was changed while its papers were made; print them again: sheet {name}")])
        pages.store([after])
        remember_words(pages, [after])
