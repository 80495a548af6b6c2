"""A run is confirmed only once it lies in the main file, and no other file holds anything of it."""

import random
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import duckdb
import pytest

from schemas import Record
from tests.logbook.writers import add, grown, killed_at, leave_log, run, runs_in, start
from trials.errors import LogbookError
from trials.logbook.attached import CONFIG
from trials.logbook.beside import LOG_ENDS, NEWEST, copies_of, logs_of
from trials.logbook.logbook import Logbook
from trials.logbook.restore import choose, copy_to_go_back, put_in_place

STAGES = ("before_wal_flush", "before_header", "after_free_list_write", "before_truncate")
OLDER = {name: value for name, value in CONFIG.items() if "checkpoint" not in name}


def seeded(seed: int) -> random.Random:
    """Choices that are the same in every run of the tests."""
    return random.Random(seed)  # noqa: S311 - seeded choices


def flipped(content: bytes, at: int, rng: random.Random) -> bytes:
    """The content with one bit of one byte turned."""
    return content[:at] + bytes([content[at] ^ (1 << rng.randrange(8))]) + content[at + 1 :]


def records_in(book: Logbook) -> list[Record]:
    """Everything stored."""
    with book.reading() as pages:
        return pages.records()


@pytest.mark.parametrize("step", ["keep", "settle"])
def test_no_log_is_left_where_a_change_was_made(step: str, tmp_path: Path) -> None:
    """Before a change and after it the main file stands alone: whoever copies it has all of it."""
    book = Logbook(tmp_path / "logbook.duckdb")
    add(book, "t", run(1))
    killed_at(step, book.path, "t", 2)
    assert logs_of(book.path) == []
    alone = tmp_path / "alone.duckdb"
    alone.write_bytes(book.path.read_bytes())
    assert runs_in(alone) == runs_in(book.path) == ({1} if step == "keep" else {1, 2})


def test_the_log_holds_no_row_at_any_moment(tmp_path: Path) -> None:
    """Where a change is cut off inside its checkpoint, the log that is left has a mark of the checkpoint and no row."""
    book = Logbook(tmp_path / "logbook.duckdb")
    add(book, "t", run(1))
    for number, stage in enumerate(STAGES, start=2):
        start(leave_log, str(book.path), "t", number, stage).join()
        assert all(log.stat().st_size < 200 for log in logs_of(book.path)), stage
        there = runs_in(book.path)
        assert there in ({1}, {1, number})
        for log in logs_of(book.path):
            log.unlink()
        assert runs_in(book.path) == there
        add(book, "t", run(number))
        with book.writing() as pages:
            (record,) = pages.records(["t"])
            pages.store([record.model_copy(update={"runs": record.runs[:1]})])


def test_a_log_of_an_older_version_is_brought_in(tmp_path: Path) -> None:
    """Rows that 0.1.0 left in a log when it was killed are read, and lie in the file after the next change."""
    book = Logbook(tmp_path / "logbook.duckdb")
    add(book, "t", run(1))
    start(leave_log, str(book.path), "t", 2, "").join()
    assert logs_of(book.path) != [] and runs_in(book.path) == {1, 2}
    add(book, "t", run(3))
    assert logs_of(book.path) == [] and runs_in(book.path) == {1, 2, 3}
    assert runs_in(copies_of(book.path)[-1].path) == {1, 2}


def test_a_logbook_without_its_log_has_all_that_was_confirmed(
    tmp_path: Path, sized: Callable[[int], int], capsys: pytest.CaptureFixture[str]
) -> None:
    """Whatever becomes of a log: every run that was confirmed is there, and the next is stored without a word from us."""
    book, rng = Logbook(tmp_path / "logbook.duckdb"), seeded(20260601)
    confirmed = {1}
    add(book, "t", run(1))
    with duckdb.connect(str(tmp_path / "other.duckdb"), config=OLDER) as con:
        con.execute("CREATE TABLE birds (name VARCHAR)")
        of_another = (tmp_path / "other.duckdb.wal").read_bytes()
    earlier = of_another
    damages: tuple[Callable[[bytes], bytes | None], ...] = (
        lambda _: None,
        lambda _: b"",
        lambda _: rng.randbytes(300),
        lambda _: of_another,
        lambda _: earlier,
        lambda log: log[: rng.randrange(len(log) or 1)],
        lambda log: flipped(log, rng.randrange(len(log)), rng) if log else b"\x01",
        lambda log: log + rng.randbytes(50),
    )
    for turn in range(sized(100)):
        number = max(confirmed) + 1
        start(leave_log, str(book.path), "t", number, (*STAGES, "")[turn % 5]).join()
        left = {log: log.read_bytes() for log in logs_of(book.path)} or {log_of(book): b""}
        spoil = damages[turn // 5 % len(damages)] if turn >= 40 else rng.choice(damages)
        for log, content in left.items():
            spoilt = spoil(content)
            if spoilt is None:
                log.unlink(missing_ok=True)
            else:
                log.write_bytes(spoilt)
        there = runs_in(book.path)
        assert confirmed <= there <= {*confirmed, number}, turn
        add(book, "t", run(number))
        confirmed.add(number)
        assert runs_in(book.path) == confirmed and logs_of(book.path) == [], turn
        earlier = next(iter(left.values())) or earlier
    said = capsys.readouterr().err.splitlines()
    assert all(line.startswith("samedirt: logbook.duckdb.wal can't be read, and what was stored is") for line in said)


def log_of(book: Logbook) -> Path:
    """Where the log would lie."""
    return book.path.with_name(book.path.name + LOG_ENDS[0])


def test_a_flipped_byte_changes_no_number(tmp_path: Path, sized: Callable[[int], int]) -> None:
    """Whatever bit of the main file rots: it is refused as damage, or every record is as it was confirmed."""
    book, rng = grown(tmp_path, 4), seeded(20260602)
    for number in range(1, 5):
        add(book, "u", run(number))
    with book.writing() as pages:
        pages.names()
    confirmed, whole = records_in(book), book.path.read_bytes()
    used = [at for at, byte in enumerate(whole) if byte]
    outcomes: Counter[str] = Counter()
    for turn in range(sized(100)):
        at = rng.choice(used) if turn % 2 else rng.randrange(len(whole))
        at = rng.randrange(3 * 4096) if turn % 10 == 0 else at  # the heads
        book.path.write_bytes(flipped(whole, at, rng))
        outcome = "harmless"
        try:
            assert records_in(book) == confirmed, at
        except LogbookError:
            outcome = "refused when read"
        try:
            add(book, "v", run(1))
            assert outcome == "harmless", at
            assert [one for one in records_in(book) if one.trial.name != "v"] == confirmed, at
        except LogbookError:
            outcome = "refused when written to" if outcome == "harmless" else outcome
        outcomes[outcome] += 1
        if outcome == "refused when written to" or (outcome != "harmless" and turn < 20):
            book.path.write_bytes(whole[:12] + book.path.read_bytes()[12:])  # one that begins otherwise is not replaced
            with copy_to_go_back(book, choose(book.path, NEWEST)) as fresh:
                put_in_place(book, fresh.path)
            assert records_in(book) == confirmed
    assert outcomes["harmless"] and outcomes["refused when read"]
