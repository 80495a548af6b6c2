import json
import os
import random
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from tests.folders import ROUGH_TRIAL, rough_bed, rough_runs, write
from tests.logbook.writers import add, killed_at, run, runs_in
from trials.logbook.check import check
from trials.logbook.counted import digest_of, made_runs
from trials.logbook.logbook import Logbook
from trials.logbook.notices import shown_time
from trials.logbook.tally import Entry, append, entries_of, file_of, last_entry, lost

AT = datetime(2026, 5, 3, 14, 12, 7, 123456)


def stored(number: int, *, trial: str = "t", runs: int = 0, second: int = 0, logbook: str = "a") -> Entry:
    """A change in the tally."""
    at = AT.replace(second=second or number)
    return Entry("stored", number, at, trial, runs or number, f"d{number}-{at.second}", logbook)


def back(number: int, logbook: str = "a") -> Entry:
    """Going back, in the tally."""
    return Entry("restored", number, AT, "-", 0, "-", logbook)


LOSSES: dict[str, tuple[list[Entry], int, list[str]]] = {
    "all there": ([stored(1), stored(2)], 2, []),
    "killed before the tally was written": ([stored(1)], 2, []),
    "the last one lost": ([stored(1), stored(2)], 1, ["d2-2"]),
    "all lost": ([stored(1), stored(2)], 0, ["d1-1", "d2-2"]),
    "lost, and others stored since": ([stored(1), stored(2), stored(3), stored(2, second=9)], 2, ["d2-2", "d3-3"]),
    "one change of two trials": ([stored(1), stored(1, trial="u")], 1, []),
    "one change of two trials lost": ([stored(1), stored(1, trial="u")], 0, ["d1-1", "d1-1"]),
    "gone back on purpose": ([stored(1), stored(2), stored(3), back(1)], 1, []),
    "gone back, and on from there": ([stored(1), stored(2), stored(3), back(1), stored(2, second=9)], 2, []),
    "gone back, and lost from there": ([stored(1), stored(2), back(1), stored(2, second=9)], 1, ["d2-9"]),
    "gone back after a loss": ([stored(1), stored(2), back(1)], 1, []),
    "another logbook before it": ([stored(5, logbook="b"), stored(1)], 1, []),
    "some changes never tallied": ([stored(1), stored(4)], 6, []),
}


@pytest.mark.parametrize(("entries", "last", "gone"), LOSSES.values(), ids=list(LOSSES))
def test_what_the_tally_has_and_the_logbook_has_not(entries: list[Entry], last: int, gone: list[str]) -> None:
    """Numbers past the last, or used again; never what was left behind on purpose or never tallied."""
    assert [entry.digest for entry in lost(entries, "a", last)] == gone


def test_the_tally_is_lines_a_person_can_read(tmp_path: Path) -> None:
    """A heading, then a line a change and trial: number, moment, trial, runs made, digest, when the logbook began."""
    book = Logbook(tmp_path / "logbook.duckdb", clock=lambda: AT)
    add(book, "t", run(1))
    add(book, "t", run(2))
    heading, *lines = file_of(book.path).read_text(encoding="utf-8").splitlines()
    assert heading.startswith("# Every change stored in the logbook beside this file")
    rows = [line.split("\t") for line in lines]
    assert [row[:5] for row in rows] == [
        ["stored", str(number), "2026-05-03T14:12:07.123456", "t", str(number)] for number in (1, 2)
    ]
    assert rows[0][6] == rows[1][6] and rows[0][5] != rows[1][5]


def test_a_line_that_was_cut_off_is_passed_over(tmp_path: Path) -> None:
    """Killed while it writes a line, the tally takes the next one on a line of its own."""
    path = tmp_path / "logbook.duckdb"
    append(path, [stored(1), stored(2)])
    whole = file_of(path).read_bytes()
    for kept in range(whole.index(b"\n") + 1, len(whole)):
        file_of(path).write_bytes(whole[:kept])
        append(path, [stored(3)])
        entries = entries_of(path)
        assert entries is not None and entries[-1] == last_entry(path) == stored(3)
        assert entries[:-1] == [stored(1), stored(2)][: len(entries) - 1]
        assert len(entries) == 1 + whole[:kept].count(b"\t.")


