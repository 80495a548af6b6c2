"""Pictures of a trial: attached by relative path and digest; missing and changed ones are told."""

import hashlib
import os
from datetime import datetime
from pathlib import Path
from typing import get_args

from pydantic import ValidationError

from schemas import Correction, Photo, Record, Run
from trials.commands.loading import remember_words
from trials.commands.tags_found import run_tagged
from trials.errors import Problem, Refused
from trials.logbook.logbook import Logbook

SHOWN = get_args(Photo.model_fields["what"].annotation)
PICTURE = "photo"
"""The field of a correction that tells of a picture."""


def attach(book: Logbook, name: str, path: Path, what: str, tag: str | None, now: datetime) -> str:
    """Attach a picture to a trial, or to one of its runs; says what was done.

    Parameters
    ----------
    book, name
        The logbook and the trial.
    path
        Where the picture lies; kept as the way to it from the folder of the logbook, with its digest.
    what
        What it shows.
    tag
        The run it belongs to; None for the whole trial.
    now
        The moment, for the history.

    Raises
    ------
    Refused
        No such file or tag, nothing that a picture may show, or a picture attached already.
    """
    problems = []
    if what not in SHOWN:
        problems.append(Problem("--shows", f"{what} is not known here; write one of: {', '.join(SHOWN)}"))
    if not path.is_file():
        problems.append(Problem(str(path), "is not a file; check the path of the picture"))
    record = book.read(name)
    run = None
    if tag is not None:
        try:
            run = run_tagged(book, record, tag)
        except Refused as error:
            problems += error.problems
    if problems:
        raise Refused(problems)
    photo = _photo(path, book.path, what, run)
    with book.writing() as pages:
        (record,) = pages.records([name])
        before = next((one for one in record.trial.photos if one.path == photo.path), None)
        if before == photo:
            raise Refused([Problem(photo.path, "is attached already, just as it is")])
        others = tuple(one for one in record.trial.photos if one.path != photo.path)
        trial = record.trial.model_copy(update={"photos": (*others, photo)})
        note = _note(photo, run, None if before is None else f"{before.what}: {before.path}", now)
        pages.store([record.model_copy(update={"trial": trial, "corrections": (*record.corrections, note)})])
        remember_words(pages, pages.records([name]))
    belongs = f" of {photo.tag}" if photo.tag else ""
    anew = " anew" if before is not None else ""
    return f"{photo.path} ({photo.what}{belongs}) is attached to {name}{anew}. Leave it where it is."


def _photo(path: Path, book: Path, what: str, run: Run | None) -> Photo:
    try:
        where, digest = relative_path(path, book), digest_of(path)
        return Photo.model_validate(
            {"path": where, "what": what, "tag": None if run is None else run.tag, "sha256": digest}
        )
    except ValidationError as error:
        raise Refused([Problem(str(path), "has a name that can't be kept; rename the picture")]) from error
    except OSError as error:
        raise Refused([Problem(str(path), f"can't be read ({error.strerror}); check the picture")]) from error


def _note(photo: Photo, run: Run | None, old: str | None, now: datetime) -> Correction:
    """The line of the history that tells of a picture."""
    return Correction(
        when=now,
        pair=None if run is None else run.pair,
        arm=None if run is None else run.arm or None,
        field=PICTURE,
        old=old,
        new=f"{photo.what}: {photo.path}",
        why="attached" if old is None else "attached anew",
    )


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
            found.append(Problem(photo.path, f"the picture ({photo.what}) is missing", "put it back where it was"))
        elif not _is_as_it_was(path, photo):
            what = f"the picture ({photo.what}) is not the one attached"
            found.append(Problem(photo.path, what, "put that back, or attach this one anew"))
    return found


def _is_as_it_was(path: Path, photo: Photo) -> bool:
    try:
        return digest_of(path) == photo.sha256
    except OSError:
        return False
