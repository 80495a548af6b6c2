import io
import json
import os
import stat
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

import demo_trials
from schemas import Record
from tests.folders import LEAST, rough_bed, write
from tests.logbook.test_files import held
from tests.logbook.writers import add, begin_as_was, grown, leave_log, run, runs_in, start
from trials.errors import LogbookError
from trials.files.write import write_folder
from trials.logbook import connect as connecting
from trials.logbook import restore as going_back
from trials.logbook.attached import BLOCK_BYTES, close_file
from trials.logbook.beside import copies_of, folder_of
from trials.logbook.copies import NEWEST_KEPT
from trials.logbook.logbook import Logbook
from trials.logbook.migrate import LEDGER


@pytest.fixture
def wide(monkeypatch: pytest.MonkeyPatch) -> None:
    """Print on a screen of a hundred characters."""
    monkeypatch.setenv("COLUMNS", "100")


@pytest.fixture
def book(tmp_path: Path) -> Logbook:
    """Three runs stored one by one, so that copy 1 has one of them and copy 2 has two."""
    return grown(tmp_path, 3)


@pytest.mark.usefixtures("wide")
def test_the_copies_are_listed(samedirt: Callable[..., Any], book: Logbook) -> None:
    """Number, date, trials and runs of each, and how to go back."""
    assert samedirt("logbook", "--restore").out == (
        "Copies of logbook.duckdb, in logbook-copies:\n"
        "  number  kept              trials  runs\n"
        "  1       2026-05-03 14:12  1       1\n"
        "  2       2026-05-03 14:12  1       2\n"
        "\n"
        "Go back to one: samedirt logbook --restore NUMBER, or newest. The present file is set aside first.\n"
    )
    assert json.loads(samedirt("logbook", "--restore", "--json").out) == [
        {
            "number": number,
            "kept_at": "2026-05-03T14:12:00",
            "file": str(copy.path.relative_to(book.path.parent)),
            "set_aside": False,
            "readable": True,
            "trials": ["t"],
            "runs": number,
        }
        for number, copy in enumerate(copies_of(book.path), start=1)
    ]
    assert book.path.exists()


@pytest.mark.usefixtures("wide")
def test_no_copies_are_said_to_be_none(samedirt: Callable[..., Any]) -> None:
    """What makes copies, and what else there is to go back to."""
    said = samedirt("logbook", "--restore")
    assert said.code == 0 and said.out == (
        "No copies of logbook.duckdb yet; one is kept in logbook-copies from the first change on.\n"
        "From exported trials: samedirt logbook --restore FOLDER\n"
    )
    refused = samedirt("logbook", "--restore", "newest")
    assert refused.code == 2 and refused.err == (
        "samedirt: there are no copies of logbook.duckdb in logbook-copies; name a folder of exported trials instead\n"
    )


def test_a_copy_is_brought_back_and_the_present_file_set_aside(samedirt: Callable[..., Any], book: Logbook) -> None:
    """The logbook is the copy, byte for byte; what it was is a copy that no thinning takes."""
    was, copy = book.path.read_bytes(), copies_of(book.path)[0].path.read_bytes()
    said = samedirt("logbook", "--restore", "1", "--yes")
    assert said.code == 0 and said.err == ""
    assert book.path.read_bytes() == copy and runs_in(book.path) == {1}
    aside = copies_of(book.path)[-1]
    assert aside.is_set_aside and aside.number == 3 and aside.path.read_bytes() == was
    words = " ".join(said.out.split())
    assert words.startswith(
        "logbook.duckdb is what copy 1 (2026-05-03 14:12) holds: 1 trial, 1 run. The file before it is copy 3, "
    )
    assert words.endswith("; it stays until you delete it. Next: samedirt logbook --check")
    assert samedirt("logbook", "--check").code == 0
    for number in range(4, 6 + NEWEST_KEPT):
        add(book, "t", run(number))
    assert runs_in(aside.path) == {1, 2, 3}


