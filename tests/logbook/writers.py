"""Programs that write to a logbook until they are killed, and what they had said was stored by then."""

import os
import signal
import time
from collections.abc import Iterable
from datetime import datetime
from functools import cache
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from shutil import copytree
from tempfile import TemporaryDirectory

import duckdb

from schemas import Gear, Lot, Record, Run, SizeCatch, Sizes, Trial, is_made
from tests.forks import start
from trials.logbook.logbook import Logbook
from trials.logbook.migrate import LEDGER, LEDGER_COLUMNS, known_migrations

BEGUN = "begun"
NOON = datetime(2026, 5, 3, 14, 12)


def trial(name: str) -> Trial:
    """A plan that any number of runs may belong to."""
    return Trial(
        name=name,
        measure="gold_mass",
        pairs=200,
        lots=(Lot(kind="natural"),),
        gear=Gear(kind="sluice"),
        sizes=Sizes(series="ASTM"),
    )


def run(number: int, gold_mg: float | None = None) -> Run:
    """A run that can be told from half of it: its mass, its note and its two classes follow from its number."""
    mass = float(number) if gold_mg is None else gold_mg
    parts = (SizeCatch(label="+20", gold_mg=mass / 4), SizeCatch(label="-20", gold_mg=mass / 2))
    pair, arm = (number + 1) // 2, "baseline" if number % 2 else "repeat"
    return Run(pair=pair, arm=arm, gold_mg=mass, note=f"run {number}", classes=parts)


def begin_as_was(con: duckdb.DuckDBPyConnection, newest: int) -> None:
    """Give a blank logbook the shape it had when so many steps were known."""
    con.execute(f"CREATE TABLE {LEDGER} {LEDGER_COLUMNS}")
    for number, file in known_migrations().items():
        if number <= newest:
            con.execute(file.read_text(encoding="utf-8"))
            con.execute(f"INSERT INTO {LEDGER} VALUES (?, ?, now()::TIMESTAMP)", [number, file.stem])


def number_of(one: Run) -> int:
    """The number a run was made from."""
    return 2 * one.pair - (1 if one.arm == "baseline" else 0)


def add(book: Logbook, name: str, made: Run) -> None:
    """Store one more run of a trial, or a run that changed, as entering or loading does."""
    with book.writing() as pages:
        found = pages.records([name])
        kept = [other for other in found[0].runs if other.key != made.key] if found else []
        pages.store([Record(trial=trial(name), runs=tuple(sorted([*kept, made], key=lambda one: one.key)))])


def logbook_in(folder: Path) -> Logbook:
    """The logbook of a folder, on one day."""
    return Logbook(folder / "logbook.duckdb", clock=lambda: NOON)


def grown(folder: Path, runs: int) -> Logbook:
    """The logbook of a folder, with so many runs of the trial t stored one by one on that day, and the copies of it."""
    copytree(_grown(runs).name, folder, dirs_exist_ok=True)
    return logbook_in(folder)


@cache
def _grown(runs: int) -> TemporaryDirectory[str]:
    """A folder with such a logbook: made once, of the one with a run less."""
    place = TemporaryDirectory()
    book = grown(Path(place.name), runs - 1) if runs > 1 else logbook_in(Path(place.name))
    add(book, "t", run(runs))
    return place


