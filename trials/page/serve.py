"""The page served from this machine: a port of its own, the address told, the browser opened, ended by Ctrl-C."""

import socket
from collections.abc import Callable
from contextlib import suppress

import uvicorn

from trials.errors import Problem, Refused
from trials.page.app import page_app
from trials.page.desk import Desk

HERE_ALONE = "127.0.0.1"
USUAL_PORT = 8467
TRIED = 20
AT_ONCE = 500  # connections; more are told to come again
KEEPS_S = 5


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


def serve(desk: Desk, port: int | None, opened: Callable[[str], None]) -> None:
    """Serve the page until Ctrl-C; `opened` is told the address once it answers there.

    Raises Refused: the port is taken; where none is named, the next that is free is.
    """
    listening = _listen(port)
    own = listening.getsockname()[1]
    config = uvicorn.Config(
        page_app(desk, own),
        log_level="error",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        limit_concurrency=AT_ONCE,
        timeout_keep_alive=KEEPS_S,
        timeout_graceful_shutdown=2,
        ws="none",
    )
    server = _Opening(config, lambda: opened(f"http://{HERE_ALONE}:{own}/"))
    with listening, suppress(KeyboardInterrupt):
        server.run(sockets=[listening])


def _listen(port: int | None) -> socket.socket:
    """A socket on this machine alone."""
    for one in (port,) if port is not None else range(USUAL_PORT, USUAL_PORT + TRIED):
        # asyncio sends an answer at once on what says that it is TCP; else its second half waits 40 ms for a word
        opened = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        opened.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            opened.bind((HERE_ALONE, one))
        except OSError:
            opened.close()
            continue
        return opened
    what = f"is taken by another program, or by a page that is open already at http://{HERE_ALONE}:{port}/"
    raise Refused([Problem(f"--port {port or USUAL_PORT}", what, "name another: samedirt page --port 8500")])