def test_the_last_line_of_a_long_tally_is_found(tmp_path: Path) -> None:
    """Only the end of the file is read."""
    path = tmp_path / "logbook.duckdb"
    assert last_entry(path) is None and entries_of(path) is None
    append(path, [stored(number) for number in range(1, 60)])
    for _ in range(6):
        append(path, [stored(number, second=59) for number in range(1, 60)])
    assert file_of(path).stat().st_size > 20_000
    assert last_entry(path) == stored(59)


def test_planned_runs_are_not_counted_as_made() -> None:
    """A run with nothing but its place in the plan was not made; one class of one is enough that it was."""
    planned: dict[str, Any] = {"trial": "t", "pair": 1, "arm": "baseline", "turn": 1, "tag": "HTK", "typed": "{}"}
    planned |= {"gold_mg": None, "note": None}
    assert made_runs({"runs": [planned], "size_classes": []}) == 0
    assert made_runs({"runs": [planned | {"gold_mg": 0.0}]}) == 1
    assert made_runs({"runs": [planned], "size_classes": [{"pair": 1, "arm": "baseline"}]}) == 1
    assert digest_of({"runs": [planned]}) != digest_of({"runs": [planned | {"gold_mg": 0.0}]})


@pytest.fixture
def with_log(tmp_path: Path) -> Logbook:
    """Five runs of a trial, the last two of them in a log that no checkpoint has seen, and a copy with the first two."""
    book = Logbook(tmp_path / "logbook.duckdb")
    for number in (1, 2, 3):
        add(book, "t", run(number))
    killed_at("settle", book.path, "t", 4)
    assert runs_in(book.path) == {1, 2, 3, 4}
    return book


def log_of(book: Logbook) -> Path:
    """The write-ahead log."""
    return book.path.with_name("logbook.duckdb.wal")


def _delete(log: Path) -> None:
    log.unlink()


def _empty(log: Path) -> None:
    log.write_bytes(b"")


