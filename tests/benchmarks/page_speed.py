"""How long the page takes on a logbook of 200 trials, beside a bare Starlette page served in the same run.

Run as `python tests/benchmarks/page_speed.py`. It prints medians, ratios and sizes, and passes no judgement. "Anew" is
after a write, when all is read again; the other column is of a logbook that was left alone for a while.
"""

import http.client
import os
import statistics
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
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
BARE = "a bare Starlette page"
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


def seconds(asked: http.client.HTTPConnection, path: str) -> tuple[float, int]:
    """How long an answer takes, and its size."""
    begun = time.perf_counter()
    asked.request("GET", path)
    answer = asked.getresponse()
    body = answer.read()
    assert answer.status == 200, (path, answer.status)
    return time.perf_counter() - begun, len(body)


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
            took: dict[str, list[float]] = {BARE: [], **{f"{name}": [] for name in pages}}
            anew: dict[str, list[float]] = {name: [] for name in pages}
            sizes = {BARE: seconds(beside, "/")[1]}
            for name, path in pages.items():  # templates are compiled
                sizes[name] = seconds(page, path)[1]
            for turn in range(ROUNDS):
                now = time.time()
                os.utime(book, (now - turn, now))  # as after a write: nothing that was read is kept
                for name, path in pages.items():
                    anew[name].append(seconds(page, path)[0])
                os.utime(book, (now - 60 - turn, now - 60 - turn))
                for name, path in pages.items():
                    seconds(page, path)
                    took[name].append(seconds(page, path)[0])
                took[BARE].append(seconds(beside, "/")[0])
    floor = statistics.median(took[BARE])
    print(f"{'':<24}{'ms':>8}{'times':>8}{'anew, ms':>10}{'KB':>8}")  # noqa: T201 - a script that prints
    for name, times in took.items():
        median = statistics.median(times)
        again = f"{1000 * statistics.median(anew[name]):.1f}" if name in anew else ""
        print(f"{name:<24}{1000 * median:8.1f}{median / floor:8.1f}{again:>10}{sizes[name] / 1000:8.1f}")  # noqa: T201


if __name__ == "__main__":
    main()
