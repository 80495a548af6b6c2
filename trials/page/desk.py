"""What every page needs: the logbook, the forms, the moment, and the templates."""

import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.responses import HTMLResponse, RedirectResponse, Response

from trials.errors import Refused, TrialsError
from trials.logbook.logbook import Logbook
from trials.page.sent import Done, Forms, Sent

HERE = Path(__file__).parent
TWICE = "This form was taken already; nothing was stored a second time."
FIELD_NAMES = {"--why": "reason", "--note": "note", "--since": "run since"}
"""What a flag of a command is called where it is a field."""


@cache
def _templates() -> Environment:
    return Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@dataclass(frozen=True, slots=True)
class Desk:
    """Where a request is worked on."""

    book: Logbook
    forms: Forms = field(default_factory=Forms)
    clock: Callable[[], datetime] = datetime.now

    @property
    def now(self) -> datetime:
        """The moment, to the second."""
        return self.clock().replace(microsecond=0)

    def show(self, sent: Sent, template: str, *, status: int = 200, **values: Any) -> Response:  # noqa: ANN401 - what a template takes
        """Fill a template; every text is escaped, and a name left out is an error."""
        said = self.forms.said(sent.query.get("said", ""))
        if said and "twice" in sent.query:
            said = (*said, TWICE)
        page = _templates().get_template(template)
        common = {
            "sent": sent,
            "token": sent.token,
            "number": secrets.token_urlsafe(12),
            "said": said,
            "book": self.book.path.name,
        }
        return HTMLResponse(page.render(common | {"problems": (), "trial": None} | values), status)

    def take(self, sent: Sent, store: Callable[[], Done]) -> Response:
        """Take a form once, and lead to where it is told what was done."""
        number = sent.text("form")
        done, is_taken = self.forms.once(number, store)
        return RedirectResponse(f"{done.to}?said={number}{'&twice=1' if is_taken else ''}", 303)


def lines_of(error: TrialsError) -> tuple[str, ...]:
    """What is wrong, a line each; the flags of a command by the names of their fields."""
    if not isinstance(error, Refused) or not error.problems:
        return error.lines
    return tuple(
        f"{FIELD_NAMES[one.place].capitalize()}: {one.says}" if one.place in FIELD_NAMES else str(one)
        for one in error.problems
    )
