"""A picture attached to a trial, or to one of its runs: its path and digest, never the picture itself."""

from datetime import datetime

from schemas import Photo, Record
from schemas.private import PICTURE
from trials.changes.correction import correction_of
from trials.changes.find_run import run_tagged
from trials.errors import Problem, Refused


def attach(record: Record, photo: Photo, now: datetime) -> Record:
    """Attach a picture; one of the same path is replaced, and what it was stays on record.

    Refused where it is attached already, just as it is, or the trial has no run of its tag.
    """
    before = photo_at(record, photo.path)
    if before == photo:
        raise Refused([Problem(photo.path, "is attached already, just as it is")])
    run = None if photo.tag is None else run_tagged(record, photo.tag)
    was, why = (None, "attached") if before is None else (f"{before.what}: {before.path}", "attached anew")
    note = correction_of(run, PICTURE, was, f"{photo.what}: {photo.path}", why=why, now=now)
    others = tuple(one for one in record.trial.photos if one.path != photo.path)
    trial = record.trial.model_copy(update={"photos": (*others, photo)})
    return record.model_copy(update={"trial": trial, "corrections": (*record.corrections, note)})


def photo_at(record: Record, path: str) -> Photo | None:
    """The picture of a trial that lies at a path, or None."""
    return next((one for one in record.trial.photos if one.path == path), None)


def attached_words(before: Record, photo: Photo) -> str:
    """What was done, in one sentence."""
    belongs = f" of {photo.tag}" if photo.tag else ""
    anew = " anew" if photo_at(before, photo.path) is not None else ""
    return f"{photo.path} ({photo.what}{belongs}) is attached to {before.trial.name}{anew}. Leave it where it is."
