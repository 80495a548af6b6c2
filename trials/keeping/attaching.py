"""Pictures attached to trials of a logbook: one that lies somewhere, or one that is handed in and kept beside it."""

import hashlib
from datetime import datetime
from pathlib import Path

from trials.changes.attach import attach, attached_words
from trials.changes.find_run import run_tagged
from trials.errors import Problem, Refused, TrialsError
from trials.files.pictures import no_picture, picture_form, picture_of, refuse_what_is_not_shown
from trials.files.whole import write_whole
from trials.keeping.storing import apply, found_in
from trials.logbook.logbook import Logbook

DIGEST_IN_NAME = 8
NO_PICTURE = "is no picture that is kept here"
FORMS = "hand in a JPEG, PNG, WebP, GIF or HEIC"


def store_picture(book: Logbook, name: str, path: Path, what: str, tag: str | None, now: datetime) -> str:
    """Attach a picture to a trial, or to the run of a tag; says what was done, or all that is wrong at once."""
    problems = list(no_picture(path, what))
    own = None
    try:
        own = None if tag is None else found_in(book, name, tag, lambda record: run_tagged(record, tag)).tag
    except Refused as error:
        problems += error.problems
        if not error.problems:
            raise
    if problems:
        raise Refused(problems)
    photo = picture_of(path, book.path, what, own)
    before, _ = apply(book, name, lambda record: attach(record, photo, now))
    return attached_words(before, photo)


def store_handed_in(
    book: Logbook, name: str, called: str, content: bytes, what: str, tag: str | None, now: datetime
) -> str:
    """Keep a picture that was handed in, in a folder beside the logbook, and attach it; says what was done.

    called: its name where it came from, which is told where it is refused, and is no part of a path here.
    Refused: it is no picture, or what it shows or its run is not known. Nothing of it is kept then.
    """
    form = picture_form(content)
    refuse_what_is_not_shown(what)
    if form is None:
        raise Refused([Problem(called, NO_PICTURE, FORMS)])
    own = book.read(name).trial.name if tag is None else found_in(book, name, tag, lambda one: run_tagged(one, tag)).tag
    digest = hashlib.sha256(content).hexdigest()[:DIGEST_IN_NAME]
    path = book.path.parent / f"{name}-pictures" / f"{own}-{what}-{digest}{form.ending}"
    is_new = not path.exists()
    try:
        path.parent.mkdir(exist_ok=True)
        write_whole(path, content)
    except OSError as error:
        raise Refused([Problem(str(path), f"can't be written ({error.strerror})", "make room for it")]) from error
    try:
        return store_picture(book, name, path, what, tag, now)
    except TrialsError:
        if is_new:
            path.unlink(missing_ok=True)
        raise
