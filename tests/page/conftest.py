"""A page served in this process, and a real browser that opens it."""

import socket
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import uvicorn

from trials.logbook.logbook import Logbook
from trials.page.app import page_app
from trials.page.desk import Desk


@pytest.fixture
def address(tmp_path: Path) -> Iterator[str]:
    """The page of the logbook in the folder of the test, served in this process."""
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        port = listening.getsockname()[1]
        app = page_app(Desk(Logbook(tmp_path / "logbook.duckdb")), port)
        server = uvicorn.Server(uvicorn.Config(app, log_level="error", ws="none"))
        running = threading.Thread(target=lambda: server.run(sockets=[listening]))
        running.start()
        while not server.started:
            time.sleep(0.01)
        yield f"http://127.0.0.1:{port}"
        server.should_exit = True
        running.join()


@pytest.fixture
def open_at(browser: Any, address: str) -> Iterator[Any]:
    """Open pages; at the end none complained, and none asked for anything but this machine."""
    asked: list[str] = []
    said: list[str] = []
    opened: list[Any] = []

    def opener(**how: Any) -> Any:
        context = browser.new_context(base_url=address, **how)
        page = context.new_page()
        page.on("request", lambda request: asked.append(request.url))
        page.on("console", lambda message: said.append(message.text))
        page.on("pageerror", lambda error: said.append(str(error)))
        opened.append(context)
        return page

    yield opener
    for context in opened:
        context.close()
    assert [url for url in asked if not url.startswith(address)] == []
    assert [text for text in said if "422" not in text and "413" not in text] == []  # told by the page itself
