"""Pictures of a trial: attached by relative path and digest; missing and changed ones are told."""

import hashlib
import os
from pathlib import Path
from typing import get_args

from schemas import Photo, Record
from trials.errors import Problem, Refused
from trials.logbook.logbook import Logbook

SHOWN = get_args(Photo.model_fields["what"].annotation)


def attach(book: Logbook, name: str, path: Path, what: str, tag: str | None) -> str:
    """Attach a picture to a trial, or to one of its runs; says what was done.

    Raises
    ------
    Refused
        No such file or tag, or nothing that a picture may show.
    """
    problems = []
    if what not in SHOWN:
        problems.append(Problem("--shows", f"{what} is not known here; write one of: {', '.join(SHOWN)}"))
    if not path.is_file():
        problems.append(Problem(str(path), "is not a file; check the path of the picture"))
    if problems:
        raise Refused(problems)
    try:
        photo = Photo.model_validate(
            {
                "path": relative_path(path, book.path),
                "what": what,
                "tag": _tag(book.read(name), tag),
                "sha256": digest_of(path),
            }
        )
    except ValueError as error:
        raise Refused([Problem(str(path), "has a name that can't be kept; rename the picture")]) from error
    with book.writing() as pages:
        (record,) = pages.records([name])
        others = tuple(one for one in record.trial.photos if one.path != photo.path)
        replaced = len(others) < len(record.trial.photos)
        trial = record.trial.model_copy(update={"photos": (*others, photo)})
        pages.store([record.model_copy(update={"trial": trial})])
    belongs = f" of {photo.tag}" if photo.tag else ""
    return f"{photo.path}: {what}{belongs}, attached to {name}{' anew' if replaced else ''}."


def _tag(record: Record, tag: str | None) -> str | None:
    if tag is None:
        return None
    known = {run.tag.upper(): run.tag for run in record.runs if run.tag}
    if tag.strip().upper() not in known:
        raise Refused([Problem(f"tag {tag}", f"is no tag of {record.trial.name}; look at the sheet")])
    return known[tag.strip().upper()]


def relative_path(path: Path, book: Path) -> str:
    """The way from the folder of the logbook to a file, with forward slashes."""
    try:
        return Path(os.path.relpath(path.resolve(), book.resolve().parent)).as_posix()
    except ValueError as error:  # another drive
        raise Refused([Problem(str(path), "lies on another drive than the logbook; move it beside it")]) from error


def digest_of(path: Path) -> str:
    """The SHA-256 digest of a file, in hex."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def photo_problems(record: Record, book: Path) -> list[Problem]:
    """The pictures of a trial that are not there any more, or not as they were."""
    found = []
    for photo in record.trial.photos:
        path = book.resolve().parent / photo.path
        if not path.is_file():
            found.append(Problem(photo.path, f"the picture ({photo.what}) is missing; put it back where it was"))
        elif digest_of(path) != photo.sha256:
            says = f"the picture ({photo.what}) is not the one attached; put that back, or attach this one anew"
            found.append(Problem(photo.path, says))
    return found
