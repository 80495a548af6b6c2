"""The word on each trial: reached once, remembered by the logbook, and listed."""

from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import replace

from schemas import Record
from trials import __version__
from trials.commands.printing import with_progress
from trials.logbook.logbook import ListedTrial, Logbook, Remembered, WordsOf


def words_to_remember(records: Sequence[Record]) -> list[Remembered]:
    """Reach the verdicts of records, so that a listing need not."""
    from trials.listing.word import word_of

    return [word_of(record) for record in with_progress(records, "Reaching verdicts")]


@contextmanager
def words_one_by_one(most: int) -> Iterator[WordsOf]:
    """Reach the verdicts of records that come in portions, `most` in all; shown as one way to go."""
    from trials.listing.word import word_of

    with closing(with_progress(range(most), "Reaching verdicts")) as each:
        yield lambda records: [word_of(record) for record, _ in zip(records, each, strict=False)]
        next(each, None)  # tells the last one as done


def listed(book: Logbook) -> list[ListedTrial]:
    """Every trial with its word, the last session first; words of another version are reached again."""
    with book.reading() as pages:
        lines = pages.listing()
        old = [line.trial for line in lines if line.word is None or line.word.version != __version__]
        records = pages.records(old) if old else []
    if not records:
        return lines
    words = {record.trial.name: word for record, word in zip(records, words_to_remember(records), strict=True)}
    return [replace(line, word=words.get(line.trial, line.word)) for line in lines]