def _cut(log: Path) -> None:
    os.truncate(log, log.stat().st_size // 2)


@pytest.mark.parametrize("damage", [_delete, _empty, _cut])
def test_rows_lost_with_a_log_are_told(
    damage: Callable[[Path], None], samedirt: Callable[..., Any], with_log: Logbook
) -> None:
    """The store says nothing; the tally does: which trial, how many runs, stored when, and what to do."""
    assert samedirt("logbook", "--check").code == 0
    when = shown_time((entries_of(with_log.path) or [])[-1].at)
    damage(log_of(with_log))
    said = samedirt("logbook", "--check")
    assert said.code == 1 and said.err == ""
    assert said.out == (
        f"logbook.duckdb, t: 1 run of 4, stored {when}, is not there; "
        "no copy has it: load it again, or delete logbook.duckdb.tally to let it be\n"
    )
    told = json.loads(samedirt("logbook", "--check", "--json").out)
    assert not told["whole"] and told["changes"] == 3 and len(told["faults"]) == 1
    assert told["faults"][0]["place"] == "logbook.duckdb, t"
    assert told["faults"][0]["what"] == f"1 run of 4, stored {when}, is not there"
    assert runs_in(with_log.path) == {1, 2, 3}


def test_a_log_that_rots_is_told_or_does_no_harm(
    samedirt: Callable[..., Any], with_log: Logbook, sized: Callable[[int], int]
) -> None:
    """Whatever bit of a log rots: damage, or what is missing, or every run is there."""
    rng, whole, file = random.Random(20260507), log_of(with_log).read_bytes(), with_log.path.read_bytes()  # noqa: S311 - a seeded choice of bytes
    told = 0
    for at in rng.sample(range(len(whole)), sized(60)):
        log_of(with_log).write_bytes(whole[:at] + bytes([whole[at] ^ (1 << rng.randrange(8))]) + whole[at + 1 :])
        said = samedirt("logbook", "--check")
        if said.code == 0:
            assert runs_in(with_log.path) == {1, 2, 3, 4}
            continue
        told += 1
        assert said.code == 1 and said.err == "" and said.out.count("\n") == 1, said
        assert "t: 1 run of 4, stored" in said.out or (
            said.out.startswith("logbook.duckdb: is damaged (")
            and said.out.endswith("; keep it, and go back to a copy or an export: samedirt logbook --restore\n")
        )
        assert with_log.path.read_bytes() == file
    assert told


def test_a_reading_says_that_changes_are_missing(samedirt: Callable[..., Any], with_log: Logbook) -> None:
    """Whoever reads a logbook that lost something is told so beside the answer, until it is mended."""
    when = shown_time((entries_of(with_log.path) or [])[-1].at)
    log_of(with_log).unlink()
    line = (
        f"samedirt: logbook.duckdb has lost its newest changes: 4 were stored, the last on {when}, and 3 are there; "
        "samedirt logbook --check says which\n"
    )
    assert samedirt("export", "t").err == line
    assert samedirt("logbook").err == line
    add(with_log, "t", run(4))
    assert samedirt("--version").err.count(" has lost its newest changes: ") == 1, "who writes is told too"
    assert samedirt("logbook").err == ""
    assert samedirt("logbook", "--check").code == 0


def test_a_loss_is_mended_by_as_many_runs(samedirt: Callable[..., Any], with_log: Logbook) -> None:
    """The tally counts runs and does not name them: who stores another in place of the lost one was told before it."""
    log_of(with_log).unlink()
    add(with_log, "other", run(1))
    assert samedirt("logbook", "--check").code == 1
    add(with_log, "t", run(7))
    assert samedirt("logbook", "--check").code == 0


def test_a_loss_is_told_until_as_many_runs_are_there(samedirt: Callable[..., Any], with_log: Logbook) -> None:
    """Another trial stored since does not mend the one that lost a run."""
    log_of(with_log).unlink()
    add(with_log, "other", run(1))
    add(with_log, "other", run(2))
    assert "t: 1 run of 4, stored" in samedirt("logbook", "--check").out
    add(with_log, "t", run(4))
    assert samedirt("logbook", "--check").code == 0


def test_a_whole_trial_lost_with_a_log_is_told(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A trial that was all in the log is missed by its name."""
    book = Logbook(tmp_path / "logbook.duckdb")
    add(book, "t", run(1))
    killed_at("settle", book.path, "u", 1)
    log_of(book).unlink()
    said = samedirt("logbook", "--check")
    assert said.code == 1 and "logbook.duckdb, u: the trial with its 1 run, stored " in said.out
    assert said.out.count("\n") == 1


def test_a_lost_correction_is_told(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """As many runs as before, and yet not what was stored last."""
    book = Logbook(tmp_path / "logbook.duckdb")
    add(book, "t", run(1))
    add(book, "t", run(2))
    early = book.path.read_bytes()
    add(book, "t", run(1, 5.0))
    book.path.write_bytes(early)
    said = samedirt("logbook", "--check")
    assert said.code == 1 and "logbook.duckdb, t: a change stored " in said.out and " is not there; " in said.out


def test_the_copy_that_has_what_was_lost_is_named(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A logbook that is older than its copies, as when a file is put back by hand, is sent to the copy that has more."""
    book = Logbook(tmp_path / "logbook.duckdb")
    add(book, "t", run(1))
    early = book.path.read_bytes()
    for number in (2, 3, 4):
        add(book, "t", run(number))
    with book.writing() as pages:  # a copy of all four
        pages.names()
    book.path.write_bytes(early)
    said = samedirt("logbook", "--check")
    assert said.code == 1
    assert said.out.startswith("logbook.duckdb, t: 3 runs of 4, stored ")
    assert said.out.endswith(" are not there; copy 4 has all of it: samedirt logbook --restore 4\n")
    assert samedirt("logbook", "--restore", "4").code == 0
    assert runs_in(book.path) == {1, 2, 3, 4} and samedirt("logbook", "--check").code == 0


def test_a_first_change_lost_with_its_log_is_told(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A logbook whose very tables were in the log is begun anew, and not silently."""
    book = Logbook(tmp_path / "logbook.duckdb")
    killed_at("settle", book.path, "t", 1)
    log_of(book).unlink()
    said = samedirt("logbook")
    assert "logbook.duckdb.tally belongs to an earlier logbook (1 change, the last on " in said.err
    assert "samedirt logbook --restore lists the copies of that one" in said.err
    checked = samedirt("logbook", "--check")
    assert checked.code == 1
    assert "logbook.duckdb.tally: belongs to an earlier logbook (1 change, the last on " in checked.out
    assert checked.out.endswith("; samedirt logbook --restore lists the copies of that one; or delete it\n")


def test_killed_before_the_tally_nothing_is_cried(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A change that is stored and not yet in the tally is no loss, then or after the next change."""
    book = Logbook(tmp_path / "logbook.duckdb")
    add(book, "t", run(1))
    killed_at("append", book.path, "t", 2)
    assert runs_in(book.path) == {1, 2}
    said = samedirt("logbook", "--check")
    assert said.code == 0 and said.err == ""
    words = " ".join(said.out.split())
    assert "All 2 stored changes are there; logbook.duckdb.tally has 1 of them, which is no loss." in words
    assert "The last change is still in logbook.duckdb.wal: keep both together." in words
    add(book, "t", run(3))
    said = samedirt("logbook", "--check")
    assert said.code == 0 and "has 2 of them" in " ".join(said.out.split())


def test_no_tally_is_no_damage(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A tally that was deleted is said to be not there, and begins again with the next change."""
    book = Logbook(tmp_path / "logbook.duckdb")
    add(book, "t", run(1))
    add(book, "t", run(2))
    file_of(book.path).unlink()
    said = samedirt("logbook", "--check")
    assert said.code == 0 and said.err == ""
    assert (
        "All 2 stored changes are there by its own tally; there is no logbook.duckdb.tally to compare with, "
        "and the next change begins one." in " ".join(said.out.split())
    )
    assert json.loads(samedirt("logbook", "--check", "--json").out)["changes_in_tally"] is None
    add(book, "t", run(3))
    assert "has 1 of them, which is no loss" in " ".join(samedirt("logbook", "--check").out.split())


def test_a_tally_that_can_not_be_written_is_told(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """The change is stored; that the tally beside it is not is one line."""
    rough_bed(tmp_path / "rough-bed")
    (tmp_path / "logbook.duckdb.tally").mkdir()
    said = samedirt("load", "rough-bed")
    assert said.code == 0 and "rough-bed: new, 12 runs." in said.out
    assert (
        said.err
        == "samedirt: the change is stored; the tally logbook.duckdb.tally can't be written to (Is a directory)\n"
    )
    assert samedirt("logbook", "--check").code == 0


def test_another_logbook_in_its_place_is_told(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A tally that is not of this logbook is not compared with it, and is not kept silent about."""
    book, other = Logbook(tmp_path / "logbook.duckdb"), Logbook(tmp_path / "other.duckdb")
    add(book, "t", run(1))
    add(other, "u", run(1))
    other.path.replace(book.path)
    said = samedirt("logbook", "--check")
    assert said.code == 1 and "logbook.duckdb.tally: belongs to an earlier logbook (1 change" in said.out
    add(book, "u", run(2))
    assert samedirt("logbook", "--check").code == 0


def test_what_loading_stores_is_tallied(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """New runs, corrections and changes to several trials at once: one number a change, runs that were made."""
    rough_bed(tmp_path / "all" / "rough-bed")
    planned = rough_runs().splitlines()[0] + "\n1,baseline,1,HTK\n".replace("HTK", "HTK,,,,,,,,")
    write(tmp_path / "all" / "planned", ROUGH_TRIAL.replace("rough-bed", "planned"), planned)
    assert samedirt("load", "all").code == 0
    write(tmp_path / "all" / "rough-bed", ROUGH_TRIAL, rough_runs().replace(",31,", ",30,"))
    assert samedirt("load", "all", "--why", "counted again").code == 0
    entries = entries_of(tmp_path / "logbook.duckdb") or []
    assert [(entry.number, entry.trial, entry.runs) for entry in entries] == [
        (1, "planned", 0),
        (1, "rough-bed", 12),
        (2, "rough-bed", 12),
    ]
    assert check(Logbook(tmp_path / "logbook.duckdb")).faults == ()
