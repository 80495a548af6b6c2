"""What every page needs: the logbook, the forms, the moment, and the templates."""

import secrets
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, TypeVar, cast
from urllib.parse import urlencode

from starlette.responses import HTMLResponse, RedirectResponse, Response

from schemas import Record, Verdict
from trials.errors import Refused
from trials.keeping.remembered import listed
from trials.logbook.logbook import ListedTrial, Logbook
from trials.page.from_template import from_template
from trials.page.rehearsals import Rehearsals
from trials.page.sent import NUMBER, Done, Forms, Sent
from trials.verdicts.reach import reach_verdict

NOTHING = Done("/")
MOST_READ = 300  # what is kept as it was read or reached: a trial, its verdict, what it is worth
T = TypeVar("T")
SETTLED_S = 5
"""How long after a file was written a second write is told by its time; some disks count in steps of 2 s."""
TWICE = "This form was taken already; nothing was stored a second time."


@dataclass(slots=True)
class LastRead:
    """What was read of a logbook, read again where its file is another than it was.

    kept: by which file, of which moment and size it was read, and what.
    """

    kept: tuple[tuple[int, ...], dict[str, Any]] = ((), {})

    def of(self, book: Logbook, what: str, read: Callable[[], T]) -> T:
        """Read it, unless it was read since the file was written."""
        if not book.exists:
            return read()
        of_file = book.path.stat()
        is_now = (of_file.st_ino, of_file.st_mtime_ns, of_file.st_size)
        known = self.kept[1] if self.kept[0] == is_now else {}
        if what in known:
            return cast("T", known[what])
        found = read()
        if time.time() - of_file.st_mtime > SETTLED_S:
            self.kept = is_now, {**known, what: found} if len(known) < MOST_READ else {what: found}
        return found


@dataclass(frozen=True, slots=True)
class Desk:
    """Where a request is worked on.

    is_shared: whether others in a network may reach it.
    """

    book: Logbook
    is_shared: bool = False
    forms: Forms = field(default_factory=Forms)
    last_read: LastRead = field(default_factory=LastRead)
    rehearsals: Rehearsals = field(default_factory=Rehearsals)
    clock: Callable[[], datetime] = datetime.now

    @property
    def now(self) -> datetime:
        """The moment, to the second."""
        return self.clock().replace(microsecond=0)

    def read(self, name: str) -> Record:
        """A trial as it is stored. Raises Refused: there is none of that name."""
        return self.last_read.of(self.book, f"trial {name}", lambda: self.book.read(name))

    def verdict(self, record: Record) -> Verdict:
        """The verdict on a trial that was read here, reached once as long as the logbook is as it was."""

        def reached() -> tuple[Record, Verdict]:
            return record, reach_verdict(record.trial, record.runs, record.corrections)

        of_record, verdict = self.last_read.of(self.book, f"verdict {record.trial.name}", reached)
        return verdict if of_record is record else reached()[1]

    def listed(self) -> Sequence[ListedTrial]:
        """Every trial with its word, the last session first; none where there is no logbook yet."""
        return self.last_read.of(self.book, "list", lambda: listed(self.book) if self.book.exists else [])

    def show(self, sent: Sent, template: str, *, status: int | None = None, **values: Any) -> Response:  # noqa: ANN401 - what a template takes
        """A page, filled in, with what was said and done before."""
        status = status or (422 if sent.is_post and values.get("problems") else 200)
        done = self.forms.taken.get(sent.query.get("said", ""), NOTHING)
        said = (*done.said, TWICE) if done.said and "twice" in sent.query else done.said
        common = {
            "sent": sent,
            "token": sent.token,
            "number": secrets.token_urlsafe(12),
            "said": said,
            "forget": done.forget,
            "book": self.book.path.name,
            "is_shared": self.is_shared,
        }
        return HTMLResponse(from_template(template, common | {"problems": (), "trial": None} | values), status)

    def take_or_show(
        self, sent: Sent, store: Callable[[], Done], show: Callable[[Sequence[str]], Response]
    ) -> Response:
        """Take a form that was sent; where nothing was, or it is refused, its page, with what is wrong."""
        if not sent.is_post:
            return show(())
        try:
            return self.take(sent, store)
        except Refused as error:
            return show(error.lines)

    def take(self, sent: Sent, store: Callable[[], Done]) -> Response:
        """Take a form, and lead to where it is told what was done."""
        number = sent.text(NUMBER)
        self.forms.keep(number, store())
        return self.taken_already(number)

    def taken_already(self, number: str, *, twice: bool = False) -> Response:
        """Lead to where it is told what was done with a form; that it was sent twice is told too."""
        asked = urlencode({"said": number} | ({"twice": "1"} if twice else {}))
        to = self.forms.taken[number].to
        return RedirectResponse(f"{to}{'&' if '?' in to else '?'}{asked}", 303)
