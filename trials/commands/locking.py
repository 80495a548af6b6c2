"""A plan is locked when its first paper is printed: what it asks for is settled, and drawn."""

from datetime import date

from schemas import Record, is_made
from trials.commands.loading import remember_words
from trials.commands.planning import draw_if_open, locked_today, make_plan, refuse_unsound
from trials.errors import Problem, Refused
from trials.logbook.logbook import Logbook


def lock_for_printing(book: Logbook, name: str, today: date) -> tuple[Record, bool]:
    """Lock a plan and draw its runs, where that was not done yet.

    Returns
    -------
    tuple
        The record as stored, and whether it was locked just now.

    Raises
    ------
    Refused
        No such trial; a plan that could not be judged; runs without tags to print.
    """
    stored = book.read(name)
    record = locked_today(draw_if_open(stored), today)
    if record != stored:
        if not any(is_made(run) for run in stored.runs):
            refuse_unsound(make_plan(book, record.trial))
        with book.writing() as pages:
            pages.store([record])
            remember_words(pages, [record])
    if any(run.tag is None or run.turn is None for run in record.runs):
        says = "has runs without a tag or a turn, made before there were papers; papers need both on every run"
        raise Refused([Problem(name, says)])
    return record, stored.trial.locked is None
