"""The word on each trial: reached once, remembered by the logbook, and listed."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from trials import __version__
from trials.errors import LogbookError
from trials.logbook.logbook import Logbook, WordsOf
from trials.logbook.pages import ListedTrial, Remembered

if TYPE_CHECKING:  # a listing of what is remembered reads no words, which take long to load
    from schemas import Record

Progress = Callable[[Sequence[Any], str], Generator[Any, None, None]]
"""What goes through items, and may show how far one is with what is being done."""


def quietly(items: Sequence[Any], _: str) -> Generator[Any, None, None]:
    """Go through items and show nothing."""
    yield from items


def words_to_remember(records: Sequence[Record], shown: Progress = quietly) -> list[Remembered]:
    """Reach the verdicts of records, so that a listing need not."""
    from trials.listing.word import word_of

    return [word_of(record) for record in shown(records, "Reaching verdicts")]


@contextmanager
def words_one_by_one(most: int, shown: Progress = quietly) -> Iterator[WordsOf]:
    """Reach the verdicts of records that come in portions, `most` in all; shown as one way to go."""
    from trials.listing.word import word_of

    with closing(shown(range(most), "Reaching verdicts")) as each:
        yield lambda records: [word_of(record) for record, _ in zip(records, each, strict=False)]
        next(each, None)  # tells the last one as done


def listed(book: Logbook, shown: Progress = quietly) -> list[ListedTrial]:
    """Every trial with its word, the last session first; words of another version are reached again, and kept."""
    with book.reading() as pages:
        lines = pages.listing()
        old = [line.trial for line in lines if line.word is None or line.word.version != __version__]
        records = pages.records(old) if old else []
    if not records:
        return lines
    words = {record.trial.name: word for record, word in zip(records, words_to_remember(records, shown), strict=True)}
    _keep(book, records, words)
    return [replace(line, word=words.get(line.trial, line.word)) for line in lines]


def _keep(book: Logbook, records: Sequence[Record], words: Mapping[str, Remembered]) -> None:
    """Remember the words on trials that are stored as they were read.

    Nobody told any of it, so no copy is kept and nobody waits for it: where the file is in use, or can't be written,
    the next listing reaches them again.
    """
    if not book.is_free:
        return
    with suppress(LogbookError, OSError), replace(book, keeps=False).writing() as pages:
        as_read = {record.trial.name: record for record in records}
        stored = pages.records(list(as_read))
        pages.remember([words[one.trial.name] for one in stored if one == as_read[one.trial.name]])