def say(said: Path, text: object) -> None:
    """Say that something is stored: one line, in the file before the next is begun."""
    file = os.open(said, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    os.write(file, f"{text}\n".encode())
    os.close(file)


def heard(said: Path) -> list[str]:
    """What was said to be stored."""
    return said.read_text(encoding="utf-8").split("\n")[:-1] if said.exists() else []


def kill_after(process: BaseProcess, seconds: float, said: Path, lines: int = 0) -> None:
    """Let a program work until it has said so many lines, and a while more; then end it as a power cut does."""
    given_up = time.monotonic() + 60.0
    while len(heard(said)) < lines and process.is_alive() and time.monotonic() < given_up:
        time.sleep(0.002)
    time.sleep(seconds)
    process.kill()
    process.join()
    assert process.exitcode == -signal.SIGKILL, "it ended before it was killed"


def killed_at(step: str, path: Path, name: str, number: int) -> None:
    """Let a program store a run and be killed at a step of it."""
    process = start(die_at, step, str(path), name, number)
    process.join()
    assert process.exitcode == -signal.SIGKILL


def whole_runs(runs: Iterable[Run]) -> set[int]:
    """The numbers of the runs made, each seen to be whole."""
    numbers = set()
    for one in runs:
        if is_made(one):
            number = number_of(one)
            assert one == run(number, one.gold_mg), one
            numbers.add(number)
    return numbers


def runs_in(path: Path, name: str = "t") -> set[int]:
    """The numbers of the runs of a trial in a logbook file, each seen to be whole."""
    return whole_runs(Logbook(path, keeps=False).read(name).runs)


# What the programs do.


def add_runs(path: str, said: str, name: str, first: int) -> None:
    """Store run after run, and say each."""
    say(Path(said), BEGUN)
    for number in range(first, 10_000):
        add(Logbook(Path(path)), name, run(number))
        say(Path(said), number)


def correct_runs(path: str, said: str, name: str, first: int) -> None:
    """Load a trial again and again with another value in its first run, and say each."""
    from trials.files.folder import packed
    from trials.keeping.storing import store_all

    book = Logbook(Path(path))
    say(Path(said), BEGUN)
    for mass in range(first, 10_000):
        record = book.read(name)
        changed = (run(1, float(mass)), *record.runs[1:])
        incoming = record.model_copy(update={"runs": changed})
        store_all(book, [packed(Path(name), incoming)], why=f"weighed again: {mass}", stands=None)
        say(Path(said), mass)


def open_old(path: str, said: str) -> None:
    """Open a logbook of an older shape, say how many runs it has, and add one."""
    book = Logbook(Path(path))
    say(Path(said), BEGUN)
    say(Path(said), len(book.read("old").runs))
    add(book, "new", run(1))
    say(Path(said), "new")
    time.sleep(60.0)


def go_back_and_forth(path: str, said: str) -> None:
    """Go back to one copy and to the other, and say which."""
    from trials.logbook.restore import choose, copy_to_go_back, put_in_place

    say(Path(said), BEGUN)
    book = Logbook(Path(path))
    while True:
        for number in ("1", "2"):
            with copy_to_go_back(book, choose(book.path, number)) as fresh:
                put_in_place(book, fresh.path)
            say(Path(said), number)


def die_at(step: str, path: str, name: str, number: int) -> None:
    """Store a run, and die at a step of it: as `keep` begins, or `settle`, when the run is stored already."""
    from trials.logbook import logbook

    def die(*_: object) -> None:
        os.kill(os.getpid(), signal.SIGKILL)

    setattr(logbook, step, die)
    add(Logbook(Path(path)), name, run(number))


def leave_log(path: str, name: str, number: int, stage: str) -> None:
    """Store a run and die inside its checkpoint, so that a log is left; with no stage, as 0.1.0 did before it."""
    from trials.logbook.connect import connect, transaction
    from trials.logbook.pages import Pages

    con = connect(Path(path), read_only=False)
    if stage:
        con.execute(f"SET debug_checkpoint_abort = '{stage}'")
    else:
        con.execute("RESET checkpoint_threshold; RESET auto_checkpoint_skip_wal_threshold")
    with transaction(con) as con:
        pages = Pages(con)
        (record,) = pages.records([name])
        try:
            pages.store([record.model_copy(update={"runs": (*record.runs, run(number))})])
            con.execute("COMMIT")
        finally:
            os.kill(os.getpid(), signal.SIGKILL)


def delete_runs_and_die(path: str) -> None:
    """Die in the middle of a change."""
    with Logbook(Path(path)).writing() as pages:
        pages.con.execute("DELETE FROM runs")
        os.kill(os.getpid(), 9)


def hold(path: str, telling: Connection, seconds: float) -> None:
    """Hold the file for a while, as another program does."""
    con = duckdb.connect(path)
    telling.send("held")
    time.sleep(seconds)
    con.close()


def may_open(path: str, telling: Connection) -> None:
    """Tell whether another program may open the file: nothing, or why not."""
    try:
        duckdb.connect(path).close()
        telling.send("")
    except duckdb.Error as refused:
        telling.send(str(refused))
