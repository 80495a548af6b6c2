"""What is to be done next, said for whoever reads it: a command at a terminal, a button or a field at the page.

A step is written once, where it is made, with both ways of saying it, and who reads decides which is said, as a locale
does. Where nobody is told, a terminal is meant: so to who calls us from Python, and so in all that is stored or kept.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from enum import Enum


class Reader(Enum):
    """Who reads what is said."""

    AT_TERMINAL = "at a terminal"
    AT_PAGE = "at the page"


_reader: ContextVar[Reader] = ContextVar("reader", default=Reader.AT_TERMINAL)


@contextmanager
def said_for(reader: Reader) -> Iterator[None]:
    """Say every step for this reader, in this thread and as long as it lasts; also a decorator.

    >>> with said_for(Reader.AT_PAGE):
    ...     print(correct_step("mat", "HRT"))
    correct it under Runs, beside HRT
    >>> print(correct_step("mat", "HRT"))
    correct it: samedirt enter mat HRT --again --why "the reason"
    """
    before = _reader.set(reader)
    try:
        yield
    finally:
        _reader.reset(before)


def step(at_terminal: str, at_page: str) -> str:
    """Say it for whoever reads; what is done at the terminal alone needs no second way."""
    return at_page if _reader.get() is Reader.AT_PAGE else at_terminal


def enter_step(name: str, tag: str | None = None) -> str:
    """Type in the runs of a trial, or the one of a tag."""
    return step(f"samedirt enter {name} {tag or ''}".rstrip(), f"type it in under Runs{_beside(tag)}")


def correct_step(name: str, tag: str | None = None) -> str:
    """Correct a run, with its reason; of no tag where it must not be told, or has none."""
    at_terminal = f'correct it: samedirt enter {name} {tag or "TAG"} --again --why "the reason"'
    return step(at_terminal, f"correct it under Runs{_beside(tag)}")


def print_step(name: str) -> str:
    """Print the papers of a plan."""
    return step(f"samedirt sheet {name}", "print the papers")


def ways_step(name: str) -> str:
    """Compare the ways to measure a change."""
    return step(f"samedirt plan {name} --ways", "compare the ways under Plan")


def load_step() -> str:
    """Fill a logbook that holds nothing."""
    return step("samedirt load FOLDER fills it", "Load, above, fills it")


def reason_place() -> str:
    """Where the reason of a change is told."""
    return step("--why", "Reason")


def _beside(tag: str | None) -> str:
    return f", beside {tag}" if tag else ""
