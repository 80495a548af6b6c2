import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import duckdb
import pytest

from tests.folders import LEAST, rough_bed, rough_loaded, write
from tests.forks import Ended, Program
from tests.logbook.writers import grown, runs_in
from trials.files.folder import read_folder
from trials.logbook.attached import CONFIG
from trials.logbook.beside import copies_of
from trials.logbook.check import examine
from trials.logbook.logbook import Logbook

RUNS = "pair,arm,turn,gold_mg\n1,baseline,1,20\n1,changed,2,30\n"
FULL = "samedirt: the disk of {} is full; nothing of this change was stored. Make room and try again\n"


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 16 MB; skipped where none may be mounted."""
    disk = tmp_path / "disk"
    disk.mkdir()
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=16m", "tmpfs", str(disk)], capture_output=True, check=False
    )
    if made.returncode:
        pytest.skip("no small disk may be mounted here; the limit on a file's size stands in for it")
    try:
        yield disk
    finally:
        subprocess.run(["umount", "-l", str(disk)], check=True)


def move(folder: Path, disk: Path) -> Path:
    """Move a logbook and its copies from a folder to a disk."""
    for name in ("logbook.duckdb", "logbook-copies"):
        shutil.move(folder / name, disk / name)
    return disk / "logbook.duckdb"


def fill(disk: Path, left: int) -> Path:
    """Fill a disk up to some bytes."""
    free = os.statvfs(disk)
    filler = disk / "filler"
    with filler.open("wb") as out:
        for _ in range(max(0, free.f_bavail * free.f_frsize - left) // 4096):
            out.write(b"x" * 4096)
    return filler


@pytest.mark.parametrize("left", [0, 4096, 40_000, 120_000, 250_000, 500_000, 1_000_000, 3_000_000])
def test_a_full_disk_takes_nothing_away(
    left: int, samedirt: Callable[..., Any], small_disk: Path, tmp_path: Path
) -> None:
    """Stored or refused in clear lines, whatever room there is; what was there stays, and what was said is so."""
    write(tmp_path / "mat", LEAST, RUNS)
    rough_loaded(samedirt, tmp_path)
    path = move(tmp_path, small_disk)
    before = read_folder(tmp_path / "rough-bed")
    filler = fill(small_disk, left)
    said = samedirt("load", "mat", "--logbook", path)
    lines = said.err.splitlines()
    if said.code:
        assert said.code == 2 and said.err == FULL.format(path) and said.out == ""
    else:
        assert said.out.startswith("mat: new, 2 runs.")
        assert all(line.startswith("samedirt: the change is stored") for line in lines), said
    filler.unlink()
    with Logbook(path).reading() as pages:
        assert pages.names() == (["rough-bed"] if said.code else ["mat", "rough-bed"])
        assert pages.records(["rough-bed"]) == [before]
    assert examine(Logbook(path)).faults == ()
    assert samedirt("load", "mat", "--logbook", path).code == 0
    assert examine(Logbook(path)).faults == ()
    assert not list(small_disk.rglob("*.part"))


def test_a_full_disk_is_told_when_it_is_full(samedirt: Callable[..., Any], small_disk: Path, tmp_path: Path) -> None:
    """With no room at all, a change to a logbook and a new logbook are both refused in the same line."""
    write(tmp_path / "mat", LEAST, RUNS)
    rough_loaded(samedirt, tmp_path)
    path = move(tmp_path, small_disk)
    fill(small_disk, 0)
    for one in (path, small_disk / "new.duckdb"):
        said = samedirt("load", "mat", "--logbook", one)
        assert said.code == 2 and said.err == FULL.format(one)
    assert not (small_disk / "new.duckdb").exists()


def limited(cwd: Path, most: int, *words: str) -> Ended:
    """Run the program where no file may grow past so many bytes."""
    return Program.begun(cwd, *words, out=cwd.with_name("said"), most=most).ended()


@pytest.mark.parametrize("most", [1000, 10_000, 40_000, 200_000, 1_000_000])
def test_a_file_that_may_not_grow_takes_nothing_away(most: int, samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A limit on the size of files is met as a full disk is."""
    write(tmp_path / "mat", LEAST, RUNS)
    rough_loaded(samedirt, tmp_path)
    book = Logbook(tmp_path / "logbook.duckdb")
    before = read_folder(tmp_path / "rough-bed")
    said = limited(tmp_path, most, "load", "mat")
    assert said.returncode in (0, 2) and "Traceback" not in said.stderr
    if said.returncode:
        assert said.stderr == FULL.format("logbook.duckdb")
    else:
        assert said.stdout.startswith("mat: new, 2 runs.")
        assert all(line.startswith("samedirt: the change is stored") for line in said.stderr.splitlines()), said
    with book.reading() as pages:
        assert pages.names() == (["rough-bed"] if said.returncode else ["mat", "rough-bed"])
        assert pages.records(["rough-bed"]) == [before]
    assert examine(book).faults == ()
    assert samedirt("load", "mat").code == 0 and examine(book).faults == ()


