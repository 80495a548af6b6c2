"""What is written never takes the place of what is not of its kind, and is there whole or not at all."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.folders import rough_loaded
from tests.tables import every
from trials.charts.files import SUFFIXES
from trials.errors import Refused
from trials.files import whole
from trials.files.whole import KINDS, write_all, write_whole

Door = Callable[..., Any]


@pytest.fixture
def loaded(samedirt: Door, tmp_path: Path) -> Door:
    """A logbook with one trial, and beside it a second name for its bytes, a person's own page and a pipe."""
    rough_loaded(samedirt, tmp_path)
    for name in ("l.duckdb", "l.html", "l.png"):
        (tmp_path / name).write_bytes((tmp_path / "logbook.duckdb").read_bytes())
    (tmp_path / "mine.html").write_text("<!DOCTYPE html>\n<p>What I know of the creek.")
    (tmp_path / "photo.png").write_bytes(b"\x89PNG\r\n\x1a\n of the bed")
    (tmp_path / "drawing.svg").write_text('<svg xmlns="http://www.w3.org/2000/svg"/>')
    (tmp_path / "runs.csv").write_text("pair,arm\n1,baseline\n")
    (tmp_path / "folder.html").mkdir()
    os.mkfifo(tmp_path / "pipe.html")
    (tmp_path / "loop.html").symlink_to("loop.html")
    (tmp_path / "to-the-logbook.html").symlink_to("logbook.duckdb")
    return samedirt


ENDING = "an HTML page would be written there; end the name in .html"
FOREIGN = "is there already, and is not an HTML page that samedirt wrote; name another, or move it away"


@every(
    ("command", "flag", "target", "says"),
    [
        ("report", "--to", "l.duckdb", ENDING),
        ("report", "--to", "logbook.duckdb", ENDING),
        ("report", "--to", "runs.csv", ENDING),
        ("report", "--to", "new.txt", ENDING),
        ("report", "--to", "l.html", FOREIGN),
        ("report", "--to", "to-the-logbook.html", FOREIGN),
        ("report", "--to", "mine.html", FOREIGN),
        ("report", "--to", "folder.html", "is a folder; name a file in it, or another"),
        ("report", "--to", "pipe.html", "is no plain file; name another"),
        ("report", "--to", "loop.html", "can't be written (Too many levels of symbolic links); name another with --to"),
        ("verdict", "--chart", "l.duckdb", "end the name in .html, .svg or .png"),
        ("verdict", "--chart", "mine.html", FOREIGN),
        ("verdict", "--chart", "l.png", "is not a PNG picture that samedirt wrote"),
        ("verdict", "--chart", "photo.png", "is not a PNG picture that samedirt wrote"),
        ("verdict", "--chart", "drawing.svg", "is not an SVG drawing that samedirt wrote"),
        ("sheet", "--spreadsheet", "runs.csv", "is there already"),
        ("sheet", "--spreadsheet", "l.duckdb", "is neither .xlsx nor .csv"),
    ],
)
def test_nothing_else_is_written_over(
    command: str, flag: str, target: str, says: str, loaded: Door, tmp_path: Path
) -> None:
    """A logbook by whatever name, a person's own page, photograph or table: refused in one line, every byte stays."""
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    said = loaded(command, "rough-bed", flag, target)
    assert said.code == 2 and said.err.startswith("samedirt: ") and said.err.count("\n") == 1, said.err
    assert target in said.err and says in said.err
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == before


def test_our_own_are_written_again(loaded: Door, tmp_path: Path) -> None:
    """Report, papers and charts of every form; an equal file is not touched."""
    calls = [("report", "rough-bed", "--to", "Sent.HTML"), ("sheet", "rough-bed")]
    calls += [("verdict", "rough-bed", "--chart", f"chart{ending}") for ending in SUFFIXES]
    calls += [("export", "rough-bed", "--as", form, "--to", form) for form in ("json", "parquet")]
    for words in calls:
        assert loaded(*words).code == 0, words
    write_whole(
        tmp_path / "chart.html", (tmp_path / "chart.html").read_bytes() + b"\n"
    )  # told to be ours, so it may give way
    calls.remove(("verdict", "rough-bed", "--chart", "chart.html"))
    stood = (tmp_path / "chart.png").stat().st_mtime_ns
    (tmp_path / "chart.svg").write_bytes((tmp_path / "chart.svg").read_bytes() + b"\n")
    for words in calls:
        assert loaded(*words).code == 0, words
    assert (tmp_path / "chart.png").stat().st_mtime_ns == stood
    assert not (tmp_path / "chart.svg").read_bytes().endswith(b"\n\n")
    assert not list(tmp_path.rglob("*.part"))


def test_pages_of_the_first_version_are_known_as_ours(tmp_path: Path) -> None:
    """Their heads as 0.1.0 wrote them: chart, report and paper."""
    utf8 = '<meta charset="utf-8">\n<meta name="viewport" content="width=device-width, initial-scale=1">\n'
    no_script = (
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">"
    )
    heads = (
        no_script,
        '<meta name="color-scheme" content="light dark">\n<title>mat: Better',
        "<title>Tags: mat</title>\n<style>\n@page { size: landscape",
    )
    for head in heads:
        path = tmp_path / "page.html"
        path.write_text(f'<!DOCTYPE html>\n<html lang="en">\n<head>\n{utf8}{head}')
        write_whole(path, "<!doctype html>new")
        assert path.read_text() == "<!doctype html>new"
        path.unlink()


def test_several_files_are_written_all_or_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """All parts lie on the disk before the first takes its place; what goes wrong till then changes nothing."""
    one, two = tmp_path / "one.csv", tmp_path / "two.csv"
    seen = []
    write_all({one: "1", two: "2"}, settle=lambda: seen.extend(sorted(path.suffix for path in tmp_path.iterdir())))
    assert seen == [".part", ".part"] and (one.read_text(), two.read_text()) == ("1", "2")

    def full(_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(whole.os, "fsync", full)
        with pytest.raises(OSError, match="No space"):
            write_all({one: "3", two: "4"}, over=True)
    with pytest.raises(Refused, match=r"two\.csv: is there already"):
        write_all({tmp_path / "three.csv": "3", two: "4"})
    with pytest.raises(KeyError):
        write_all({one: "3", two: "4"}, over=True, settle=lambda: {}["stopped"])
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {"one.csv": "1", "two.csv": "2"}


def test_what_a_killed_program_left_is_taken_away(tmp_path: Path) -> None:
    """After an hour, by the next that writes the same file."""
    left = tmp_path / ".note.txt.1.part"
    left.write_text("half")
    write_whole(tmp_path / "note.txt", "one")
    assert left.exists()
    os.utime(left, (0, 0))
    write_whole(tmp_path / "note.txt", "two", over=True)
    assert [path.name for path in tmp_path.iterdir()] == ["note.txt"]


def test_every_kind_is_told_by_how_it_begins() -> None:
    """No content is of two kinds, and each has an ending of its own but the draft, which begins as no plan does."""
    begins = [kind.begins for kind in KINDS]
    assert all(not one.startswith(other) for one in begins for other in begins if one is not other)
    assert len({kind.ending for kind in KINDS}) == len(KINDS)
