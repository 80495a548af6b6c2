"""Killed, interrupted or cut off at any step, a command can be given again; and it ends in a line, never a traceback."""

import contextlib
import io
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import demo_trials
from tests.commands.typed_in import flat, planned
from tests.folders import LEAST, write
from tests.forks import start
from tests.tables import every
from trials.charts import engine
from trials.commands.main import main
from trials.logbook.logbook import Logbook

Door = Callable[..., Any]
ROOT = Path(__file__).parents[2]


def killed(words: tuple[str, ...], step: str, times: int, folder: Path) -> None:
    """Be the command in a new program that dies, as in a power cut, at its so manieth step of a kind."""
    os.chdir(folder)
    count, real = 0, getattr(os, step)

    def step_or_die(*given: Any, **named: Any) -> Any:
        nonlocal count
        count += 1
        if count == times:
            os.kill(os.getpid(), signal.SIGKILL)
        return real(*given, **named)

    setattr(os, step, step_or_die)
    engine._drawn = lambda *_: b"<svg></svg>"  # what is in a picture makes no odds to how it is written
    sys.argv = ["samedirt", *words]
    with contextlib.redirect_stdout(io.StringIO()):
        main()


def kill(words: tuple[str, ...], step: str, times: int, folder: Path) -> None:
    """Run a command until it is killed there."""
    process = start(killed, words, step, times, folder)
    process.join()
    assert process.exitcode == -signal.SIGKILL, (words, step, times)