def test_no_room_for_a_new_logbook_leaves_none(tmp_path: Path) -> None:
    """What could not be begun is not there, and a later try begins it."""
    rough_bed(tmp_path / "rough-bed")
    said = limited(tmp_path, 1000, "load", "rough-bed")
    assert said.returncode == 2 and said.stderr == FULL.format("logbook.duckdb")
    assert sorted(one.name for one in tmp_path.iterdir()) == ["rough-bed"]


def test_no_room_to_go_back_changes_nothing(tmp_path: Path) -> None:
    """Going back to a copy, or to an export, is refused whole."""
    rough_bed(tmp_path / "rough-bed")
    path = grown(tmp_path, 3).path
    for which in ("1", "rough-bed"):
        said = limited(tmp_path, 100_000, "logbook", "--restore", which, "--yes")
        assert (
            said.returncode == 2 and said.stderr.count("\n") == 1 and "is full; nothing of this change" in said.stderr
        )
    assert runs_in(path) == {1, 2, 3} and examine(Logbook(path)).faults == ()


def test_a_closed_folder_is_read_and_not_written(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A change is refused in one line, and everything that only reads is answered."""
    folder = tmp_path / "closed"
    folder.mkdir()
    grown(folder, 2)
    write(tmp_path / "mat", LEAST, RUNS)
    (folder / "logbook.duckdb").chmod(0o444)
    (folder / "logbook-copies").chmod(0o555)
    folder.chmod(0o555)
    try:
        if os.access(folder, os.W_OK):
            pytest.skip("this person may write to every folder (root)")
        name = "closed/logbook.duckdb"
        refused = f"samedirt: {name} can't be written to; check the folder, or name another file with --logbook\n"
        for words in (("load", "mat"), ("logbook", "--restore", "1", "--yes")):
            said = samedirt(*words, "--logbook", name)
            assert said.code == 2 and said.err == refused
        for words in (("logbook",), ("logbook", "--check"), ("logbook", "--restore")):
            assert samedirt(*words, "--logbook", name).code == 0
    finally:
        folder.chmod(0o755)
        (folder / "logbook-copies").chmod(0o755)


@pytest.fixture
def read_only_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk that can be read alone, with a logbook on it; skipped where none may be mounted."""
    disk = tmp_path / "disk"
    disk.mkdir()
    grown(disk, 2)
    steps = (["mount", "--bind", str(disk), str(disk)], ["mount", "-o", "remount,ro,bind", str(disk)])
    for step in steps:
        if subprocess.run(step, capture_output=True, check=False).returncode:
            subprocess.run(["umount", "-l", str(disk)], capture_output=True, check=False)
            pytest.skip("no disk may be mounted here")
    try:
        yield disk
    finally:
        subprocess.run(["umount", "-l", str(disk)], check=True)


def test_a_read_only_disk_is_read_and_not_written(
    samedirt: Callable[..., Any], read_only_disk: Path, tmp_path: Path
) -> None:
    """A logbook on such a disk is listed and checked; a change to it is refused in one line."""
    write(tmp_path / "mat", LEAST, RUNS)
    path = read_only_disk / "logbook.duckdb"
    refused = f"samedirt: {path} can't be written to; check the folder, or name another file with --logbook\n"
    for words in (("load", "mat"), ("logbook", "--restore", "1", "--yes")):
        said = samedirt(*words, "--logbook", path)
        assert said.code == 2 and said.err == refused
    for words in (("logbook",), ("logbook", "--check"), ("logbook", "--restore")):
        assert samedirt(*words, "--logbook", path).code == 0
    new = samedirt("load", "mat", "--logbook", read_only_disk / "new.duckdb")
    assert new.code == 2 and "new.duckdb can't be written to; check the folder" in new.err


def test_a_path_as_people_write_them(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Spaces and umlauts in the folder and in the name of the logbook do no harm to anything that is kept of it."""
    rough_bed(tmp_path / "rough-bed")
    write(tmp_path / "mat", LEAST, RUNS)
    folder, name = tmp_path / "Mein Ordner ü", "Mein Ordner ü/log buch.duckdb"
    folder.mkdir()
    assert samedirt("load", "rough-bed", "--logbook", name).code == 0
    assert samedirt("load", "mat", "--logbook", name).code == 0
    assert samedirt("verdict", "rough-bed", "--no-chart", "--logbook", name).code == 0
    assert "rough-bed" in samedirt("logbook", "--logbook", name).out
    assert samedirt("logbook", "--check", "--logbook", name).out.startswith(f"{name} is whole: 2 trials, 14 runs.")
    (copy,) = copies_of(tmp_path / name)
    assert samedirt("logbook", "--restore", "--logbook", name).out.startswith(
        f"Copies of {name}, in Mein Ordner ü/log buch-copies:\n"
    )
    assert copy.path.parent == folder / "log buch-copies"
    assert samedirt("logbook", "--restore", "1", "--yes", "--logbook", name).code == 0
    assert samedirt("logbook", "--check", "--logbook", name).out.startswith(f"{name} is whole: 1 trial, 12 runs.")
    assert sorted(one.name for one in folder.iterdir()) == [
        "log buch-copies",
        "log buch.duckdb",
    ]


def checksum(block: bytes) -> int:
    """The checksum of a block: DuckDB's source, common/checksum.cpp, value from memory; the test sees that it fits."""
    result = 5381
    for at in range(0, len(block), 8):
        result ^= (int.from_bytes(block[at : at + 8], "little") * 0xBF58476D1CE4E5B9) & (2**64 - 1)
    return result


@pytest.mark.parametrize("version", [70, 999, 2000])
def test_a_file_of_a_newer_store_is_left_untouched(version: int, samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A file that a later DuckDB wrote is said to be newer, whatever is asked, and keeps its bytes and its copies."""
    rough_bed(tmp_path / "rough-bed")
    path = grown(tmp_path, 2).path
    content = bytearray(path.read_bytes())
    assert checksum(content[8:4096]) == int.from_bytes(content[:8], "little")
    content[12:20] = version.to_bytes(8, "little")
    content[:8] = checksum(content[8:4096]).to_bytes(8, "little")
    path.write_bytes(content)
    with pytest.raises(duckdb.Error):
        duckdb.connect(str(path), config=CONFIG)
    for words in (
        ("load", "rough-bed"),
        ("logbook",),
        ("logbook", "--check"),
        ("logbook", "--restore", "1"),
        ("logbook", "--restore", "rough-bed"),
    ):
        said = samedirt(*words)
        assert said.code == 2, words
        assert said.err == (
            "samedirt: logbook.duckdb was written by a newer version; it was left untouched. Update samedirt\n"
        )
    assert path.read_bytes() == content and len(copies_of(path)) == 1