def test_going_back_is_told_to_programs(samedirt: Callable[..., Any], book: Logbook) -> None:
    """One JSON value: from where, what it holds, and where the file before it is."""
    told = json.loads(samedirt("logbook", "--restore", "2", "--json", "--yes").out)
    aside = told.pop("set_aside")
    assert Path(aside).name.startswith("logbook-0003-") and aside.endswith("-set-aside.duckdb") and Path(aside).exists()
    assert told == {"logbook": "logbook.duckdb", "from": "copy 2 (2026-05-03 14:12)", "trials": ["t"], "runs": 2}
    assert book.path.exists()


def test_there_and_back_again(samedirt: Callable[..., Any], book: Logbook) -> None:
    """Going back can be gone back on; no state is copied twice, and none is lost."""
    was = book.path.read_bytes()
    for _ in range(2):
        assert samedirt("logbook", "--restore", "1", "--yes").code == 0
        assert samedirt("logbook", "--restore", "3", "--yes").code == 0
        assert book.path.read_bytes() == was
    assert [(one.number, one.is_set_aside) for one in copies_of(book.path)] == [(1, True), (2, False), (3, True)]
    assert samedirt("logbook", "--check").code == 0


def test_the_newest_is_the_last_that_can_be_read(samedirt: Callable[..., Any], book: Logbook) -> None:
    """A copy that is damaged is passed over by newest, and refused by its number."""
    newest = copies_of(book.path)[-1]
    newest.path.write_bytes(newest.path.read_bytes()[:5000])
    before = book.path.read_bytes()
    refused = samedirt("logbook", "--restore", "2")
    assert refused.code == 2 and refused.err.startswith("samedirt: copy 2 of logbook.duckdb can't be read (")
    assert refused.err.endswith("); nothing was changed. Choose another\n") and book.path.read_bytes() == before
    assert samedirt("logbook", "--restore", "newest", "--yes").code == 0
    assert runs_in(book.path) == {1}


@pytest.mark.parametrize(
    ("which", "says"),
    [
        ("7", "no copy 7 of logbook.duckdb; there are 1, 2, and newest"),
        ("0", "no copy 0 of logbook.duckdb; there are 1, 2, and newest"),
        ("nowhere", "nowhere: is not a folder; name the folder of a trial"),
        ("logbook-copies", "logbook-copies: holds no trial.toml, nor do the folders in it; name the folder of a trial"),
    ],
)
def test_what_can_not_be_gone_back_to(which: str, says: str, samedirt: Callable[..., Any], book: Logbook) -> None:
    """Refused with what there is; nothing is changed."""
    before = book.path.read_bytes()
    said = samedirt("logbook", "--restore", which)
    assert said.code == 2 and said.err == f"samedirt: {says}\n"
    assert book.path.read_bytes() == before and len(copies_of(book.path)) == 2


def test_a_logbook_that_is_gone_is_brought_back(samedirt: Callable[..., Any], book: Logbook) -> None:
    """Its copies are there without it, and its log is put by."""
    start(leave_log, str(book.path), "t", 4, "").join()
    book.path.unlink()
    said = samedirt("logbook", "--restore", "newest", "--yes")
    assert said.code == 0 and "The file before it" not in said.out
    assert runs_in(book.path) == {1, 2}
    assert not (book.path.parent / "logbook.duckdb.wal").exists()


@pytest.mark.parametrize(
    "damage",
    [b"", "cut"],
    ids=["blank", "cut"],
)
def test_a_damaged_logbook_is_set_aside_as_it_is(
    damage: bytes | str, samedirt: Callable[..., Any], book: Logbook
) -> None:
    """What can't be opened is kept with its log, and the copy takes its place."""
    start(leave_log, str(book.path), "t", 4, "").join()
    log = (book.path.parent / "logbook.duckdb.wal").read_bytes()
    content = damage if isinstance(damage, bytes) else book.path.read_bytes()[:300_000]
    book.path.write_bytes(content)
    said = samedirt("logbook", "--restore", "newest", "--yes")
    assert said.code == 0, said
    assert runs_in(book.path) == {1, 2}
    aside = copies_of(book.path)[-1]
    assert aside.is_set_aside and aside.path.read_bytes() == content
    kept = (aside.path.with_name(aside.path.name + ".wal"), book.path.with_name("logbook.duckdb.wal.left-over"))
    assert [one.read_bytes() for one in kept if one.exists()] == [log]
    assert not (book.path.parent / "logbook.duckdb.wal").exists()
    add(book, "t", run(4))
    assert runs_in(book.path) == {1, 2, 4}