def test_a_demo_killed_while_copying_can_be_given_again(
    samedirt: Door, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At its first file, in the middle of one, and between two: every file is whole then."""
    for step, times in (("fsync", 9), ("replace", 2), ("replace", 20)):
        kill(("demo",), step, times, tmp_path)
    monkeypatch.setattr("trials.commands.show_verdict.write_verdict_chart", lambda *_: None)  # drawn in other tests
    monkeypatch.setattr("trials.report.page.write_report", lambda *_: None)
    said = samedirt("demo")
    assert said.code == 0, said.err
    for folder in demo_trials.folders():
        for file in folder.iterdir():
            assert (tmp_path / "cinder-bend" / folder.name / file.name).read_bytes() == file.read_bytes()


@pytest.mark.parametrize(
    ("words", "files"),
    [(("--spreadsheet", "mat.csv"), ["mat.csv"]), (("--to", "out"), ["creek-mat.html", "panner-mat.html"])],
)
def test_papers_killed_before_or_after_the_lock_can_be_printed_again(
    words: tuple[str, ...], files: list[str], samedirt: Door, tmp_path: Path
) -> None:
    """A sheet is there only once the plan is locked, and one that is not there is no reason to refuse it."""
    write(tmp_path / "mat", LEAST)
    samedirt("load", "mat")
    there = tmp_path / ("out" if "--to" in words else ".")
    # The draw is stored first; then the sheet is written beside, the lock stored, and the sheet put in its place.
    for step, times in (("fsync", 1), ("fsync", 2), ("replace", 1)):
        kill(("sheet", "mat", *words), step, times, tmp_path)
        locked = Logbook(tmp_path / "logbook.duckdb").read("mat").trial.locked
        assert locked is not None or not any((there / name).exists() for name in files)
    assert samedirt("sheet", "mat", *words).code == 0
    assert Logbook(tmp_path / "logbook.duckdb").read("mat").trial.locked is not None
    assert all((there / name).stat().st_size for name in files)


def test_a_blank_folder_killed_halfway_can_be_begun_again(samedirt: Door, tmp_path: Path) -> None:
    """With one of its two files there; with anything else in it, it is a person's own."""
    kill(("plan", "--blank", "mat"), "fsync", 1, tmp_path)
    kill(("plan", "--blank", "mat"), "replace", 2, tmp_path)
    assert [path.name for path in (tmp_path / "mat").iterdir() if path.suffix != ".part"] == ["trial.toml"]
    assert samedirt("plan", "--blank", "mat").code == 0 and (tmp_path / "mat" / "runs.csv").exists()
    (tmp_path / "mat" / "trial.toml").write_text("mine")
    said = samedirt("plan", "--blank", "mat")
    assert said.code == 2 and (tmp_path / "mat" / "trial.toml").read_text() == "mine"


@every(
    ("command", "step", "ending"),
    [
        (("report", "mat"), "fsync", ".html"),
        (("export", "mat", "--as", "parquet", "--to", "tables"), "replace", ".parquet"),
    ],
)
def test_what_is_killed_leaves_no_half_file(
    command: tuple[str, ...], step: str, ending: str, samedirt: Door, tmp_path: Path
) -> None:
    """Report and Parquet: not there, and written when asked again; charts and copies go the same way."""
    write(tmp_path / "mat", LEAST, "pair,arm,turn,gold_mg\n1,baseline,1,20\n1,changed,2,30\n")
    samedirt("load", "mat")
    before = len(list(tmp_path.rglob(f"*{ending}")))
    kill(command, step, 1, tmp_path)
    assert len(list(tmp_path.rglob(f"*{ending}"))) == before
    assert samedirt(*command).code in (0, 1)
    assert len(list(tmp_path.rglob(f"*{ending}"))) > before


LOST = {
    "deleted": "no logbook at logbook.duckdb; ",
    "moved with its copies": "no logbook at logbook.duckdb; begin with samedirt plan",
    "replaced by another": "no trial named 'rough-bed' in logbook.duckdb; ",
    "replaced by a folder": "logbook.duckdb is a folder, not a logbook; ",
    "replaced by a text": "logbook.duckdb is not a logbook; it was left untouched",
    "replaced by a pipe": "logbook.duckdb is no plain file, so it can't be a logbook; ",
}


@every("what", LOST)
def test_a_logbook_lost_while_a_run_is_typed(
    what: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is told in the talk, and the answers are kept: with the logbook back, the command goes on from there."""
    folder = tmp_path / what.replace(" ", "-")
    folder.mkdir()
    planned(folder)
    monkeypatch.chdir(folder)
    monkeypatch.setattr("sys.argv", ["samedirt", "enter", "rough-bed"])
    book = Path("logbook.duckdb")
    answers = iter(["", "", "2026-05-03 am", "A", "B", "350; 9.5; 4; 8.0 7.9; 12; y; ; 31; 18.6 12.2; ; fine"])

    def typed(_: str = "") -> str:
        if (answer := next(answers, None)) is not None:
            return answer
        if not book.is_file() or Path("kept.duckdb").exists():
            raise EOFError
        book.rename("kept.duckdb")
        if what == "moved with its copies":
            Path("logbook-copies").rename("kept-copies")
        elif what == "replaced by another":
            with Logbook(book).writing():
                pass
        elif what == "replaced by a folder":
            book.mkdir()
        elif what == "replaced by a text":
            book.write_text("mine")
        elif what == "replaced by a pipe":
            os.mkfifo(book)
        return ""

    monkeypatch.setattr("builtins.input", typed)
    with pytest.raises(SystemExit) as stop:
        main()
    said = capsys.readouterr()
    assert stop.value.code == 130 and "Traceback" not in said.err, said  # the talk goes on until the typing ends
    assert LOST[what] in flat(said.out)
    assert list(Path().glob("*draft*")), "the answers are kept"


def without(closed: tuple[int, ...], folder: Path, told: Path) -> None:
    """Be several commands in a new program in which some streams are closed; what they print goes to a file."""
    os.chdir(folder)
    file = os.open(told, os.O_WRONLY | os.O_CREAT)
    for number in (1, 2):
        os.dup2(file, number)
    os.close(file)
    for number in closed:
        os.close(number)
        setattr(sys, ("stdin", "stdout", "stderr")[number], None)
    codes = []
    for words in (("load", "mat"), ("plan",), ("plan", "--ask"), ("enter", "mat"), ("logbook", "--restore", "1")):
        sys.argv = ["samedirt", *words]
        try:
            main()
        except SystemExit as stop:
            codes.append(stop.code)
    assert codes == [0, 2, 130, 0, 0], codes
    assert all(os.fstat(number) for number in range(3))


@every("closed", [(0,), (1,), (0, 1), (0, 1, 2)])
def test_closed_streams_are_no_reason_for_a_traceback(closed: tuple[int, ...], tmp_path: Path) -> None:
    """A plan, an answer and a yes are asked for where nothing can be typed; no file takes the place of a stream."""
    folder, told = tmp_path / f"without-{closed}", tmp_path / f"told-{closed}"
    write(folder / "mat", LEAST, "pair,arm,turn,gold_mg\n1,baseline,1,20\n")
    process = start(without, closed, folder, told)
    process.join()
    assert process.exitcode == 0 and "Traceback" not in told.read_text(), told.read_text()


@every(
    ("library", "raised", "words", "says"),
    [
        ("typer", "KeyboardInterrupt", [], "samedirt: stopped\n"),
        ("duckdb", "KeyboardInterrupt", ["load", "mat"], "samedirt: stopped\n"),
        ("duckdb", "KeyboardInterrupt", ["load", "mat", "--json"], '"stopped"'),
        ("duckdb", "RuntimeError('Query interrupted')", ["load", "mat"], "samedirt: stopped\n"),  # as DuckDB says it
    ],
)
def test_an_interrupt_is_one_line(library: str, raised: str, words: list[str], says: str, tmp_path: Path) -> None:
    """Ctrl-C while libraries are still read, or in the middle of a command or of a query; as JSON where asked for."""
    write(tmp_path / "mat", LEAST, "pair,arm,turn,gold_mg\n1,baseline,1,20\n")
    program = (
        "import sys\n"
        "class Interrupted:\n"
        "    def find_spec(self, name, *_):\n"
        f"        if name == {library!r}:\n            raise {raised}\n"
        "sys.meta_path.insert(0, Interrupted())\n"
        f"sys.argv = ['samedirt', *{words}]\n"
        "from trials.commands.main import main\nmain()\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program],
        capture_output=True, text=True, cwd=tmp_path, env=os.environ | {"PYTHONPATH": str(ROOT)}, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (130, "")
    assert says in done.stderr and done.stderr.count("stopped") == 1 and "Traceback" not in done.stderr
