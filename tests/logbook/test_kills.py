import random
from collections.abc import Callable
from pathlib import Path

import pytest

from schemas import Record
from tests.logbook.writers import (
    BEGUN,
    add,
    add_runs,
    begin_as_was,
    correct_runs,
    go_back_and_forth,
    grown,
    heard,
    kill_after,
    open_old,
    run,
    runs_in,
    start,
    whole_runs,
)
from trials.logbook.attached import close_file
from trials.logbook.beside import copies_of, logs_of
from trials.logbook.check import examine
from trials.logbook.connect import connect
from trials.logbook.logbook import Logbook
from trials.logbook.migrate import applied, known_migrations

pytestmark = pytest.mark.waits

# At full size 1,000 programs are killed, each at another moment of its work; the moments are drawn from a seed.


def seeded(seed: int) -> random.Random:
    """Moments that are the same in every run of the tests."""
    return random.Random(seed)  # noqa: S311 - seeded moments


def looked_through(book: Logbook) -> dict[str, Record]:
    """Every trial of a logbook that is seen to be whole."""
    if not book.exists:
        return {}
    examined = examine(book)
    assert [str(fault) for fault in examined.faults] == []
    return {record.trial.name: record for record in examined.records}


def read_alone(book: Logbook, name: str) -> dict[str, Record]:
    """One trial of a logbook, read as the commands read it."""
    if not book.exists:
        return {}
    with book.reading() as pages:
        return {record.trial.name: record for record in pages.records([name])}


def numbers_in(records: dict[str, Record], name: str) -> set[int]:
    """The numbers of the runs of a trial, each seen to be whole."""
    return whole_runs(records[name].runs) if name in records else set()


def test_no_run_said_to_be_stored_is_lost_to_a_kill(tmp_path: Path, sized: Callable[[int], int]) -> None:
    """Killed while it stores run after run, a program loses none it had spoken of, and leaves no half of one.

    Every other time the log that it may have left is deleted before anybody reads.
    """
    book, said, rng = Logbook(tmp_path / "logbook.duckdb"), tmp_path / "said", seeded(20260503)
    there: set[int] = set()
    for kill in range(sized(600)):
        name = f"t{kill // 10}"
        there = there if kill % 10 else set()
        before, first = len(heard(said)), len(there) + 1
        process = start(add_runs, str(book.path), str(said), name, first)
        kill_after(process, rng.uniform(0.0, 0.15), said, before + 1 + kill % 3)
        begun, *confirmed = heard(said)[before:]
        for log in logs_of(book.path)[: kill % 2]:
            log.unlink()
        there = numbers_in(looked_through(book) if kill % 10 == 9 else read_alone(book, name), name)
        assert begun == BEGUN and len(confirmed) >= kill % 3
        assert there == set(range(1, len(there) + 1))
        assert len(there) - (first - 1) - len(confirmed) in (0, 1), "one may be stored and not spoken of yet"
        assert set(map(int, confirmed)) <= there


def test_no_correction_said_to_be_stored_is_lost_to_a_kill(tmp_path: Path, sized: Callable[[int], int]) -> None:
    """A value changed with a reason is there with its correction, or as it was; the other runs are untouched."""
    book, said, rng = Logbook(tmp_path / "logbook.duckdb"), tmp_path / "said", seeded(20260504)
    grown(tmp_path, 4)
    mass = 1
    for kill in range(sized(200)):
        before = len(heard(said))
        process = start(correct_runs, str(book.path), str(said), "t", mass + 1)
        kill_after(process, rng.uniform(0.0, 0.2), said, before + 1 + kill % 2)
        _, *confirmed = heard(said)[before:]
        record = (looked_through(book) if kill % 10 == 9 else read_alone(book, "t"))["t"]
        assert whole_runs(record.runs) == {1, 2, 3, 4}
        now = int(record.runs[0].gold_mg or 0)
        assert now - max([mass, *map(int, confirmed)]) in (0, 1)
        whys = list(dict.fromkeys(correction.why for correction in record.corrections))
        assert whys == [f"weighed again: {k}" for k in range(2, now + 1)]
        mass = now


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A logbook of the first shape, with a trial of 40 runs."""
    path = tmp_path / "old.duckdb"
    con = connect(path, read_only=False)
    begin_as_was(con, 1)
    con.execute(
        "INSERT INTO trials (name, question, measure, pairs, spares, audit, gear_kind, typed) "
        "VALUES ('old', '', 'gold_mass', 20, 0, false, 'sluice', '{}')"
    )
    con.execute("INSERT INTO lots (trial, place, name, kind) VALUES ('old', 1, 'lot', 'natural')")
    con.execute(
        "INSERT INTO runs (trial, pair, arm, gold_mg, typed) "
        "SELECT 'old', 1 + i // 2, CASE i % 2 WHEN 0 THEN 'baseline' ELSE 'repeat' END, i, '{}' FROM range(40) r(i)"
    )
    close_file(con)
    return path


def test_a_migration_that_is_killed_is_done_at_the_next_opening(
    tmp_path: Path, old: Path, sized: Callable[[int], int]
) -> None:
    """An old logbook is of one shape or another, never between, with every run and a copy of it as it was."""
    rng, whole = seeded(20260505), old.read_bytes()
    for kill in range(sized(100)):
        book, said = Logbook(tmp_path / f"{kill}.duckdb"), tmp_path / f"said-{kill}"
        book.path.write_bytes(whole)
        kill_after(start(open_old, str(book.path), str(said)), rng.uniform(0.0, 0.25), said, 1 + (kill % 4 == 3))
        con = connect(book.path, read_only=True)
        had = applied(con)
        close_file(con)
        assert had in [set(range(1, newest + 1)) for newest in known_migrations()]
        records = looked_through(book)
        assert [one.gold_mg for one in records["old"].runs] == [float(i) for i in range(40)]
        _, *confirmed = heard(said)
        assert confirmed in ([], ["40"], ["40", "new"])
        assert "new" not in confirmed or numbers_in(records, "new") == {1}
        assert copies_of(book.path)[0].path.read_bytes() == whole


def test_going_back_is_done_or_not_done(tmp_path: Path, sized: Callable[[int], int]) -> None:
    """Killed at any moment of going back, the logbook is one copy or the other, whole, and what it was stays."""
    book, said, rng = Logbook(tmp_path / "logbook.duckdb"), tmp_path / "said", seeded(20260506)
    grown(tmp_path, 3)
    seen: dict[tuple[int, bytes], set[int]] = {}
    states = {"1": {1}, "2": {1, 2}, "3": {1, 2, 3}}
    now = "3"
    for kill in range(sized(100)):
        before = len(heard(said))
        process = start(go_back_and_forth, str(book.path), str(said))
        kill_after(process, rng.uniform(0.0, 0.1), said, before + 1 + kill % 3)
        _, *confirmed = heard(said)[before:]
        last = confirmed[-1] if confirmed else now
        there = numbers_in(looked_through(book) if kill % 5 == 4 else read_alone(book, "t"), "t")
        assert there in (states[last], states["1" if last != "1" or not confirmed else "2"])
        now = next(name for name, numbers in states.items() if numbers == there)
        copies = copies_of(book.path)
        assert {"1", "2"} <= {str(copy.number) for copy in copies} <= {"1", "2", "3"}
        for copy in copies:
            seen.setdefault((copy.number, copy.path.read_bytes()), runs_in(copy.path))
            assert seen[copy.number, copy.path.read_bytes()] == states[str(copy.number)]
    add(book, "after", run(1))
    assert numbers_in(looked_through(book), "after") == {1}
