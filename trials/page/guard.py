"""What stands before the page: who may ask, how much and for how long, and what an answer may do in a browser."""

import asyncio
import time
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import HTMLResponse, PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from trials.page.from_template import bare

HERE_ALONE = "127.0.0.1"
LOOPBACK = (HERE_ALONE, "localhost")
MOST_BYTES = 10 * 1024 * 1024
MOST_SECONDS = 60.0
READS = ("GET", "HEAD")
POLICY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'"
)
POLICY_OF_A_FILE = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; frame-ancestors 'none'; sandbox"
"""Of a report or a paper, which is one file with its look inside: no script, nothing fetched, no form."""
HEADERS: Mapping[str, str] = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
OVER_A_NETWORK = {name: value for name, value in HEADERS.items() if name != "cross-origin-opener-policy"}
"""Without what browsers heed from this machine alone, or over an encrypted way, and complain of elsewhere."""
NOT_HERE = "This page answers only at the address that samedirt printed when it was started."
FROM_ELSEWHERE = "This was sent from another page than this one. Nothing was stored."
TOO_MUCH = (
    "That is over 10 MB, and nothing was stored. Of a picture a smaller copy will do. Of a folder trial.toml, runs.csv "
    "and changes.csv are read, or our own JSON: go back, and choose those alone under Or files, without the pictures."
)
TOO_SLOW = "That took over a minute to arrive. Nothing was stored: go back, and send it again."


class TooMuch(Exception):
    """More was sent than anything here needs."""


@dataclass(frozen=True, slots=True)
class Guard:
    """Lets through what comes from this page, up to a size and for a time; the rest is refused.

    hosts: the names, with the port, at which the page may be asked for; a name that only leads here is refused.
    """

    app: ASGIApp
    hosts: Collection[str]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        is_begun, is_here = False, Headers(scope=scope).get("host", "").partition(":")[0] in LOOPBACK

        async def sent(message: Message) -> None:
            nonlocal is_begun
            if message["type"] == "http.response.start":
                is_begun = True
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items() if is_here else OVER_A_NETWORK.items():
                    headers.setdefault(name, value)
            await send(message)

        refusal = self._refusal(scope["method"], Headers(scope=scope))
        if refusal is not None:
            await refusal(scope, receive, sent)
            return
        try:
            await self.app(scope, _measured(receive), sent)
        except (TooMuch, TimeoutError) as error:
            if not is_begun:
                await not_taken(error)(scope, receive, sent)

    def _refusal(self, method: str, headers: Headers) -> Response | None:
        """What is answered where a request is not let through."""
        host = headers.get("host", "")
        if host not in self.hosts:
            return PlainTextResponse(NOT_HERE, 421)
        if method not in (*READS, "POST"):
            return PlainTextResponse("Only reading and sending forms is known here.", 405)
        is_own = headers.get("origin") == f"http://{host}" and headers.get("sec-fetch-site", "same-origin") in OWN_SITE
        if method == "POST" and not is_own:
            return PlainTextResponse(FROM_ELSEWHERE, 403)
        length = headers.get("content-length", "0")
        return not_taken(TooMuch()) if not length.isdecimal() or int(length) > MOST_BYTES else None


def not_taken(error: Exception) -> Response:
    """What is said of a form that was too much or too slow in coming."""
    if isinstance(error, TooMuch):
        return HTMLResponse(bare("Too much at once", TOO_MUCH, leads_home=True), 413)
    return HTMLResponse(bare("Too slow", TOO_SLOW, leads_home=True), 408)


OWN_SITE = ("same-origin", "none")


def _measured(receive: Receive) -> Receive:
    """What is received, up to a size and a time."""
    taken, until = 0, time.monotonic() + MOST_SECONDS

    async def measured() -> Message:
        nonlocal taken
        message = await asyncio.wait_for(receive(), max(0.0, until - time.monotonic()))
        taken += len(message.get("body", b""))
        if taken > MOST_BYTES:
            raise TooMuch
        return message

    return measured
