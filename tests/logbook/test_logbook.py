import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, get_args

import annotated_types
import duckdb
import pytest

from schemas import Lot, Record, Run, SizeCatch, Trial, Word
from schemas.trial import SECTIONS
from tests.commands import typed_in
from tests.folders import LEAST, ROUGH_TRIAL, rough_loaded, rough_runs, write
from tests.forks import Program, start
from tests.logbook.writers import delete_runs_and_die
from tests.tables import every
from trials.errors import LogbookError, Refused
from trials.files.folder import read_folder
from trials.logbook import migrate as migrations
from trials.logbook.attached import close_file
from trials.logbook.connect import connect
from trials.logbook.logbook import Logbook
from trials.logbook.migrate import LEDGER, known_migrations
from trials.logbook.pages import Remembered

RUNS = "pair,arm,turn,gold_mg\n1,baseline,1,20\n1,changed,2,30\n"


@pytest.fixture
def rough(tmp_path: Path) -> Record:
    """The roughened bed, with a class in one run and two lots."""
    trial = ROUGH_TRIAL.replace("[lot]", '[[lot]]\nname = "old"').replace(
        "[gear]", '[[lot]]\nname = "new"\nkind = "natural"\n[gear]'
    )
    lines = rough_runs().splitlines()
    runs = "\n".join([lines[0] + ",grains -50", lines[1] + ",3", *(line + "," for line in lines[2:])])
    return read_folder(write(tmp_path / "rough-bed", trial, runs))


def stored(book: Logbook, *records: Record) -> Logbook:
    """A logbook that these records were stored in, one after the other."""
    first, *others = records
    typed_in.stored(book.path.parent, first)
    for record in others:
        with book.writing() as pages:
            pages.store([record])
    return book


def named(record: Record, name: str) -> Record:
    """The same trial under another name."""
    return record.model_copy(update={"trial": record.trial.model_copy(update={"name": name})})


def ledger(path: Path) -> list[tuple[Any, ...]]:
    """The rows that say which migrations a file had."""
    con = connect(path, read_only=True)
    rows = con.execute(f"FROM {LEDGER} ORDER BY number").fetchall()
    close_file(con)
    return rows


def test_a_migration_is_a_row_with_its_name_and_time(tmp_path: Path, rough: Record) -> None:
    """Opening again neither repeats a migration nor touches its row."""
    book = stored(Logbook(tmp_path / "logbook.duckdb"), rough)
    rows = ledger(book.path)
    assert [(number, name) for number, name, _ in rows] == [(n, p.stem) for n, p in known_migrations().items()]
    stored(book, named(rough, "other"))
    with book.reading() as pages:
        assert pages.names() == ["other", "rough-bed"]
    assert ledger(book.path) == rows


NEWEST = max(known_migrations())


def next_migration(folder: Path, sql: str) -> None:
    """The migrations of this version and one more."""
    folder.mkdir()
    for path in known_migrations().values():
        (folder / path.name).write_text(path.read_text(encoding="utf-8"), encoding="utf-8")
    (folder / f"{NEWEST + 1:04}_weather.sql").write_text(sql, encoding="utf-8")


