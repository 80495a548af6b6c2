"""What was sent to the page, as plain values; and forms, each of which is taken once."""

import hmac
import secrets
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from threading import Lock

MOST_KEPT = 10_000
TOKEN, NUMBER = "token", "form"


@dataclass(frozen=True, slots=True)
class SentFile:
    """A file that was handed in: its name as the browser tells it, which is never a path here, and its bytes."""

    name: str
    content: bytes


@dataclass(frozen=True, slots=True)
class Sent:
    """One request.

    path, query: what stands in the address.
    fields, files: what a form held; none where nothing was sent.
    token: proves that a form was made by this page for this browser.
    is_post: whether a form was sent.
    """

    path: Mapping[str, str]
    query: Mapping[str, str]
    token: str
    url: str = "/"
    fields: Mapping[str, str] = field(default_factory=dict)
    files: tuple[SentFile, ...] = ()
    is_post: bool = False

    def text(self, name: str) -> str:
        """What was typed into a field, without the spaces around it."""
        return self.fields.get(name, "").strip()


@dataclass(frozen=True, slots=True)
class Done:
    """What became of a form that was taken: where one goes from there, and what is said there."""

    to: str
    said: tuple[str, ...] = ()


@dataclass(slots=True)
class Forms:
    """The forms of one sitting of the server: tokens that only it can make, and numbers of those that were taken."""

    secret: bytes = field(default_factory=lambda: secrets.token_bytes(32))
    taken: "OrderedDict[str, Done]" = field(default_factory=OrderedDict)
    turn: Lock = field(default_factory=Lock)

    def token_for(self, cookie: str) -> str:
        """The token of the forms that are shown to a browser."""
        return hmac.new(self.secret, cookie.encode(), sha256).hexdigest()

    def is_own(self, cookie: str, token: str) -> bool:
        """Whether a form was made here, for that browser, since the server was started."""
        return bool(cookie) and hmac.compare_digest(self.token_for(cookie).encode(), token.encode())

    def once(self, number: str, store: Callable[[], Done]) -> tuple[Done, bool]:
        """Take a form, or say what became of it where its number was taken already; whether it was.

        One form at a time, so that of two sent in the same moment the second finds the first.
        """
        with self.turn:
            before = self.taken.get(number) if number else None
            if before is not None:
                return before, True
            done = store()
            self.taken[number] = done
            while len(self.taken) > MOST_KEPT:
                self.taken.popitem(last=False)
            return done, False

    def said(self, number: str) -> tuple[str, ...]:
        """What was said of a form that was taken."""
        done = self.taken.get(number)
        return () if done is None else done.said
