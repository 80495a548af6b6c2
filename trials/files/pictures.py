"""Pictures of a trial: kept by relative path and digest; missing and changed ones are told."""

import hashlib
import os
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

from pydantic import ValidationError

from schemas import Photo, Record
from trials.errors import Problem, Refused

SHOWN = get_args(Photo.model_fields["what"].annotation)


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
    if what not in SHOWN:
        yield Problem("--shows", f"{what} is not known here", f"write one of: {', '.join(SHOWN)}")
    if not path.is_file():
        yield Problem(str(path), "is not a file", "check the path of the picture")


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
