"""A browser without a screen: it keeps cookies, fills forms as they were served, and follows where it is led."""

import asyncio
import re
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, TypeVar

import httpx

from trials.logbook.logbook import Logbook
from trials.page.app import page_app
from trials.page.desk import Desk

T = TypeVar("T")
PORT = 8467
OWN = f"http://127.0.0.1:{PORT}"
FIELD = re.compile(r'<input type="hidden" name="([^"]*)" value="([^"]*)">')


@dataclass
class Visitor:
    """Someone at the page of a logbook."""

    book: Path
    app: Any = None
    cookies: httpx.Cookies = field(default_factory=httpx.Cookies)
    own: str = OWN

    def __post_init__(self) -> None:
        self.app = self.app or page_app(Desk(Logbook(self.book)), PORT)

    def ask(self, method: str, path: str, **more: Any) -> httpx.Response:
        """Send one request, as it is."""

        async def sent() -> httpx.Response:
            transport = httpx.ASGITransport(self.app)
            async with httpx.AsyncClient(transport=transport, base_url=self.own, cookies=self.cookies) as client:
                answer = await client.request(method, path, **more)
                self.cookies = client.cookies
                return answer

        return waited_for(sent())

    def get(self, path: str, **more: Any) -> httpx.Response:
        """Open a page."""
        return self.ask("GET", path, **more)

    def post(self, path: str, fields: dict[str, Any], **more: Any) -> httpx.Response:
        """Send a form as it stands, from this page."""
        return self.ask("POST", path, data=fields, headers={"origin": self.own, **more.pop("headers", {})}, **more)

    def fill(self, path: str, fields: dict[str, Any], **more: Any) -> httpx.Response:
        """Open a form, fill it over what stands in it, and send it."""
        return self.post(path, fields_of(self.get(path)) | fields, **more)

    def follow(self, answer: httpx.Response) -> httpx.Response:
        """Go where one is led."""
        assert answer.status_code == 303, words_of(answer)
        return self.get(answer.headers["location"])


def waited_for(work: Coroutine[Any, Any, T]) -> T:
    """What comes of work that waits, done in a thread of its own: a browser of other tests may have a loop in this one."""
    with ThreadPoolExecutor(1) as apart:
        return apart.submit(asyncio.run, work).result()


def hidden_of(page: httpx.Response) -> dict[str, str]:
    """The fields of a form that nobody sees."""
    return {name: unescape(value) for name, value in FIELD.findall(page.text)}


def words_of(page: httpx.Response) -> str:
    """What is read on a page, in one line."""
    body = page.text.partition("<main")[2].partition("<footer")[0]
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", body)).split())


class _Fields(HTMLParser):
    """What stands in the fields of a form as it was served."""

    def __init__(self) -> None:
        super().__init__()
        self.found: dict[str, str] = {}
        self._select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        name, value = told.get("name") or "", told.get("value") or ""
        if tag == "select":
            self._select = name
        elif tag == "option" and "selected" in told:
            self.found[self._select] = value
        elif tag == "input" and name and (told.get("type") not in ("radio", "checkbox", "file") or "checked" in told):
            self.found[name] = value

    def handle_data(self, data: str) -> None:
        if self._select and self.found.get(self._select) == "":
            self.found[self._select] = data


def fields_of(page: httpx.Response) -> dict[str, str]:
    """All that a form would send as it was served."""
    reader = _Fields()
    reader.feed(page.text.partition("<main")[2])
    return reader.found