def test_an_older_logbook_is_brought_up_to_date_once(
    tmp_path: Path, rough: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The next migration runs on the first opening, for reading too, keeps what is stored, and is recorded."""
    book = stored(Logbook(tmp_path / "logbook.duckdb"), rough)
    next_migration(tmp_path / "m", "CREATE TABLE weather (rain_mm DOUBLE); INSERT INTO weather VALUES (1);")
    monkeypatch.setattr(migrations, "FOLDER", tmp_path / "m")
    for _ in range(2):
        assert book.read("rough-bed") == rough
    assert [row[0] for row in ledger(book.path)] == [*range(1, NEWEST + 2)]
    with book.reading() as pages:
        assert pages.con.execute("FROM weather").fetchall() == [(1.0,)]


def test_a_migration_that_fails_leaves_nothing(tmp_path: Path, rough: Record, monkeypatch: pytest.MonkeyPatch) -> None:
    """Half of a migration and no row of it would be a file of no known shape."""
    book = stored(Logbook(tmp_path / "logbook.duckdb"), rough)
    next_migration(tmp_path / "m", "CREATE TABLE weather (rain_mm DOUBLE); INSERT INTO nowhere VALUES (1);")
    monkeypatch.setattr(migrations, "FOLDER", tmp_path / "m")
    with pytest.raises(LogbookError):
        book.read("rough-bed")
    with pytest.raises(LogbookError):
        stored(book, named(rough, "other"))
    monkeypatch.undo()
    assert [row[0] for row in ledger(book.path)] == [*range(1, NEWEST + 1)]
    with book.reading() as pages:
        assert pages.names() == ["rough-bed"]
        assert not pages.con.execute("SELECT 1 FROM duckdb_tables() WHERE table_name = 'weather'").fetchall()


def test_a_logbook_of_this_version_is_refused_by_an_older_one(
    samedirt: Callable[..., Any], tmp_path: Path, rough: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The shape of a later version is named and left alone, whatever was asked."""
    book = stored(Logbook(tmp_path / "logbook.duckdb"), rough)
    next_migration(tmp_path / "m", "CREATE TABLE weather (rain_mm DOUBLE);")
    of_this_version = migrations.FOLDER
    monkeypatch.setattr(migrations, "FOLDER", tmp_path / "m")
    assert book.read("rough-bed") == rough
    before = book.path.read_bytes()
    monkeypatch.setattr(migrations, "FOLDER", of_this_version)
    for words in (("load", "rough-bed"), ("logbook",), ("verdict", "rough-bed"), ("export", "rough-bed"), ()):
        said = samedirt(*words)
        assert said.code == 2
        assert said.err == (
            f"samedirt: logbook.duckdb is a logbook of shape {NEWEST + 1}, and this version knows up to {NEWEST}; it was "
            "left untouched. Update samedirt\n"
        )
    assert book.path.read_bytes() == before


def bounded(model: type[Word]) -> Iterator[tuple[str, float, bool]]:
    """Each bound of each number of a word: the field, a value just outside, and whether it is a whole number."""
    for name, field in model.model_fields.items():
        parts = [*field.metadata]
        for argument in get_args(field.annotation) or (field.annotation,):
            for inner in (argument, *get_args(argument)):
                parts += getattr(inner, "metadata", ())
        whole = "int" in str(field.annotation)
        for part in parts:
            match part:
                case annotated_types.Ge(ge=low):
                    yield name, low - (1 if whole else 1e-6), whole  # type: ignore[operator]
                case annotated_types.Gt(gt=low):
                    yield name, low, whole  # type: ignore[misc]
                case annotated_types.Le(le=high) if high != 2**63 - 1:
                    yield name, high + (1 if whole else 1e-6), whole  # type: ignore[operator]
                case annotated_types.Lt(lt=high):
                    yield name, high, whole  # type: ignore[misc]
                case _:
                    nested = [*getattr(part, "metadata", ())]
                    assert not nested, (name, nested)


OUTSIDE = [
    *(("trials", name, value) for name, value, _ in bounded(Trial)),
    *(
        ("trials", f"{section}_{name}", value)
        for section, model in SECTIONS.items()
        for name, value, _ in bounded(model)
    ),
    *(("lots", name, value) for name, value, _ in bounded(Lot)),
    *(("runs", name, value) for name, value, _ in bounded(Run)),
    *(("size_classes", name, value) for name, value, _ in bounded(SizeCatch)),
]


def test_the_store_refuses_what_the_words_refuse(tmp_path: Path, rough: Record) -> None:
    """Every range of every number is kept by the database too, at its very end."""
    assert len(OUTSIDE) > 120
    book = stored(Logbook(tmp_path / "logbook.duckdb"), rough)
    con = connect(book.path, read_only=False)
    taken = []
    for table, column, value in OUTSIDE:
        try:
            con.execute(f'UPDATE {table} SET "{column}" = {value!r}')
            taken.append((table, column, value))
        except duckdb.ConstraintException:
            continue
    close_file(con)
    assert taken == []
    assert book.read("rough-bed") == rough


@every(
    "row",
    [
        "INSERT INTO runs SELECT * FROM runs LIMIT 1",
        "INSERT INTO trials SELECT * FROM trials",
        "INSERT INTO lots SELECT * FROM lots LIMIT 1",
        "INSERT INTO size_classes SELECT * FROM size_classes",
        "UPDATE trials SET measure = NULL",
        "UPDATE runs SET arm = NULL",
        "UPDATE lots SET kind = NULL",
        "UPDATE runs SET gold_mg = 'NaN'::DOUBLE",
        "UPDATE runs SET gold_mg = 'inf'::DOUBLE",
        "INSERT INTO corrections VALUES ('t', 1, now()::TIMESTAMP, 1, 'a', NULL, '1', '2', 'x')",
        "INSERT INTO corrections VALUES ('t', 1, now()::TIMESTAMP, 1, 'a', 'f', '1', '2', NULL)",
    ],
)
def test_the_store_refuses_doubles_gaps_and_numbers_that_are_none(row: str, tmp_path: Path, rough: Record) -> None:
    """One row a trial, lot, run and class; nothing missing that must be there; finite numbers."""
    book = stored(Logbook(tmp_path / "logbook.duckdb"), rough)
    con = connect(book.path, read_only=False)
    with pytest.raises(duckdb.ConstraintException):
        con.execute(row)
    close_file(con)


def test_two_writers_one_after_the_other_are_both_kept(tmp_path: Path, rough: Record) -> None:
    """The second opening finds what the first closed."""
    book = stored(Logbook(tmp_path / "logbook.duckdb"), rough, named(rough, "second"))
    with book.reading() as pages:
        assert pages.names() == ["rough-bed", "second"]
        assert pages.records() == [rough, named(rough, "second")]
        assert pages.records(["second", "nowhere"]) == [named(rough, "second")]
        assert pages.records([]) == []


def test_writers_at_the_same_time_are_all_kept(tmp_path: Path) -> None:
    """Several programs that load at once into a logbook not yet there wait for each other."""
    names = [f"t{i}" for i in range(4)]
    started = []
    for name in names:
        write(tmp_path / name, LEAST.replace('"mat"', f'"{name}"', 1), RUNS)
        started.append(Program.begun(tmp_path, "load", name, out=tmp_path / f"said-{name}"))
    for program in started:
        said = program.ended()
        assert said.returncode == 0, said.stderr
    with Logbook(tmp_path / "logbook.duckdb").reading() as pages:
        assert pages.names() == names


def test_a_killed_writer_leaves_the_logbook_as_it_was(tmp_path: Path, rough: Record) -> None:
    """A process that dies in the middle of a change holds no lock and leaves no row."""
    book = stored(Logbook(tmp_path / "logbook.duckdb"), rough)
    writer = start(delete_runs_and_die, str(book.path))
    writer.join()
    assert writer.exitcode == -9
    assert book.read("rough-bed") == rough


def test_reading_writes_nothing(tmp_path: Path, rough: Record) -> None:
    """A logbook that is read keeps every byte, and no other file appears beside it."""
    book = stored(Logbook(tmp_path / "logbook.duckdb"), rough)
    before = book.path.read_bytes()
    beside = sorted(tmp_path.iterdir())
    book.read("rough-bed")
    with book.reading() as pages:
        pages.listing()
        pages.names()
    assert book.path.read_bytes() == before and sorted(tmp_path.iterdir()) == beside
    with pytest.raises(LogbookError), book.reading() as pages:
        pages.store([rough])


def test_a_file_that_may_not_be_written_says_so(samedirt: Callable[..., Any], tmp_path: Path, rough: Record) -> None:
    """A logbook in a closed folder is read, and a change to it refused in one line."""
    closed = tmp_path / "closed"
    closed.mkdir()
    stored(Logbook(closed / "logbook.duckdb"), rough)
    (closed / "logbook.duckdb").chmod(0o444)
    closed.chmod(0o555)
    try:
        if os.access(closed, os.W_OK):
            pytest.skip("this person may write to every folder (root)")
        write(tmp_path / "mat", LEAST, RUNS)
        assert samedirt("logbook", "--logbook", "closed/logbook.duckdb").code == 0
        for name in ("logbook.duckdb", "new.duckdb"):
            said = samedirt("load", "mat", "--logbook", f"closed/{name}")
            assert said.code == 2 and "can't be written to" in said.err and len(said.err.splitlines()) == 1
    finally:
        closed.chmod(0o755)


def test_an_unknown_name_lists_those_there_are(tmp_path: Path, rough: Record) -> None:
    """A name mistyped is answered with the names there are, an empty logbook with how to fill it."""
    book = Logbook(tmp_path / "logbook.duckdb")
    with book.writing():
        pass
    with pytest.raises(Refused, match=r"no trial named 'ruogh-bed' in .*; it is empty; samedirt load FOLDER fills it"):
        book.read("ruogh-bed")
    stored(book, rough)
    with pytest.raises(Refused, match=r"no trial named 'ruogh-bed' in .*; there are: rough-bed"):
        book.read("ruogh-bed")


def word(trial: str, version: str = "0.0.1", sentence: str = "As it was then.") -> Remembered:
    """A word remembered of a trial."""
    return Remembered(trial, version, "worse", sentence, "revert")


def test_storing_a_trial_forgets_its_word_and_no_other(tmp_path: Path, rough: Record) -> None:
    """The word of a trial goes when the trial changes; those of the rest stay."""
    book = stored(Logbook(tmp_path / "logbook.duckdb"), rough, named(rough, "other"))
    with book.writing() as pages:
        pages.remember([word("rough-bed"), word("other")])
    stored(book, rough)
    with book.reading() as pages:
        assert {line.trial: line.sentence for line in pages.listing()} == {
            "rough-bed": None,
            "other": "As it was then.",
        }


def test_a_word_is_remembered_until_the_version_or_the_trial_changes(
    samedirt: Callable[..., Any], tmp_path: Path
) -> None:
    """A listing shows the word that is remembered; one of another version is reached again."""
    from trials import __version__

    rough_loaded(samedirt, tmp_path)
    book = Logbook(tmp_path / "logbook.duckdb")
    for version, shows in ((__version__, "As it was then."), ("0.0.1", "Better beyond luck")):
        with book.writing() as pages:
            pages.remember([word("rough-bed", version)])
        assert shows in samedirt("logbook", "--json").out
    with book.writing() as pages:
        pages.remember([word("rough-bed", __version__)])
    write(tmp_path / "rough-bed", ROUGH_TRIAL, rough_runs().replace(",31,", ",30,"))
    assert samedirt("load", "rough-bed", "--why", "counted again").code == 0
    assert "Better beyond luck" in samedirt("logbook", "--json").out


def test_trials_are_listed_by_their_last_session(tmp_path: Path, rough: Record) -> None:
    """The last day run first; those never run come last."""
    book = Logbook(tmp_path / "logbook.duckdb")
    days = {"a": "2026-05-01", "b": "2026-07-01 pm", "c": "2026-07-01 am", "d": None}
    for name, day in days.items():
        runs = tuple(run.model_copy(update={"session": day}) for run in rough.runs)
        stored(book, named(rough, name).model_copy(update={"runs": runs}))
    with book.reading() as pages:
        assert [line.trial for line in pages.listing()] == ["b", "c", "a", "d"]
