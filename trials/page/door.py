"""The door of a page that a network can reach: a code for one sitting, and nothing else for whoever lacks it."""

import hmac
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from urllib.parse import parse_qs

from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Receive, Scope, Send

from trials.page.from_template import bare
from trials.page.guard import HERE_ALONE, READS

MOST_WRONG = 5
DIGITS = 8
MOST_BYTES_TYPED = 4096  # a code and what stands around it
LONGEST_SITTING_S = 24 * 3600
ASKED_BY_ALL = ("/style.css", "/icon.svg")
"""How the form looks: nothing of a logbook is in it."""
WRONG = "That is not the code. {} more wrong, from whoever, and nobody new is let in."
SHUT = (
    f"The code was guessed wrong {MOST_WRONG} times, so nobody new is let in until the page is started anew at its "
    "machine, where a new code is printed."
)
SENT_OUTSIDE = "Nothing was stored: the code comes first. A run that was typed here stands in its fields again then."
CAME_IN = "A browser at {} gave the code and is in."
SHUT_HERE = (
    f"The code was guessed wrong {MOST_WRONG} times, last from {{}}: nobody new is let in; whoever is in stays in. "
    "Ctrl-C, and start it anew for a new code."
)


def new_code() -> str:
    """A code of 8 digits: five guesses find it 1 time in 20 million."""
    return f"{secrets.randbelow(10**DIGITS):0{DIGITS}d}"


@dataclass(slots=True)
class Door:
    """The door of one sitting of the server.

    host: the address of this machine in its network, as it is printed.
    tells: says something at the machine.
    code, key: what is typed to come in, and what a browser that came in shows from then on.
    wrong: how often another code was given, by whoever.
    """

    host: str
    tells: Callable[[str], object] = print
    code: str = field(default_factory=new_code)
    key: str = field(default_factory=lambda: secrets.token_urlsafe(32))
    wrong: int = 0

    @property
    def is_shut(self) -> bool:
        """Whether nobody new is let in."""
        return self.wrong >= MOST_WRONG

    def opens_to(self, typed: str, by: str) -> bool:
        """Whether that is the code; a wrong one is counted, and after too many the right one opens no more."""
        if self.is_shut:
            return False
        digits = "".join(char for char in typed if char not in " -\u00a0")
        if hmac.compare_digest(digits.encode(errors="replace"), self.code.encode()):
            self.tells(CAME_IN.format(by))
            return True
        self.wrong += 1
        if self.is_shut:
            self.tells(SHUT_HERE.format(by))
        return False


@dataclass(frozen=True, slots=True)
class Entry:
    """Lets in who sits at this machine or gave the code; whoever else is shown the form that asks for it."""

    app: ASGIApp
    door: Door
    cookie: str

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] == "http" and not self._may_pass(request := Request(scope, receive)):
            answer = await self._asked(request)
            await answer(scope, receive, send)
        else:
            await self.app(scope, receive, send)

    def _may_pass(self, request: Request) -> bool:
        arrived_at, *_ = request.scope.get("server") or ("",)  # not what it says of itself
        is_here = arrived_at == HERE_ALONE
        shown = request.cookies.get(self.cookie, "")
        is_in = hmac.compare_digest(shown.encode(errors="replace"), self.door.key.encode())
        return is_here or is_in or (request.method in READS and request.url.path in ASKED_BY_ALL)

    async def _asked(self, request: Request) -> Response:
        if request.method in READS:
            return self._form(SHUT if self.door.is_shut else "")
        typed = await _code_typed(request.receive)
        if typed is None:
            return self._form(SHUT if self.door.is_shut else SENT_OUTSIDE, 403)
        if not self.door.opens_to(typed, request.client.host if request.client is not None else "an unknown address"):
            return self._form(SHUT if self.door.is_shut else WRONG.format(MOST_WRONG - self.door.wrong), 403)
        asked = f"?{request.url.query}" if request.url.query else ""
        entered = RedirectResponse(f"/{request.url.path.lstrip('/')}{asked}", 303)
        entered.set_cookie(self.cookie, self.door.key, max_age=LONGEST_SITTING_S, httponly=True, samesite="strict")
        return entered

    def _form(self, said: str, status: int = 200) -> Response:
        return HTMLResponse(bare("Who is there?", said, asks_for_code=not self.door.is_shut), status)


async def _code_typed(receive: Receive) -> str | None:
    """The code that stands in a form; None where there is none."""
    body, is_more = b"", True
    while is_more and len(body) <= MOST_BYTES_TYPED:
        message = await receive()
        body += message.get("body", b"")
        is_more = message.get("more_body", False)
    typed = parse_qs(body[:MOST_BYTES_TYPED].decode(errors="replace")).get("code", [""])[0].strip()
    return typed or None
