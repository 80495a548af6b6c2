import random
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from multiprocessing.context import ForkServerProcess
from pathlib import Path
from typing import Any

import duckdb
import pytest

from tests.commands import typed_in
from tests.folders import LEAST, rough_bed, rough_loaded, write
from tests.forks import Program, forks, start
from tests.logbook.writers import hold
from trials.files.folder import read_folder
from trials.logbook import connect as connecting
from trials.logbook.attached import BLOCK_BYTES, CONFIG, attached, close_file
from trials.logbook.connect import connect, transaction
from trials.logbook.logbook import Logbook
from trials.logbook.migrate import FOLDER, LEDGER, WHOLE, applied, begins, known_migrations, migrate, pending
from trials.logbook.pages import Remembered


def filled(path: Path, folder: Path) -> Logbook:
    """A logbook with the roughened bed in it."""
    typed_in.stored(path.parent, read_folder(rough_bed(folder)))
    return Logbook(path)


def test_migrations_are_rows_and_run_once(tmp_path: Path) -> None:
    """Each migration that was applied is a row with its time."""
    path = tmp_path / "logbook.duckdb"
    con = connect(path, read_only=False)
    todo = pending(con, path)
    assert todo == sorted(known_migrations()) and begins(todo)
    migrate(con, todo)
    assert pending(con, path) == []
    assert applied(con) == set(known_migrations())
    close_file(con)


def test_a_new_logbook_has_the_shape_that_all_steps_come_to(tmp_path: Path) -> None:
    """The tables, their columns in order with what each must hold, and their keys."""
    shape = "SELECT table_name, sql FROM duckdb_tables() WHERE database_name = current_database() ORDER BY 1"
    shapes = []
    for files in ([FOLDER / WHOLE], known_migrations().values()):
        with attached(tmp_path / f"{len(files)}.duckdb") as con:
            for file in files:
                con.execute(file.read_text(encoding="utf-8"))
            shapes.append(con.execute(shape).fetchall())
    assert shapes[0] == shapes[1] and len(shapes[0]) == 10


def _text(path: Path) -> None:
    path.write_text("not a store, and long enough to have a ninth byte")


def _sqlite(path: Path) -> None:
    con = sqlite3.connect(path)
    con.execute("CREATE TABLE t (x)")
    con.commit()
    con.close()


def _empty(path: Path) -> None:
    path.write_bytes(b"")


def _of_something_else(path: Path) -> None:
    with duckdb.connect(str(path), config=CONFIG) as con:
        con.execute("CREATE TABLE birds (name VARCHAR)")