def test_a_log_is_not_lost_by_going_back(samedirt: Callable[..., Any], book: Logbook) -> None:
    """A change that was only in the log is in the file that is set aside, and the log does not meet the copy."""
    start(leave_log, str(book.path), "t", 4, "").join()
    assert samedirt("logbook", "--restore", "1", "--yes").code == 0
    assert runs_in(book.path) == {1}
    assert runs_in(copies_of(book.path)[-1].path) == {1, 2, 3, 4}


def test_a_logbook_in_use_is_not_replaced(
    samedirt: Callable[..., Any], book: Logbook, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever holds it is named, and nothing is changed."""
    monkeypatch.setattr(connecting, "LOCK_WAIT_S", 0.3)
    before, copies = book.path.read_bytes(), copies_of(book.path)
    with held(book.path, 30) as holder:
        said = samedirt("logbook", "--restore", "1", "--yes")
        holder.kill()
    assert said.code == 2 and f"is in use by process {holder.pid}; waited 0.3 s" in said.err
    assert book.path.read_bytes() == before and copies_of(book.path) == copies


def test_who_waits_for_a_logbook_gets_the_one_put_in_its_place(book: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    """A program that opened the file just before it was replaced writes to the new one, not to the one set aside."""
    opened = connecting.connect
    times = []

    def late(path: Path, *, read_only: bool) -> Any:
        if not times and not read_only:
            times.append(1)
            fresh = book.path.with_name("fresh.duckdb")
            fresh.write_bytes(copies_of(book.path)[0].path.read_bytes())
            fresh.replace(book.path)
        return opened(path, read_only=read_only)

    monkeypatch.setattr(connecting, "connect", late)
    add(book, "t", run(7))
    assert times and runs_in(book.path) == {1, 7}


@pytest.mark.parametrize(
    ("statement", "says"),
    [
        (f"INSERT INTO {LEDGER} VALUES (9999, 'later', now()::TIMESTAMP)", "is a logbook of shape 9999"),
        (f"DROP TABLE {LEDGER}", "is a DuckDB file, but not a logbook; it was left untouched"),
    ],
)
def test_a_file_that_is_not_ours_is_not_replaced(
    statement: str, says: str, samedirt: Callable[..., Any], book: Logbook
) -> None:
    """A newer logbook, or a store of something else, is left untouched."""
    con = connecting.connect(book.path, read_only=False)
    con.execute(statement)
    close_file(con)
    before = book.path.read_bytes()
    said = samedirt("logbook", "--restore", "1", "--yes")
    assert said.code == 2 and says in said.err and said.err.count("\n") == 1
    assert book.path.read_bytes() == before and len(copies_of(book.path)) == 2


def test_a_copy_of_an_older_shape_is_brought_up_to_date(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A copy from before an update of the program opens as any older logbook does."""
    path = tmp_path / "logbook.duckdb"
    con = connecting.connect(path, read_only=False)
    begin_as_was(con, 2)
    close_file(con)
    add(Logbook(path), "t", run(1))
    assert "  1       " in samedirt("logbook", "--restore").out
    assert samedirt("logbook", "--restore", "1", "--yes").code == 0
    with Logbook(path).reading() as pages:
        assert pages.names() == []
    assert samedirt("logbook", "--check").code == 0


def untyped(records: Sequence[Record]) -> list[Record]:
    """Records without the units their runs were typed in: an export has the stored ones."""
    return [
        record.model_copy(update={"runs": tuple(run.model_copy(update={"typed": {}}) for run in record.runs)})
        for record in records
    ]


def test_a_logbook_is_made_anew_from_an_export(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Every trial of a folder of exported trials, with its runs and corrections, as it was."""
    assert samedirt("load", *demo_trials.folders()).code == 0
    path = tmp_path / "logbook.duckdb"
    with Logbook(path).reading() as pages:
        records = pages.records()
    for record in records:
        write_folder(record, tmp_path / "out" / record.trial.name)
    path.write_bytes(path.read_bytes()[:300_000])
    assert samedirt("logbook", "--check").code == 1
    said = samedirt("logbook", "--restore", "out", "--yes")
    runs = sum(len(record.runs) for record in records)
    assert said.code == 0 and said.err == ""
    assert " ".join(said.out.split()).startswith(
        f"logbook.duckdb is what out holds: {len(records)} trials, {runs} runs."
    )
    with Logbook(path).reading() as pages:
        assert untyped(pages.records()) == untyped(records)
        assert all(line.code for line in pages.listing()), "their words are remembered"
    assert samedirt("logbook", "--check").code == 0
    assert not list(folder_of(path).glob("*.part*"))
    rough_bed(tmp_path / "rough-bed-2")
    write(tmp_path / "mat", LEAST, "pair,arm,turn,gold_mg\n1,baseline,1,20\n")
    assert samedirt("load", "mat").err == ""
    assert samedirt("logbook", "--check").code == 0


def test_an_export_with_a_fault_changes_nothing(samedirt: Callable[..., Any], book: Logbook, tmp_path: Path) -> None:
    """Every problem of its files is listed, as loading does, and the logbook is as it was."""
    write(tmp_path / "out" / "mat", LEAST, "pair,arm,turn,gold_mg\n1,baseline,1,-20\n")
    before = book.path.read_bytes()
    said = samedirt("logbook", "--restore", "out", "--yes")
    assert said.code == 2 and said.err.startswith("samedirt: out/mat/runs.csv row 2")
    assert book.path.read_bytes() == before and len(copies_of(book.path)) == 2


def test_a_folder_with_the_name_of_a_number(samedirt: Callable[..., Any], book: Logbook, tmp_path: Path) -> None:
    """A number is a copy; written as a path it is the folder."""
    rough_bed(tmp_path / "1" / "rough-bed")
    assert samedirt("logbook", "--restore", "./1", "--yes").code == 0
    assert "rough-bed" in samedirt("logbook").out
    assert samedirt("logbook", "--restore", "1", "--yes").code == 0
    assert runs_in(book.path) == {1}


def test_who_may_read_it_stays(samedirt: Callable[..., Any], book: Logbook) -> None:
    """The logbook brought back may be read by whom the copy might."""
    book.path.chmod(0o600)
    add(book, "t", run(4))
    assert samedirt("logbook", "--restore", "newest", "--yes").code == 0
    assert stat.S_IMODE(book.path.stat().st_mode) == 0o600


def test_no_room_to_go_back_changes_nothing(book: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    """A disk that fills while the copy is made leaves the logbook as it was, and no part of the copy."""

    def full(source: Path, target: Path) -> None:
        target.write_bytes(source.read_bytes()[:1000])
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr(going_back, "copy_bytes", full)
    before = book.path.read_bytes()
    says = r"the disk of .* is full; nothing of this change was stored. Make room"
    with pytest.raises(LogbookError, match=says), going_back.copy_to_go_back(book, copies_of(book.path)[0]):
        pass
    assert book.path.read_bytes() == before
    assert not list(folder_of(book.path).glob("*.part"))


@pytest.mark.parametrize(
    ("present", "hours"),
    [("healthy", 0.5), ("empty", 1), ("gone", 24), ("healthy", 8766), ("empty", 8766), ("gone", 8766)],
)
def test_a_copy_of_any_age_is_brought_back(
    present: str, hours: float, samedirt: Callable[..., Any], book: Logbook
) -> None:
    """An hour, a day or a year old: what it holds is back, and no copy is lost by it."""
    before = {copy.path: copy.path.read_bytes() for copy in copies_of(book.path)}
    for path in (*before, book.path):
        os.utime(path, (time.time() - 3600 * hours,) * 2)
    if present == "empty":
        book.path.write_bytes(b"")
    elif present == "gone":
        book.path.unlink()
    said = samedirt("logbook", "--restore", "1", "--yes")
    assert said.code == 0 and said.err == ""
    assert runs_in(book.path) == {1}
    assert {path: path.read_bytes() for path in before} == before
    assert not list(folder_of(book.path).glob("*.part*"))


def test_what_would_be_dropped_is_said_and_asked(samedirt: Callable[..., Any], book: Logbook) -> None:
    """Trials, runs and changes stored after the copy are named; without a yes nothing is changed."""
    add(book, "u", run(1))
    add(book, "t", run(1, 5.0))
    before = book.path.read_bytes()
    for which, what in (
        ("1", "2 runs of t; the trial u with its 1 run"),
        ("2", "1 run of t; the trial u with its 1 run"),
        ("4", "changes to t"),
    ):
        said = samedirt("logbook", "--restore", which)
        assert said.code == 2 and said.out == ""
        assert said.err == (
            f"samedirt: logbook.duckdb holds what copy {which} (2026-05-03 14:12) does not: {what}; "
            "--yes goes back all the same\n"
        )
    assert book.path.read_bytes() == before and not list(folder_of(book.path).glob("*.part*"))
    assert samedirt("logbook", "--restore", "4", "--yes").code == 0


@pytest.mark.parametrize("answer", ["y", "n"])
def test_on_a_terminal_it_is_asked(
    answer: str, samedirt: Callable[..., Any], book: Logbook, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The question stands under what would be dropped; no is no."""
    typed = io.StringIO(f"{answer}\n")
    monkeypatch.setattr(typed, "isatty", lambda: True, raising=False)
    monkeypatch.setattr(sys, "stdin", typed)
    said = samedirt("logbook", "--restore", "1")
    assert "logbook.duckdb holds what copy 1 (2026-05-03 14:12) does not: 2 runs of t." in " ".join(said.out.split())
    assert "Go back all the same? [y/N]: " in said.out
    assert said.code == (0 if answer == "y" else 1)
    assert runs_in(book.path) == ({1} if answer == "y" else {1, 2, 3})


def test_nothing_dropped_is_not_asked(samedirt: Callable[..., Any], book: Logbook) -> None:
    """A copy of what is there is gone back to without a question."""
    with book.writing() as pages:
        pages.names()
    assert samedirt("logbook", "--restore", "3").code == 0


def test_a_file_that_is_no_logbook_is_never_replaced(samedirt: Callable[..., Any], book: Logbook) -> None:
    """Something else of that name keeps its bytes, whatever is asked; moved away, the copy comes back."""
    book.path.write_bytes(b"pair,arm,turn and other things that are no logbook")
    before = book.path.read_bytes()
    for which in ("1", "newest"):
        said = samedirt("logbook", "--restore", which, "--yes")
        assert said.code == 2 and book.path.read_bytes() == before
        assert said.err == (
            "samedirt: logbook.duckdb is not a logbook; it was left untouched. Move it away, then go back to a copy\n"
        )
    book.path.unlink()
    assert samedirt("logbook", "--restore", "newest").code == 0 and runs_in(book.path) == {1, 2}


def test_the_list_says_which_copies_read(samedirt: Callable[..., Any], book: Logbook) -> None:
    """A byte that rotted in the rows of a copy is found by listing it, not by going back to it."""
    one, _ = copies_of(book.path)
    whole = one.path.read_bytes()
    found = 0
    for at in range(3 * 4096 + 500, len(whole), 2 * BLOCK_BYTES):
        one.path.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        listed = samedirt("logbook", "--restore", "--json").out
        readable = [copy["readable"] for copy in json.loads(listed)]
        assert readable[1]
        found += not readable[0]
    assert found >= 2
