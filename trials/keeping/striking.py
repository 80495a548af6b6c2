"""Runs struck and trials set aside in a logbook, and either taken back; says what was done."""

from datetime import datetime

from trials.changes.find_run import run_tagged
from trials.changes.strike import count_again, set_trial_aside, strike, struck_words, take_trial_back
from trials.keeping.storing import apply, found_in
from trials.logbook.logbook import Logbook


def store_strike(book: Logbook, name: str, tag: str, why: str, *, gold_known: bool | None, now: datetime) -> str:
    """Strike the run of a tag."""
    own = _own(book, name, tag)
    before, after = apply(book, name, lambda record: strike(record, own, why, gold_known=gold_known, now=now))
    return struck_words(before, after, own, gold_known=gold_known)


def store_counting_again(book: Logbook, name: str, tag: str, why: str, now: datetime) -> str:
    """Let a run count again that was struck by mistake."""
    own = _own(book, name, tag)
    apply(book, name, lambda record: count_again(record, own, why, now))
    return f"{own} counts again: {why}. That it was struck stays on record."


def store_aside(book: Logbook, name: str, why: str, now: datetime) -> str:
    """Set a whole trial aside."""
    apply(book, name, lambda record: set_trial_aside(record, why, now))
    return f"{name} is set aside: {why}. It stays in the logbook; its verdict, its report and every listing say so."


def store_taking_back(book: Logbook, name: str, why: str, now: datetime) -> str:
    """Let a trial count again that was set aside by mistake."""
    apply(book, name, lambda record: take_trial_back(record, why, now))
    return f"{name} is not set aside any more: {why}. That it was stays on record."


def _own(book: Logbook, name: str, tag: str) -> str:
    """A tag as it is written on its jar."""
    return found_in(book, name, tag, lambda record: run_tagged(record, tag)).tag or tag
