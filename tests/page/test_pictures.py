"""Pictures handed in at the page: kept beside the logbook as the command keeps them, and never any other file."""

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from schemas import Photo
from tests.commands.typed_in import flat, planned, read, stored, tags_of
from tests.page.test_runs import comparable
from tests.page.visitor import OWN, Visitor, hidden_of, words_of

JPEG = b"\xff\xd8\xff\xe0 a sheet"


@pytest.fixture
def visitor(tmp_path: Path) -> Visitor:
    """Someone at the page of a logbook with a plan."""
    planned(tmp_path)
    return Visitor(tmp_path / "logbook.duckdb")


def attached(visitor: Visitor, name: str, content: bytes, **fields: str) -> Any:
    """Hand a picture in under a name, as a browser does."""
    path = "/trial/rough-bed/attach"
    form = hidden_of(visitor.get(path)) | fields
    return visitor.ask("POST", path, data=form, files={"picture": (name, content)}, headers={"origin": OWN})


def test_a_picture_is_attached_as_by_the_command(
    visitor: Visitor, samedirt: Callable[..., Any], tmp_path: Path
) -> None:
    """Kept beside the logbook under a name of ours, seen as it was; the same picture twice is told."""
    tag = tags_of(read(tmp_path))[0]
    said = words_of(visitor.follow(attached(visitor, "../../IMG 1.jpg", JPEG, shows="bed", tag=tag)))
    digest = hashlib.sha256(JPEG).hexdigest()
    kept = f"rough-bed-pictures/{tag}-bed-{digest[:8]}.jpg"
    assert f"{kept} (bed of {tag}) is attached to rough-bed" in said and (tmp_path / kept).read_bytes() == JPEG
    seen = visitor.get(f"/trial/rough-bed/picture/{digest}")
    assert seen.content == JPEG and seen.headers["content-type"] == "image/jpeg"
    assert f"/picture/{digest}" in visitor.get("/trial/rough-bed").text
    assert "attached already" in words_of(attached(visitor, "again.jpg", JPEG, shows="bed", tag=tag))
    (tmp_path / "there").mkdir()
    planned(tmp_path / "there")
    (tmp_path / "there" / "rough-bed-pictures").mkdir()
    (tmp_path / "there" / kept).write_bytes(JPEG)
    book = ("--logbook", tmp_path / "there" / "logbook.duckdb")
    by_hand = samedirt("enter", "rough-bed", tag, "--photo", tmp_path / "there" / kept, "--shows", "bed", *book)
    assert flat(by_hand.out) in said
    assert comparable(read(tmp_path)) == comparable(read(tmp_path / "there"))


def test_what_is_no_picture_is_refused(visitor: Visitor, tmp_path: Path) -> None:
    """With what to hand in, and nothing is kept of it."""
    png = b"\x89PNG\r\n\x1a\n"
    for name, content, shows, tag, says in (
        ("x.jpg", b"<svg onload='alert(1)'>", "sheet", "", "x.jpg: is no picture that is kept here; hand in a JPEG"),
        ("", b"", "sheet", "", "No picture was handed in"),
        ("x.png", png, "fish", "", "fish is not known here; write one of: sheet"),
        ("x.png", png, "bed", "ZZZ", "Z is not a letter of our tags"),
    ):
        refused = attached(visitor, name, content, shows=shows, tag=tag)
        assert refused.status_code == 422 and says in words_of(refused), words_of(refused)
    assert not (tmp_path / "rough-bed-pictures").exists() and not read(tmp_path).trial.photos


def test_no_other_file_is_shown(visitor: Visitor, tmp_path: Path) -> None:
    """Neither one outside the folder of the logbook, nor one that is no picture, nor one that was changed since."""
    record = read(tmp_path)
    outside = tmp_path.parent / f"{tmp_path.name}-outside.jpg"
    outside.write_bytes(JPEG)
    (tmp_path / "words.jpg").write_bytes(b"secret")
    (tmp_path / "changed.jpg").write_bytes(JPEG + b"!")
    photos = [
        Photo(path=path, what="bed", sha256=hashlib.sha256(content).hexdigest())
        for path, content in (
            (f"../{outside.name}", JPEG),
            ("words.jpg", b"secret"),
            ("changed.jpg", JPEG + b"?"),
            ("gone.jpg", b"gone"),
        )
    ]
    stored(tmp_path, record.model_copy(update={"trial": record.trial.model_copy(update={"photos": tuple(photos)})}))
    for photo in photos:
        told = visitor.get(f"/trial/rough-bed/picture/{photo.sha256}")
        assert told.status_code == 404 and "no such picture any more" in words_of(told), photo.path
    outside.unlink()
