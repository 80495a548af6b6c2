"""How long the page takes on a logbook of 200 trials, beside a bare Starlette page served in the same run.

Run as `python -m tests.benchmarks.page_speed`. It prints medians, ratios and sizes, and passes no judgement. "Anew" is
after a write, when all is read again; before it stands what a logbook takes that was left alone for a while. "Work" is
the processor's time, which a busy machine does not stretch.
"""

import http.client
import os
import statistics
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse
from starlette.routing import Route
from starlette.types import ASGIApp

from demo_trials import folders
from schemas import Record
from tests.commands.typed_in import half_done, read
from trials.files.folder import packed, read_folder
from trials.keeping.storing import store_all
from trials.logbook.logbook import Logbook
from trials.page.app import page_app
from trials.page.desk import Desk
from trials.page.guard import HERE_ALONE
from trials.page.serve import _bound

TRIALS, ROUNDS = 200, 21
PRICED = "two-mats"


def many(folder: Path) -> None:
    """A logbook of 200 trials: the demo trials under many names, and one half done."""
    book = Logbook(folder / "logbook.duckdb")
    found: list[Record] = [read_folder(path) for path in folders()]
    records = [
        found[number % len(found)].model_copy(
            update={"trial": found[number % len(found)].trial.model_copy(update={"name": f"trial-{number}"})}
        )
        for number in range(TRIALS - 2)
    ]
    priced = next(one for one in found if one.trial.name == PRICED)
    store_all(book, [packed(Path(one.trial.name), one) for one in [*records, priced]], why=None, stands=None)
    half_done(folder, 3)


@contextmanager
def served(app: ASGIApp, listening: object, port: int) -> Iterator[http.client.HTTPConnection]:
    """Serve an app in this process, and a connection to it that is kept."""
    server = uvicorn.Server(uvicorn.Config(app, log_level="error", ws="none", timeout_keep_alive=600))
    running = threading.Thread(target=lambda: server.run(sockets=[listening]), daemon=True)
    running.start()
    while not server.started:
        time.sleep(0.01)
    asked = http.client.HTTPConnection(HERE_ALONE, port)
    yield asked
    asked.close()
    server.should_exit = True
    running.join()


@dataclass
class Times:
    """What answers took, by the clock and of the processor, and how large they were."""

    clock: list[float] = field(default_factory=list)
    processor: list[float] = field(default_factory=list)
    size: int = 0

    def ask(self, asked: http.client.HTTPConnection, path: str) -> None:
        """Ask once more."""
        begun, worked = time.perf_counter(), time.process_time()
        asked.request("GET", path)
        answer = asked.getresponse()
        self.size = len(answer.read())
        assert answer.status == 200, (path, answer.status)
        self.clock.append(1000 * (time.perf_counter() - begun))
        self.processor.append(1000 * (time.process_time() - worked))


async def bare(_: Request) -> HTMLResponse:
    """As little as a page can be."""
    return HTMLResponse("<!doctype html><title>bare</title><p>bare")


def main() -> None:
    """Print a line for each page."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        many(folder)
        book = folder / "logbook.duckdb"
        half = read(folder)
        waits, made = (next(run.tag for run in half.runs if (run.pair > 3) is later) for later in (True, False))
        pages = {
            "logbook": "/",
            "logbook, filtered": "/?gear=sluice&sort=gain",
            "new plan": "/plan",
            "load": "/load",
            "trial": "/trial/rough-bed",
            "runs": "/trial/rough-bed/runs",
            "type in a run": f"/trial/rough-bed/run/{waits}",
            "correct a run": f"/trial/rough-bed/correct/{made}",
            "decide": "/trial/rough-bed/decide",
            "check": f"/trial/{PRICED}/check",
            "worth": f"/trial/{PRICED}/worth",
            "history": f"/trial/{PRICED}/history",
        }
        sockets = [_bound(HERE_ALONE, 0) for _ in range(2)]
        ports = [one.getsockname()[1] for one in sockets]
        desk = Desk(Logbook(book))
        with (
            served(page_app(desk, ports[0]), sockets[0], ports[0]) as page,
            served(Starlette(routes=[Route("/", bare)]), sockets[1], ports[1]) as beside,
        ):
            took, anew, floor = {name: Times() for name in pages}, {name: Times() for name in pages}, Times()
            for path in pages.values():  # templates are compiled
                Times().ask(page, path)
            for turn in range(ROUNDS):
                now = time.time()
                os.utime(book, (now - turn, now))  # as after a write: nothing that was read is kept
                for name, path in pages.items():
                    anew[name].ask(page, path)
                os.utime(book, (now - 60 - turn, now - 60 - turn))
                for name, path in pages.items():
                    Times().ask(page, path)
                    took[name].ask(page, path)
                floor.ask(beside, "/")
    beside_ms = statistics.median(floor.clock)
    print(f"{'':<24}{'ms':>8}{'times':>8}{'work':>8}{'anew':>8}{'work':>8}{'KB':>8}")  # noqa: T201 - a script that prints
    print(f"{'a bare Starlette page':<24}{beside_ms:8.1f}{1:8.1f}{statistics.median(floor.processor):8.1f}")  # noqa: T201
    for name, times in took.items():
        clock, work, again, rework = map(
            statistics.median, (times.clock, times.processor, anew[name].clock, anew[name].processor)
        )
        told = (clock, clock / beside_ms, work, again, rework, times.size / 1000)
        print(f"{name:<24}" + "".join(f"{number:8.1f}" for number in told))  # noqa: T201


if __name__ == "__main__":
    main()
