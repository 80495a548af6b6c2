"""Pictures: kept by their path and digest, told when they are gone or changed, in the report and the history."""

import hashlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from schemas import Photo
from tests.commands.typed_in import BOOK, flat, half_done, plan_of, planned, read, tags_of
from trials.files.pictures import photo_problems

Door = Callable[..., Any]


def picture(path: Path, content: bytes = b"\xff\xd8 a bed, sanded") -> Path:
    """A picture, for all that the program looks at."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    return path


def test_a_picture_is_kept_by_its_way_from_the_logbook_and_its_digest(samedirt: Door, tmp_path: Path) -> None:
    """With the run it belongs to; the picture itself stays where it is."""
    tag = tags_of(planned(tmp_path))[0]
    path = picture(tmp_path / "pics" / "Bett Größe 1.jpg")
    said = samedirt("enter", "rough-bed", tag.lower(), "--photo", "pics/Bett Größe 1.jpg", "--shows", "bed")
    assert flat(said.out) == f"pics/Bett Größe 1.jpg (bed of {tag}) is attached to rough-bed. Leave it where it is."
    assert read(tmp_path).trial.photos == (
        Photo(path="pics/Bett Größe 1.jpg", what="bed", tag=tag, sha256=hashlib.sha256(path.read_bytes()).hexdigest()),
    )


def test_the_way_is_told_from_the_logbook_wherever_it_is_typed(
    samedirt: Door, tmp_path: Path, monkeypatch: Any
) -> None:
    """From another folder, and with an absolute path."""
    planned(tmp_path)
    picture(tmp_path / "pics" / "a.jpg")
    away = tmp_path / "away"
    away.mkdir()
    monkeypatch.chdir(away)
    assert samedirt("enter", "rough-bed", "--photo", "../pics/a.jpg", "--logbook", f"../{BOOK}").code == 0
    picture(tmp_path / "b.jpg")
    assert samedirt("enter", "rough-bed", "--photo", tmp_path / "b.jpg", "--logbook", f"../{BOOK}").code == 0
    assert [photo.path for photo in read(tmp_path).trial.photos] == ["pics/a.jpg", "b.jpg"]


def test_all_that_is_wrong_with_a_picture_is_told_at_once(samedirt: Door, tmp_path: Path) -> None:
    """No file, a folder, nothing that it may show, a tag that is none."""
    planned(tmp_path)
    said = samedirt("enter", "rough-bed", "QQQ", "--photo", "nope.jpg", "--shows", "cat")
    assert said.code == 2 and len(said.err.splitlines()) == 3
    assert "cat is not known here; write one of: sheet, bed, gold, tails, scale" in said.err
    assert "nope.jpg: is not a file" in said.err and "tag QQQ" in said.err
    assert "is not a file" in samedirt("enter", "rough-bed", "--photo", ".").err
    assert read(tmp_path).trial.photos == ()


def test_a_picture_that_went_or_changed_is_told(samedirt: Door, tmp_path: Path) -> None:
    """By check and in the report; attached anew it is well again."""
    names = ("a.jpg", "b.jpg", "c.jpg")
    made = [picture(tmp_path / name, name.encode()).read_bytes() for name in names]
    digests = [hashlib.sha256(content).hexdigest() for content in made]
    photos = tuple(Photo(path=name, what="gold", sha256=digest) for name, digest in zip(names, digests, strict=True))
    half_done(tmp_path, 6, plan_of(spares=1, photos=photos))
    assert "Picture" not in samedirt("check", "rough-bed").out
    (tmp_path / "a.jpg").unlink()
    picture(tmp_path / "b.jpg", b"retouched")
    check = flat(samedirt("check", "rough-bed").out)
    assert "Picture a.jpg: the picture (gold) is missing; put it back where it was." in check
    assert "Picture b.jpg: the picture (gold) is not the one attached" in check and "c.jpg" not in check
    whole = samedirt("logbook", "--check")
    assert whole.code == 1 and "rough-bed, a.jpg: the picture (gold) is missing; put it back where it was" in whole.out
    samedirt("report", "rough-bed")
    page = (tmp_path / "report-rough-bed.html").read_text(encoding="utf-8")
    assert "<h2>Pictures</h2>" in page and hashlib.sha256(b"c.jpg").hexdigest()[:12] in page
    assert page.count("as attached") == 1 and "is missing; put it back" in page
    again = samedirt("enter", "rough-bed", "--photo", "b.jpg", "--shows", "gold")
    assert "attached to rough-bed anew" in again.out
    assert [photo.path for photo in read(tmp_path).trial.photos] == ["a.jpg", "c.jpg", "b.jpg"]
    assert (
        "is attached already, just as it is"
        in samedirt("enter", "rough-bed", "--photo", "b.jpg", "--shows", "gold").err
    )


def test_pictures_are_in_the_history_with_their_moment(samedirt: Door, tmp_path: Path) -> None:
    """And do not count as values corrected."""
    tag = tags_of(half_done(tmp_path, 6))[0]
    picture(tmp_path / "a.jpg")
    samedirt("enter", "rough-bed", tag, "--photo", "a.jpg")
    assert f"picture: sheet: a.jpg of {tag}, attached" in samedirt("logbook", "rough-bed", "--history").out
    assert "Values corrected" not in samedirt("verdict", "rough-bed", "--no-chart").out


def test_pictures_stay_when_a_folder_without_them_is_loaded(samedirt: Door, tmp_path: Path) -> None:
    """A folder exported before they were attached, its lot weighed again; new ones in a folder are added."""
    half_done(tmp_path, 6)
    samedirt("export", "rough-bed", "--to", "out")
    picture(tmp_path / "a.jpg")
    samedirt("enter", "rough-bed", "--photo", "a.jpg")
    plan = tmp_path / "out" / "trial.toml"
    plan.write_text(plan.read_text().replace("7.5 kg", "7.6 kg"))
    assert samedirt("load", "out", "--why", "weighed again").code == 0
    assert [photo.path for photo in read(tmp_path).trial.photos] == ["a.jpg"]
    more = f'\n[[photo]]\npath = "b.jpg"\nwhat = "tails"\nsha256 = "{"0" * 64}"\n'
    plan.write_text(plan.read_text() + more)
    assert "1 blank filled" in samedirt("load", "out").out
    assert [photo.path for photo in read(tmp_path).trial.photos] == ["a.jpg", "b.jpg"]


def test_pictures_go_out_with_an_export_and_come_back(samedirt: Door, tmp_path: Path) -> None:
    """Their paths and digests, in every form that loads."""
    tag = tags_of(planned(tmp_path))[0]
    picture(tmp_path / "a.jpg")
    samedirt("enter", "rough-bed", tag, "--photo", "a.jpg", "--shows", "scale")
    samedirt("export", "rough-bed", "--to", "out")
    samedirt("load", "out", "--logbook", "fresh.duckdb")
    samedirt("export", "rough-bed", "--to", "again", "--logbook", "fresh.duckdb")
    assert (tmp_path / "again" / "trial.toml").read_text() == (tmp_path / "out" / "trial.toml").read_text()
    assert 'what = "scale"' in (tmp_path / "out" / "trial.toml").read_text()


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="who may read everything can't be locked out")
def test_a_picture_that_may_not_be_read_is_told(samedirt: Door, tmp_path: Path) -> None:
    """One line, whoever owns it."""
    planned(tmp_path)
    picture(tmp_path / "a.jpg").chmod(0)
    assert "can't be read" in samedirt("enter", "rough-bed", "--photo", "a.jpg").err


def test_problems_of_pictures_are_there_for_whoever_asks(samedirt: Door, tmp_path: Path) -> None:
    """`photo_problems` takes a record and the logbook's path."""
    planned(tmp_path)
    picture(tmp_path / "a.jpg")
    samedirt("enter", "rough-bed", "--photo", "a.jpg")
    assert photo_problems(read(tmp_path), tmp_path / BOOK) == []
    (tmp_path / "a.jpg").rename(tmp_path / "b.jpg")
    assert [problem.place for problem in photo_problems(read(tmp_path), tmp_path / BOOK)] == ["a.jpg"]


def test_a_huge_picture_is_read_in_pieces(samedirt: Door, tmp_path: Path) -> None:
    """Its digest is that of a plain reader."""
    planned(tmp_path)
    path = tmp_path / "film.mov"
    with path.open("wb") as file:
        file.truncate(50_000_000)
    assert samedirt("enter", "rough-bed", "--photo", "film.mov").code == 0
    assert read(tmp_path).trial.photos[0].sha256 == hashlib.sha256(bytes(50_000_000)).hexdigest()
