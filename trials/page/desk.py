"""What every page needs: the logbook, the forms, the moment, and the templates."""

import secrets
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, TypeVar, cast
from urllib.parse import urlencode

from starlette.responses import HTMLResponse, RedirectResponse, Response

from schemas import Record, Verdict
from trials.errors import Refused
from trials.keeping.remembered import listed
from trials.logbook.last_read import FileState
from trials.logbook.logbook import Logbook
from trials.logbook.pages import ListedTrial
from trials.page.from_template import from_template
from trials.page.rehearsals import Rehearsals
from trials.page.sent import NUMBER, Done, Forms, Sent
from trials.verdicts.reach import reach_verdict

NOTHING = Done("/")
MOST_KEPT = 300  # verdicts, and what they are worth
T = TypeVar("T")
TWICE = "This form was taken already; nothing was stored a second time."


@dataclass(slots=True)
class LastReached:
    """What was reached of a logbook, reached again where its file is in another state than it was.

    kept: in which state it was reached, and what.
    """

    kept: tuple[FileState, dict[str, Any]] = ((), {})

    def of(self, book: Logbook, what: str, reach: Callable[[], T]) -> T:
        """Reach it, unless it was reached since the file was written."""
        if (is_now := book.state) is None:
            return reach()
        known = self.kept[1] if self.kept[0] == is_now else {}
        if what not in known:
            known = {**(known if len(known) < MOST_KEPT else {}), what: reach()}
            self.kept = is_now, known
        return cast("T", known[what])


@dataclass(frozen=True, slots=True)
class Desk:
    """Where a request is worked on.

    is_shared: whether others in a network may reach it.
    """

    book: Logbook
    is_shared: bool = False
    forms: Forms = field(default_factory=Forms)
    last_reached: LastReached = field(default_factory=LastReached)
    rehearsals: Rehearsals = field(default_factory=Rehearsals)
    clock: Callable[[], datetime] = datetime.now

    @property
    def now(self) -> datetime:
        """The moment, to the second."""
        return self.clock().replace(microsecond=0)

    def read(self, name: str) -> Record:
        """A trial as it is stored. Raises Refused: there is none of that name."""
        return self.book.read(name)

    def verdict(self, record: Record) -> Verdict:
        """The verdict on a trial that was read here, reached once as long as the logbook is as it was."""

        def reached() -> tuple[Record, Verdict]:
            return record, reach_verdict(record.trial, record.runs, record.corrections)

        of_record, verdict = self.last_reached.of(self.book, f"verdict {record.trial.name}", reached)
        return verdict if of_record == record else reached()[1]

    def listed(self) -> Sequence[ListedTrial]:
        """Every trial with its word, the last session first; none where there is no logbook yet."""
        return self.last_reached.of(self.book, "list", lambda: listed(self.book) if self.book.exists else [])

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