def _newer(path: Path) -> None:
    con = connect(path, read_only=False)
    migrate(con, pending(con, path))
    con.execute(f"INSERT INTO {LEDGER} VALUES (9999, 'later', now()::TIMESTAMP)")
    close_file(con)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (_text, "is not a logbook; it was left untouched"),
        (_sqlite, "is not a logbook; it was left untouched"),
        (_empty, "is not a logbook; it was left untouched"),
        (_of_something_else, "is a DuckDB file, but not a logbook; it was left untouched"),
        (_newer, "is a logbook of shape 9999, and this version knows up to"),
    ],
)
def test_a_wrong_file_is_named_and_left_untouched(
    make: Callable[[Path], None], says: str, samedirt: Callable[..., Any], tmp_path: Path
) -> None:
    """Reading or writing, the file keeps every byte, and the line says what it is."""
    path = tmp_path / "logbook.duckdb"
    make(path)
    before = path.read_bytes()
    rough_bed(tmp_path / "rough-bed")
    for words in (
        ("logbook",),
        ("load", "rough-bed"),
        ("verdict", "rough-bed"),
        ("report", "rough-bed"),
        ("export", "rough-bed", "--to", "out"),
        (),
    ):
        said = samedirt(*words)
        assert said.code == 2, words
        assert said.err.startswith("samedirt: ") and says in said.err and len(said.err.splitlines()) == 1
        assert path.read_bytes() == before
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("kept", [1, 8, 11, 12, 13, 100, 4095, 4096, 4097, 8192, 12288, 12289, -BLOCK_BYTES, -4096, -1])
def test_a_cut_file_is_told_and_left_as_it_is(kept: int, samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A logbook cut short anywhere is one clear line, for reading and for writing, and keeps its bytes."""
    path = tmp_path / "logbook.duckdb"
    filled(path, tmp_path / "rough-bed")
    cut = path.read_bytes()[:kept]
    path.write_bytes(cut)
    for words in (("logbook",), ("load", "rough-bed")):
        said = samedirt(*words)
        damaged = said.code == 1 and "is damaged (" in said.err and "go back to a copy or an export" in said.err
        no_logbook = said.code == 2 and "is not a logbook; it was left untouched" in said.err
        assert damaged if len(cut) >= 12 else no_logbook, said
        assert len(said.err.splitlines()) == 1 and path.read_bytes() == cut


def test_a_flipped_byte_is_damage_or_does_no_harm(
    samedirt: Callable[..., Any], tmp_path: Path, sized: Callable[[int], int]
) -> None:
    """Whatever bit rots, the answer is a clear line or the right record, and reading mends or spoils nothing."""
    path = tmp_path / "logbook.duckdb"
    record = filled(path, tmp_path / "rough-bed").read("rough-bed")
    whole = path.read_bytes()
    used = [at for at, byte in enumerate(whole) if byte]
    rng = random.Random(20260527)  # noqa: S311 - a seeded choice of bytes
    damaged = 0
    for at in rng.sample(used, sized(150)):
        path.write_bytes(whole[:at] + bytes([whole[at] ^ (1 << rng.randrange(8))]) + whole[at + 1 :])
        spoilt = path.read_bytes()
        said = samedirt("export", "rough-bed", "--to", "out")
        assert path.read_bytes() == spoilt
        if said.code == 0:
            assert read_folder(tmp_path / "out") == record, at
        else:
            damaged += 1
            assert said.code in (1, 2) and said.err.startswith("samedirt: "), at
            assert len(said.err.splitlines()) == 1, said.err
    assert damaged


@pytest.mark.parametrize(
    ("path", "says"),
    [
        ("nowhere.duckdb", "no logbook at nowhere.duckdb"),
        (".", "is a folder, not a logbook"),
        ("no/such/x.duckdb", "no logbook at"),
    ],
)
def test_no_file_to_read(path: str, says: str, samedirt: Callable[..., Any]) -> None:
    """A logbook that is not there is said to be not there, and none is made."""
    said = samedirt("logbook", "--logbook", path)
    assert said.code == 2 and says in said.err
    assert not Path("nowhere.duckdb").exists()


def test_no_folder_to_write_in(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A folder that does not exist is not made by the way."""
    rough_bed(tmp_path / "rough-bed")
    said = samedirt("load", "rough-bed", "--logbook", "no/such/x.duckdb")
    assert said.code == 2 and "no/such does not exist; make the folder" in said.err


@contextmanager
def held(path: Path, seconds: float) -> Iterator[ForkServerProcess]:
    """Another process that holds the file."""
    told, telling = forks().Pipe(duplex=False)
    process = start(hold, str(path), telling, seconds)
    telling.close()
    assert told.recv() == "held"
    yield process
    process.join()


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """Wait one second for a lock where people wait ten."""
    assert connecting.LOCK_WAIT_S == 10
    monkeypatch.setattr(connecting, "LOCK_WAIT_S", 1.0)


@pytest.mark.usefixtures("impatient")
def test_a_held_logbook_says_who_holds_it(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """After its time the line names the process and how long it waited."""
    path = tmp_path / "logbook.duckdb"
    filled(path, tmp_path / "rough-bed")
    with held(path, 30) as holder:
        started = time.monotonic()
        said = samedirt("logbook")
        waited = time.monotonic() - started
        holder.kill()
    assert said.code == 2 and f"is in use by process {holder.pid}; waited 1." in said.err
    assert 0.9 < waited < 5


@pytest.mark.usefixtures("impatient")
def test_a_held_logbook_can_not_be_written_either(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Loading waits, gives up, says who holds the file, and stores nothing."""
    path = tmp_path / "logbook.duckdb"
    book = filled(path, tmp_path / "rough-bed")
    write(tmp_path / "mat", LEAST, "pair,arm,gold_mg\n1,baseline,20\n")
    with held(path, 30) as holder:
        said = samedirt("load", "mat")
        holder.kill()
    assert said.code == 2 and f"is in use by process {holder.pid}; waited 1." in said.err
    assert len(said.err.splitlines()) == 1 and said.out == ""
    with book.reading() as pages:
        assert pages.names() == ["rough-bed"]


def test_two_may_read_at_the_same_time(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Reading keeps nobody from reading, and a word of another version that can't be stored is not waited for."""
    rough_loaded(samedirt, tmp_path)
    book = Logbook(tmp_path / "logbook.duckdb")
    with book.writing() as pages:
        pages.remember([Remembered("rough-bed", "0.0.1", "worse", "As it was then.", "revert")])
    with book.reading():
        started = time.monotonic()
        done = Program.begun(tmp_path, "logbook", out=tmp_path / "said").ended()
        waited = time.monotonic() - started
    assert done.returncode == 0 and "rough-bed" in done.stdout and "As it was then" not in done.stdout
    assert waited < connecting.LOCK_WAIT_S / 2
    assert samedirt("logbook").code == 0


def test_a_lock_soon_released_is_waited_for(tmp_path: Path) -> None:
    """Half a second of someone else costs half a second."""
    path = tmp_path / "logbook.duckdb"
    book = filled(path, tmp_path / "rough-bed")
    with held(path, 0.5):
        assert book.read("rough-bed").trial.pairs == 6
    with held(path, 0.5), book.writing() as pages:
        assert pages.names() == ["rough-bed"]


def test_a_failed_statement_keeps_nothing(tmp_path: Path) -> None:
    """A transaction that failed midway leaves no row."""
    book = filled(tmp_path / "logbook.duckdb", tmp_path / "rough-bed")
    con = connect(book.path, read_only=False)
    with pytest.raises(duckdb.Error), transaction(con):
        con.execute("DELETE FROM runs")
        con.execute("INSERT INTO nothing VALUES (1)")
    assert con.execute("SELECT count(*) FROM runs").fetchone() == (12,)
    close_file(con)


def test_an_error_inside_keeps_nothing(tmp_path: Path) -> None:
    """What is written before an error is taken back."""
    book = filled(tmp_path / "logbook.duckdb", tmp_path / "rough-bed")
    record = book.read("rough-bed")
    other = record.model_copy(update={"trial": record.trial.model_copy(update={"name": "other"})})

    def store_and_fail() -> None:
        with book.writing() as pages:
            pages.store([other])
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        store_and_fail()
    with book.reading() as pages:
        assert pages.names() == ["rough-bed"]


def test_a_path_with_spaces_and_umlauts(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Files and folders may be called as people call them."""
    rough_bed(tmp_path / "rough-bed")
    path = "Märchen & 'Gold' 1/log \"buch\" 100%.duckdb"
    (tmp_path / path).parent.mkdir()
    assert samedirt("load", "rough-bed", "--logbook", path).code == 0
    assert "rough-bed" in samedirt("logbook", "--logbook", path).out
    for form in ("folder", "json", "parquet"):
        to = f"Ä '{form}' \"out\""
        assert samedirt("export", "rough-bed", "--logbook", path, "--to", to, "--as", form).code == 0
        assert list((tmp_path / to).iterdir())


def test_the_file_opens_in_earlier_stores(tmp_path: Path) -> None:
    """The storage version written is that of 1.5.0, 68 at byte 12 being the newest it may be."""
    book = filled(tmp_path / "logbook.duckdb", tmp_path / "rough-bed")
    assert int.from_bytes(book.path.read_bytes()[12:20], "little") <= 68


def test_a_write_forgets_the_remembered_word(tmp_path: Path, samedirt: Callable[..., Any]) -> None:
    """A word is remembered on loading and goes with the next change of its trial."""
    book = filled(tmp_path / "logbook.duckdb", tmp_path / "rough-bed")
    with book.reading() as pages:
        assert [line.code for line in pages.listing()] == [None]
    rough_bed(tmp_path / "again")
    samedirt("load", "again")
    assert "Better beyond luck, with a cost: 39 % more grains than smooth" in samedirt("logbook", "--json").out
