"""What was sent to the page, as plain values; and forms, each of which is taken once."""

import hmac
import secrets
from collections import OrderedDict
from collections.abc import Mapping
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
    """What became of a form that was taken.

    to, said: where one goes from there, and what is said there.
    forget: what the browser kept of it and need not any more.
    """

    to: str
    said: tuple[str, ...] = ()
    forget: str = ""


@dataclass(slots=True)
class Forms:
    """The forms of one sitting of the server: tokens that only it can make, and what became of those that were taken.

    turn: held while a form is worked on, so that of two sent in the same moment the second finds the first taken.
    """

    secret: bytes = field(default_factory=lambda: secrets.token_bytes(32))
    taken: "OrderedDict[str, Done]" = field(default_factory=OrderedDict)
    turn: Lock = field(default_factory=Lock)

    def token_for(self, cookie: str) -> str:
        """The token of the forms that are shown to a browser."""
        return hmac.new(self.secret, cookie.encode(), sha256).hexdigest()

    def is_own(self, cookie: str, token: str) -> bool:
        """Whether a form was made here, for that browser, since the server was started."""
        return bool(cookie) and hmac.compare_digest(self.token_for(cookie).encode(), token.encode())

    def keep(self, number: str, done: Done) -> None:
        """Keep what became of a form that was taken."""
        self.taken[number] = done
        while len(self.taken) > MOST_KEPT:
            self.taken.popitem(last=False)
