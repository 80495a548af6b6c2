"""Pictures of a trial: kept by relative path and digest; missing and changed ones are told."""

import hashlib
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import get_args

from pydantic import ValidationError

from schemas import Photo, Record
from trials.errors import Problem, Refused
from trials.wording.steps import step

SHOWN = get_args(Photo.model_fields["what"].annotation)


@dataclass(frozen=True, slots=True)
class PictureForm:
    """A form of picture: how its files end and begin (at which byte), and what a browser calls it."""

    ending: str
    begins: bytes
    called: str
    at: int = 0


FORMS = (
    PictureForm(".jpg", b"\xff\xd8\xff", "image/jpeg"),
    PictureForm(".png", b"\x89PNG\r\n\x1a\n", "image/png"),
    PictureForm(".gif", b"GIF8", "image/gif"),
    PictureForm(".webp", b"WEBP", "image/webp", 8),
    *(PictureForm(".heic", b"ftyp" + brand, "image/heic", 4) for brand in (b"heic", b"heix", b"mif1")),
)
"""The forms in which telephones and cameras write, by their first bytes, as their specifications give them."""


def picture_form(content: bytes) -> PictureForm | None:
    """The form of a picture by how it begins; None where it is no picture.

    >>> form = picture_form(b"RIFF....WEBPVP8 ")
    >>> form.ending if form else None, picture_form(b"<svg")
    ('.webp', None)
    """
    return next((form for form in FORMS if content[form.at :].startswith(form.begins)), None)


def picture_of(path: Path, book: Path, what: str, tag: str | None) -> Photo:
    """What is kept of a picture: the way to it from the folder of the logbook file `book`, and its digest.

    `tag` is the run it belongs to; None for the whole trial. Refused: its name can't be kept, it can't be read, or it
    lies on another drive.
    """
    try:
        return Photo.model_validate(
            {"path": _relative_path(path, book), "what": what, "tag": tag, "sha256": picture_digest(path)}
        )
    except ValidationError as error:
        raise Refused([Problem(str(path), "has a name that can't be kept", "rename the picture")]) from error
    except OSError as error:
        raise Refused([Problem(str(path), f"can't be read ({error.strerror})", "check the picture")]) from error


def no_picture(path: Path, what: str) -> Iterator[Problem]:
    """Why there is no picture to attach: nothing that one may show, or no such file."""
    yield from _not_shown(what)
    if not path.is_file():
        yield Problem(str(path), "is not a file", "check the path of the picture")


def refuse_what_is_not_shown(what: str) -> None:
    """Refuse a word for what a picture shows that is none of ours."""
    if problems := list(_not_shown(what)):
        raise Refused(problems)


def _not_shown(what: str) -> Iterator[Problem]:
    if what not in SHOWN:
        place = step("--shows", "What it shows")
        yield Problem(place, f"{what or 'nothing'} is not known here", f"write one of: {', '.join(SHOWN)}")


def _relative_path(path: Path, book: Path) -> str:
    """The way from the folder of the logbook to a file, with forward slashes."""
    try:
        return Path(os.path.relpath(os.path.realpath(path), Path(os.path.realpath(book)).parent)).as_posix()
    except ValueError as error:  # another drive
        raise Refused([Problem(str(path), "lies on another drive than the logbook", "move it beside it")]) from error


def picture_digest(path: Path) -> str:
    """The SHA-256 digest of a file, in hex."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def photo_problems(record: Record, book: Path) -> list[Problem]:
    """The pictures of a trial that are not there any more, or not as they were."""
    found = []
    for photo in record.trial.photos:
        path = Path(os.path.realpath(book)).parent / photo.path
        if not path.is_file():
            found.append(Problem(photo.path, f"the picture ({photo.what}) is missing", "put it back where it was"))
        elif not _is_as_it_was(path, photo):
            what = f"the picture ({photo.what}) is not the one attached"
            found.append(Problem(photo.path, what, "put that back, or attach this one anew"))
    return found


def _is_as_it_was(path: Path, photo: Photo) -> bool:
    try:
        return picture_digest(path) == photo.sha256
    except OSError:
        return False
