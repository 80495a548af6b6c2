import os
import shutil
import stat
import time
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.folders import LEAST, rough_bed, rough_loaded, write
from tests.forks import forks, start
from tests.logbook.writers import NOON, add, grown, leave_log, may_open, run, runs_in
from trials.errors import Refused
from trials.logbook import connect as connecting
from trials.logbook import copies as copying
from trials.logbook.attached import BLOCK_BYTES
from trials.logbook.beside import Copy, copies_of, folder_of
from trials.logbook.copies import EARLIER_DAYS_KEPT, NEWEST_KEPT, thinned
from trials.logbook.logbook import Logbook


def test_a_copy_is_kept_from_the_first_change_on(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """The copy is the file as it was, byte for byte, with its date and who may read it; deleted then, it comes back."""
    rough_bed(tmp_path / "rough-bed")
    write(tmp_path / "mat", LEAST, "pair,arm,turn,gold_mg\n1,baseline,1,20\n")
    path = tmp_path / "logbook.duckdb"
    assert samedirt("load", "rough-bed").code == 0
    (first,) = copies_of(path)
    before, date = path.read_bytes(), path.stat().st_mtime_ns
    assert first.path.read_bytes() == before and first.path.stat().st_mtime_ns == date
    path.unlink()
    assert samedirt("logbook", "--restore", "newest").code == 0
    assert path.read_bytes() == before
    path.chmod(0o640)
    assert samedirt("load", "mat").err == ""
    assert copies_of(path) == [first] and path.read_bytes() != before
    before, date = path.read_bytes(), path.stat().st_mtime_ns
    assert samedirt("void", "mat", "--why", "spilled").code == 0
    second = copies_of(path)[-1].path
    assert second.read_bytes() == before and path.read_bytes() != before
    assert second.stat().st_mtime_ns == date and stat.S_IMODE(second.stat().st_mode) == 0o640


def test_a_copy_is_named_by_a_number_and_its_moment(tmp_path: Path) -> None:
    """The number orders copies, the moment is for people, the signs behind it tell the logbook it is of."""
    book = Logbook(tmp_path / "log buch.duckdb", clock=lambda: NOON)
    for number in range(1, 4):
        add(book, "t", run(number))
    one, two = copies_of(book.path)
    assert one.mark == two.mark and len(one.mark) == 6
    assert one.path.name == f"log buch-0001-2026-05-03T1412-{one.mark}.duckdb"
    assert two.path.name == f"log buch-0002-2026-05-03T1412-{one.mark}.duckdb"
    assert folder_of(book.path).name == "log buch-copies"


def test_nothing_changed_nothing_copied(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Loading what is there, or a change that is refused, adds no copy to one that is of this state."""
    rough_loaded(samedirt, tmp_path)
    book = Logbook(tmp_path / "logbook.duckdb")

    def refused() -> None:
        with book.writing():
            raise Refused("no")

    for _ in range(3):
        samedirt("load", "rough-bed")
        with pytest.raises(Refused):
            refused()
    assert [copy.number for copy in copies_of(book.path)] == [1]


def test_a_word_remembered_is_no_stored_change_but_another_state(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """What is copied is the file, whatever was written to it."""
    from trials.logbook.pages import Remembered

    rough_loaded(samedirt, tmp_path)
    book = Logbook(tmp_path / "logbook.duckdb")
    for sentence in ("One.", "Two."):
        with book.writing() as pages:
            pages.remember([Remembered("rough-bed", "0", "worse", sentence, None)])
    assert len(copies_of(book.path)) == 2


def copy(number: int, moment: datetime, *, aside: bool = False) -> Copy:
    """A copy that is nowhere."""
    return Copy(number, moment, Path(str(number)), "", is_set_aside=aside)


def test_copies_are_thinned_to_the_newest_and_one_a_day() -> None:
    """Three a day for nine days: the newest five, and the newest of each of the five days before theirs."""
    copies = [copy(3 * day + turn + 1, NOON + timedelta(days=day, hours=turn)) for day in range(9) for turn in range(3)]
    stay = [one for one in copies if one not in thinned(copies)]
    assert [one.number for one in stay] == [9, 12, 15, 18, 21, 23, 24, 25, 26, 27]
    assert [one.kept_at.day for one in stay] == [5, 6, 7, 8, 9, 10, 10, 11, 11, 11]


def test_what_was_set_aside_is_never_thinned() -> None:
    """A file that going back to a copy replaced stays until a person deletes it, and takes no other's place."""
    copies = [copy(number, NOON, aside=number < 10) for number in range(1, 20)]
    assert [one.number for one in thinned(copies)] == [10, 11, 12, 13, 14]


@given(st.lists(st.datetimes(datetime(2026, 1, 1), datetime(2026, 1, 20)), max_size=40))
def test_at_most_ten_copies_stay_and_the_newest_always(moments: list[datetime]) -> None:
    """Whatever the clock said, the newest by number stay; thinning what was thinned takes nothing more."""
    copies = [copy(number, moment) for number, moment in enumerate(moments, start=1)]
    stay = [one for one in copies if one not in thinned(copies)]
    assert len(stay) <= NEWEST_KEPT + EARLIER_DAYS_KEPT
    assert stay[-NEWEST_KEPT:] == copies[-NEWEST_KEPT:]
    assert thinned(stay) == []


def test_a_folder_of_copies_stays_small(tmp_path: Path) -> None:
    """Seven changes in one day leave the five newest copies, each with one run more."""
    book = grown(tmp_path, 8)
    copies = copies_of(book.path)
    assert [one.number for one in copies] == [3, 4, 5, 6, 7]
    assert [max(runs_in(one.path)) for one in copies] == [3, 4, 5, 6, 7]


def test_a_clock_set_back_writes_over_nothing(tmp_path: Path) -> None:
    """Copies are in order of their number, and each is of its own state, though the clock repeats and goes back."""
    days = iter([NOON, NOON, NOON - timedelta(days=400), NOON - timedelta(days=400), NOON])
    path = tmp_path / "logbook.duckdb"
    for number in range(1, 6):
        now = next(days)
        add(Logbook(path, clock=lambda now=now: now), "t", run(number))  # type: ignore[misc]
    assert [(one.number, one.kept_at.year) for one in copies_of(path)] == [(1, 2026), (2, 2025), (3, 2025), (4, 2026)]
    assert [max(runs_in(one.path)) for one in copies_of(path)] == [1, 2, 3, 4]


def test_other_files_among_the_copies_are_let_be(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Only files named as copies are counted or thinned; a part left by a killed program goes after an hour."""
    book = grown(tmp_path, 8)
    folder = folder_of(book.path)
    mine = [
        "my copy.duckdb",
        "logbook-0001.duckdb",
        "logbook-0001-2026-13-03T1412.duckdb",
        "logbook-1-2026-05-03T1412.db",
    ]
    for name in (*mine, "logbook-copy-1.part", "logbook-copy-2.part"):
        (folder / name).write_text("mine")
    os.utime(folder / "logbook-copy-1.part", (1, 1))  # a part of an old copy has its date
    add(book, "t", run(9))
    assert [one.number for one in copies_of(book.path)] == [4, 5, 6, 7, 8]
    assert {*mine, "logbook-copy-1.part", "logbook-copy-2.part"} <= {one.name for one in folder.iterdir()}
    monkeypatch.setattr(copying, "time", SimpleNamespace(time=lambda: time.time() + copying.STALE_S + 60))
    add(book, "t", run(10))
    assert not list(folder.glob("*.part")) and {*mine} <= {one.name for one in folder.iterdir()}


def test_a_change_is_stored_where_no_copy_can_be_kept(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """The change has its own safety; that it has no copy before it is told in one line."""
    rough_bed(tmp_path / "rough-bed")
    write(tmp_path / "mat", LEAST, "pair,arm,turn,gold_mg\n1,baseline,1,20\n")
    samedirt("load", "rough-bed")
    shutil.rmtree(tmp_path / "logbook-copies")
    (tmp_path / "logbook-copies").write_text("a file of that name")
    said = samedirt("load", "mat")
    assert said.code == 0 and "mat: new, 1 run." in said.out
    assert said.err == (
        "samedirt: the change is stored; no copy was kept before it (logbook-copies: File exists): "
        "make room, or check the folder\n"
    )
    assert samedirt("logbook", "--check").code == 0
    assert (tmp_path / "logbook-copies").read_text() == "a file of that name"


def opened_elsewhere(path: Path) -> str:
    """What another program is told that opens the file."""
    told, telling = forks().Pipe(duplex=False)
    process = start(may_open, str(path), telling)
    telling.close()
    said: str = told.recv()
    process.join()
    return said


def test_a_copy_gives_up_no_lock(tmp_path: Path) -> None:
    """A process that closes a file gives up its locks on it, so the bytes are read without closing: it stays held."""
    book = Logbook(tmp_path / "logbook.duckdb")
    add(book, "t", run(1))
    with book.writing() as pages:
        assert len(copies_of(book.path)) == 1
        assert "Could not set lock" in opened_elsewhere(book.path)
        assert pages.names() == ["t"]
    assert opened_elsewhere(book.path) == ""


def test_where_bytes_can_not_be_read_rows_are_copied(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A system that lets nobody read a file that is held has copies all the same, as good to go back to."""
    monkeypatch.setattr(connecting, "view_of", lambda _: None)
    book = Logbook(tmp_path / "it's a logbook.duckdb")
    for number in range(1, 4):
        add(book, "t", run(number))
    assert [runs_in(one.path) for one in copies_of(book.path)] == [{1}, {1}, {1, 2}]


def test_a_link_is_the_file_it_leads_to(tmp_path: Path) -> None:
    """Log and copies lie beside the file, so that nothing stored by the one name is missed by the other."""
    real = Logbook(tmp_path / "real" / "logbook.duckdb")
    real.path.parent.mkdir()
    add(real, "t", run(1))
    link = tmp_path / "link.duckdb"
    link.symlink_to(real.path)
    start(leave_log, str(link.resolve()), "t", 2, "").join()
    assert runs_in(real.path) == runs_in(link) == {1, 2}
    add(Logbook(link), "t", run(3))
    assert {one.path.parent for one in copies_of(link)} == {folder_of(real.path)}
    assert sorted(one.name for one in tmp_path.iterdir()) == ["link.duckdb", "real"]


def test_a_log_of_a_file_taken_away_does_no_harm(tmp_path: Path) -> None:
    """A new logbook does not meet the log of the one before; the log is put by."""
    book = Logbook(tmp_path / "logbook.duckdb")
    add(book, "t", run(1))
    start(leave_log, str(book.path), "t", 2, "").join()
    book.path.unlink()
    add(book, "t", run(5))
    assert runs_in(book.path) == {5}
    assert (tmp_path / "logbook.duckdb.wal.left-over").exists()


def test_a_damaged_logbook_is_not_written_on_and_costs_no_copy(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A byte that rots in any block of rows is met before the next change, and no copy with it takes another's place."""
    book = grown(tmp_path, 7)
    whole = book.path.read_bytes()
    write(tmp_path / "mat", LEAST, "pair,arm,turn,gold_mg\n1,baseline,1,20\n")
    refused = 0
    for at in range(3 * 4096 + 500, len(whole), 2 * BLOCK_BYTES):
        book.path.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        kept = [one for one in copies_of(book.path) if not one.is_set_aside]
        assert len(kept) >= 5
        for _ in range(2):
            said = samedirt("load", "mat")
            if said.code == 0:  # a block that nothing is in
                break
            assert said.err.startswith("samedirt: logbook.duckdb is damaged (") and said.err.count("\n") == 1
            assert " copies are in logbook-copies, the newest of " in said.err
            assert said.err.endswith("samedirt logbook --restore newest brings it back\n")
            refused += 1
        if said.code:
            assert [one for one in copies_of(book.path) if one in kept] == kept
            assert samedirt("logbook", "--restore", "newest", "--yes").code == 0
            assert runs_in(book.path) >= {1, 2, 3, 4, 5, 6}
    assert refused


def test_copies_of_a_logbook_that_is_gone_are_not_thinned(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A new logbook of the same name keeps its own five; those of the one before stay, and are told apart."""
    path = grown(tmp_path, 3).path
    path.unlink()
    there = copies_of(path)
    for number in range(1, 8):
        add(Logbook(path), "new", run(number))
    assert [one.number for one in copies_of(path)] == [1, 2, 4, 5, 6, 7, 8]
    assert copies_of(path)[:2] == there and there[0].mark != copies_of(path)[-1].mark
    listed = samedirt("logbook", "--restore").out
    assert listed.count("of another logbook that was here") == 2
    assert samedirt("logbook", "--restore", "newest", "--yes").out.startswith("logbook.duckdb is what copy 8 (")


def test_a_logbook_that_is_not_there_names_its_copies(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Deleted or empty: whoever reads is told of the copies, whoever writes begins anew and is told too."""
    path = grown(tmp_path, 3).path
    copies = (
        "2 copies are in logbook-copies, the newest of 2026-05-03 14:12: "
        "samedirt logbook --restore newest brings it back\n"
    )
    path.write_bytes(b"")
    for words in (("logbook",), ("export", "t"), ("logbook", "--check"), ("verdict", "t")):
        assert samedirt(*words).err == f"samedirt: logbook.duckdb is not a logbook; it was left untouched. {copies}"
    path.unlink()
    for words in (("logbook",), ("export", "t"), ("logbook", "--check"), ("verdict", "t")):
        assert samedirt(*words).err == f"samedirt: no logbook at logbook.duckdb; {copies}"
    assert samedirt("plan", "t", "--pairs", "9", "--no-ask").err.endswith(
        f"samedirt: logbook.duckdb: is not there. {copies}"
    )
    write(tmp_path / "mat", LEAST, "pair,arm,turn,gold_mg\n1,baseline,1,20\n")
    assert samedirt("load", "mat").err == f"samedirt: logbook.duckdb was not there and is begun anew. {copies}"
    assert samedirt("logbook", "--restore", "newest", "--yes").code == 0
    assert runs_in(path) == {1, 2}
