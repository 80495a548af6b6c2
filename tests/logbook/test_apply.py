"""One way to change a stored trial: a pure change, applied in one transaction, with the word of the listing."""

import os
from collections.abc import Sequence
from pathlib import Path

import pytest

from schemas import Gear, Lot, Record, Trial
from trials.errors import Problem, Refused
from trials.logbook.attached import close_file
from trials.logbook.connect import connect
from trials.logbook.logbook import Logbook
from trials.logbook.pages import Pages, Remembered

TRIAL = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"))


def words(records: Sequence[Record]) -> list[Remembered]:
    """A word that tells the number of pairs."""
    return [Remembered(one.trial.name, "0", "stored", f"{one.trial.pairs} pairs", None) for one in records]


def with_pairs(record: Record, pairs: int) -> Record:
    """Another plan of the same name."""
    return record.model_copy(update={"trial": record.trial.model_copy(update={"pairs": pairs})})


@pytest.fixture
def book(tmp_path: Path) -> Logbook:
    """One trial."""
    logbook = Logbook(tmp_path / "logbook.duckdb")
    logbook.apply_all(["mat"], lambda _: [Record(trial=TRIAL)], words)
    return logbook


def word(book: Logbook) -> str | None:
    """As the listing shows it."""
    with book.reading() as pages:
        return pages.listing()[0].sentence


def test_a_change_is_stored_with_its_word(book: Logbook) -> None:
    """Before and after are given back."""
    before, after = book.apply("mat", lambda record: with_pairs(record, 6), words)
    assert (before.trial.pairs, after.trial.pairs, book.read("mat").trial.pairs) == (3, 6, 6)
    assert word(book) == "6 pairs"


def test_nothing_is_written_where_nothing_changes_or_the_change_refuses(book: Logbook) -> None:
    """The file stays as it was, byte for byte."""
    was = book.path.read_bytes()
    assert book.apply("mat", lambda record: record, words)[1].trial == TRIAL

    def refuses(record: Record) -> Record:
        raise Refused([Problem(record.trial.name, "can't be changed")])

    with pytest.raises(Refused, match="can't be changed"):
        book.apply("mat", refuses, words)
    with pytest.raises(Refused, match="no trial named 'other'"):
        book.apply("other", refuses, words)
    assert book.path.read_bytes() == was


def test_a_trial_is_read_once_of_a_file_in_one_state(book: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    """Not again to change it; whoever wrote the file, with the very date it had or with a log beside it, it is read."""
    read: list[Sequence[str]] = []
    records = Pages.records
    monkeypatch.setattr(Pages, "records", lambda pages, names: read.append(names) or records(pages, names))
    assert [book.read("mat").trial.pairs for _ in range(3)] == [3, 3, 3]
    book.apply("mat", lambda record: with_pairs(record, 4), words)
    with pytest.raises(Refused, match="no trial named 'other'"):
        book.read("other")
    assert read == [["mat"], ["other"]]
    was = book.path.stat()
    con = connect(book.path, read_only=False)
    con.execute("UPDATE trials SET pairs = 5")
    close_file(con)
    os.utime(book.path, ns=(was.st_atime_ns, was.st_mtime_ns))
    assert [book.read("mat").trial.pairs for _ in range(2)] == [5, 5]
    book.path.with_name("logbook.duckdb.wal").touch()
    assert [book.read("mat").trial.pairs for _ in range(2)] == [5, 5]
    assert len(read) == 5


def test_what_was_changed_in_between_is_not_lost(book: Logbook) -> None:
    """The change is made of what is stored when the file is held, not of what was read before."""
    seen: list[int] = []

    def one_more(record: Record) -> Record:
        seen.append(record.trial.pairs)
        if len(seen) == 1:  # someone else stores a plan between the reading and the writing
            book.apply("mat", lambda other: with_pairs(other, 8), words)
        return with_pairs(record, record.trial.pairs + 1)

    before, after = book.apply("mat", one_more, words)
    assert seen == [3, 8] and (before.trial.pairs, after.trial.pairs) == (8, 9)
    assert book.read("mat").trial.pairs == 9


def test_a_trial_that_went_in_between_is_refused_by_its_name(book: Logbook, tmp_path: Path) -> None:
    """Another logbook was put in its place after the change was tried: what is there now is named, and left alone."""
    other = Logbook(tmp_path / "other.duckdb")
    other.apply_all(["sieve"], lambda _: [Record(trial=TRIAL.model_copy(update={"name": "sieve"}))], words)

    def gone(record: Record) -> Record:
        if other.exists:
            other.path.replace(book.path)
        return with_pairs(record, 6)

    with pytest.raises(Refused, match=r"no trial named 'mat' .*there are: sieve"):
        book.apply("mat", gone, words)
    assert book.read("sieve").trial.pairs == TRIAL.pairs


def test_several_trials_are_stored_all_or_none(book: Logbook) -> None:
    """New ones beside changed ones."""
    other = Record(trial=TRIAL.model_copy(update={"name": "other"}))
    book.apply_all(["mat", "other"], lambda stored: [with_pairs(stored["mat"], 4), other], words)
    assert (book.read("mat").trial.pairs, book.read("other")) == (4, other)
