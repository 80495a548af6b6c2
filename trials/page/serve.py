"""The page served from this machine: a port of its own, the address told, the browser opened, ended by Ctrl-C."""

import asyncio
import logging
import signal
import socket
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress

import h11
import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from trials.errors import Problem, Refused
from trials.page.app import page_app
from trials.page.desk import Desk
from trials.page.door import Door
from trials.page.guard import HERE_ALONE

USUAL_PORT = 8467
TRIED = 20
AT_ONCE = 500  # connections; more are told to come again
KEEPS_S = 5
MOST_SECONDS_OF_A_HEAD = 20.0


class _Opening(uvicorn.Server):
    """A server that tells when it can be asked."""

    def __init__(self, config: uvicorn.Config, opened: Callable[[], None]) -> None:
        super().__init__(config)
        self._opened = opened

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Start, and tell it."""
        await super().startup(sockets)
        if self.started:
            self._opened()

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """End, and say nothing of a form that was still on its way: nothing of it was stored."""
        logging.getLogger("uvicorn.error").setLevel(logging.CRITICAL)
        await super().shutdown(sockets)


class _Impatient(H11Protocol):
    """A connection that is let go where the head of a request is long in coming: a few hundred would keep all out."""

    head_timer: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Wait for the first head."""
        super().connection_made(transport)
        self._wait_for_a_head()

    def data_received(self, data: bytes) -> None:
        """Wait for the rest of a head of which some came."""
        super().data_received(data)
        self._wait_for_a_head()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait for nothing more."""
        self._wait_no_more()
        super().connection_lost(exc)

    def _wait_for_a_head(self) -> None:
        if self.conn.their_state is not h11.IDLE:
            self._wait_no_more()
        elif self.head_timer is None:
            self.head_timer = self.loop.call_later(MOST_SECONDS_OF_A_HEAD, self.transport.abort)

    def _wait_no_more(self) -> None:
        if self.head_timer is not None:
            self.head_timer.cancel()
            self.head_timer = None


def serve(desk: Desk, port: int | None, opened: Callable[[Sequence[str]], None], door: Door | None = None) -> None:
    """Serve the page until Ctrl-C or an end asked for by the system.

    `opened` is told the addresses once it answers there: that on this machine alone, and with a door that in the
    network.

    Raises Refused: the port is taken; where none is named, the next that is free is.
    """
    hosts = (HERE_ALONE, *([door.host] if door is not None else []))
    with ExitStack() as closing, _ended_kindly():
        listening = [closing.enter_context(one) for one in _listen(hosts, port)]
        own = listening[0].getsockname()[1]
        config = uvicorn.Config(
            page_app(desk, own, door),
            http=_Impatient,
            log_level="error",
            access_log=False,
            server_header=False,
            proxy_headers=False,
            limit_concurrency=AT_ONCE,
            timeout_keep_alive=KEEPS_S,
            timeout_graceful_shutdown=2,
            ws="none",
        )
        logging.getLogger("python_multipart").setLevel(logging.CRITICAL)  # what is no form is told to who sent it
        _Opening(config, lambda: opened([f"http://{host}:{own}/" for host in hosts])).run(sockets=listening)


@contextmanager
def _ended_kindly() -> Iterator[None]:
    """Take what the system sends to end a program as Ctrl-C is taken."""
    before = signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        with suppress(KeyboardInterrupt):
            yield
    finally:
        signal.signal(signal.SIGTERM, before)


def _listen(hosts: Sequence[str], port: int | None) -> list[socket.socket]:
    """A socket at each address, all at one port."""
    for one in (port,) if port is not None else range(USUAL_PORT, USUAL_PORT + TRIED):
        with ExitStack() as closing:
            try:
                opened = [closing.enter_context(_bound(host, one)) for host in hosts]
            except OSError:
                continue
            closing.pop_all()
            return opened
    what = f"is taken by another program, or by a page that is open already at http://{HERE_ALONE}:{port}/"
    raise Refused([Problem(f"--port {port or USUAL_PORT}", what, "name another: samedirt page --port 8500")])


def _bound(host: str, port: int) -> socket.socket:
    # asyncio sends an answer at once on what says that it is TCP; else its second half waits 40 ms for a word
    opened = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    opened.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        opened.bind((host, port))
    except OSError:
        opened.close()
        raise
    return opened
