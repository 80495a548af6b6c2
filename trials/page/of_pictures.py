"""Pictures of a trial: one attached to it or to one of its runs, and one looked at as it was attached."""

import os
from collections.abc import Sequence
from pathlib import Path

from starlette.responses import Response

from schemas import Photo, Record
from trials.errors import Refused
from trials.files.pictures import SHOWN, picture_digest, picture_form
from trials.keeping.attaching import store_handed_in
from trials.page.desk import Desk
from trials.page.guard import MOST_BYTES
from trials.page.sent import Done, Sent

NO_PICTURE = "No picture was handed in; choose one first."
ANOTHER = "{}: there is no such picture any more, or it is another than was attached"


def attach_page(desk: Desk, sent: Sent) -> Response:
    """Attach a picture to a trial, or to the run of a tag."""
    record = desk.read(sent.path["name"])
    tag = (sent.text("tag") or sent.query.get("tag", "")).strip().upper()

    def shown(problems: Sequence[str]) -> Response:
        return desk.show(
            sent,
            "attach.html",
            trial=record.trial,
            problems=problems,
            tags=sorted(run.tag for run in record.runs if run.tag),
            tag=tag,
            words=SHOWN,
            shows=sent.text("shows") or SHOWN[0],
        )

    return desk.take_or_show(sent, lambda: _attached(desk, sent, tag), shown)


def _attached(desk: Desk, sent: Sent, tag: str) -> Done:
    if not sent.files:
        raise Refused(NO_PICTURE)
    name, file = sent.path["name"], sent.files[0]
    said = store_handed_in(desk.book, name, file.name, file.content, sent.text("shows"), tag or None, desk.now)
    return Done(f"/trial/{name}/runs" if tag else f"/trial/{name}", (said,))


def picture_file(desk: Desk, sent: Sent) -> Response:
    """A picture as it was attached: one that lies with the logbook and is the same to the byte, and no other file."""
    record = desk.read(sent.path["name"])
    photo = _photo(record, sent.path["digest"])
    folder = Path(os.path.realpath(desk.book.path)).parent
    path = Path(os.path.realpath(folder / photo.path))
    if path.is_relative_to(folder) and path.is_file() and path.stat().st_size <= MOST_BYTES:
        content = path.read_bytes()
        form = picture_form(content)
        if form is not None and picture_digest(path) == photo.sha256:
            return Response(content, media_type=form.called)
    raise Refused(ANOTHER.format(photo.path))


def _photo(record: Record, digest: str) -> Photo:
    for photo in record.trial.photos:
        if photo.sha256 == digest:
            return photo
    raise Refused(f"{record.trial.name}: no such picture is attached to it")
