"""A server killed as it stores, a phone that falls asleep: what was confirmed is there, and nothing is there twice."""

import random
import socket
import threading
import time
from contextlib import ExitStack
from pathlib import Path
from urllib.parse import urlencode

import httpx
import pytest

from schemas import is_made
from tests.commands.typed_in import half_done, plan_of, planned, read, tags_of
from tests.page.served import Served
from tests.page.visitor import hidden_of, words_of
from tests.sizes import SIZE

pytestmark = pytest.mark.waits
KILLS = max(3, round(1000 * (SIZE - 0.1) / 0.9))  # 1,000 at full size, and a handful at the usual tenth
PAIRS = 8
RUN = "/trial/rough-bed/run/{}"


def killed_as_it_stores(page: Served, tag: str, grains: int, after_s: float) -> tuple[dict[str, str], bool]:
    """Send a run, and kill the server so long after: the form, and whether the answer said that it is stored."""
    form = page.form(RUN.format(tag)) | {"grains": str(grains)}
    kill = threading.Timer(after_s, page.program.kill)
    kill.start()
    try:
        answer = page.browser.post(RUN.format(tag), data=form)
    except httpx.TransportError:
        return form, False
    finally:
        kill.join()
    assert answer.status_code == 303, words_of(answer)
    return form, True


def sent_again(page: Served, tag: str, form: dict[str, str]) -> bool:
    """Send the same form to the server that was started anew, as the page says: whether it was stored only now."""
    answer = page.browser.post(RUN.format(tag), data=form)
    if answer.status_code == 403:
        assert "started anew" in words_of(answer)
        answer = page.browser.post(RUN.format(tag), data=hidden_of(answer))
    assert answer.status_code == 303 or "entered already" in words_of(answer), words_of(answer)
    return answer.status_code == 303


def test_no_run_that_was_confirmed_is_lost_and_none_is_there_twice(tmp_path: Path) -> None:
    """Killed at any moment of a store; whoever saw no answer sends the form again, and it is stored once."""
    rng, took = random.Random(20260507), 0.3  # noqa: S311 - seeded moments
    told = {"confirmed": 0, "stored unsaid": 0, "not stored": 0}
    waiting: tuple[str, dict[str, str], bool] | None = None  # a form that had no answer, and whether it is stored
    grains: dict[str, int] = {}
    for kill in range(KILLS):
        at = kill % (2 * PAIRS)
        if at == 0:
            folder, waiting, grains = tmp_path / str(kill), None, {}
            folder.mkdir()
            tags = tags_of(planned(folder, plan_of(pairs=PAIRS, spares=0)))
            browser = Served(folder / "logbook.duckdb")
        tag, count = tags[at], rng.randint(40, 60)
        with browser as page:
            if waiting is not None:
                begun, (before, form, is_stored) = time.monotonic(), waiting
                assert sent_again(page, before, form) is not is_stored
                grains[before] = int(form["grains"])
                took = took if is_stored else min(2.0, time.monotonic() - begun)
            form, is_confirmed = killed_as_it_stores(page, tag, count, rng.uniform(0.0, 1.2) * took)
        record = read(folder)
        stored = {run.tag: run.grains for run in record.runs if is_made(run)}
        is_stored = tag in stored
        assert stored == grains | ({tag: count} if is_confirmed or is_stored else {})
        assert not record.corrections and len(record.runs) == len({run.key for run in record.runs}) == 2 * PAIRS
        grains = {name: int(number or 0) for name, number in stored.items()}
        waiting = None if is_confirmed else (tag, form, is_stored)
        told["confirmed" if is_confirmed else "stored unsaid" if is_stored else "not stored"] += 1
    print(f"{KILLS} kills: {told}")  # noqa: T201 - shown with -s


def test_a_phone_that_falls_asleep_loses_nothing_and_stores_once(tmp_path: Path) -> None:
    """Gone half way, nothing is stored; gone before the answer, the same form sent again is stored once in all.

    200 connections that only begin to ask keep nobody out, and are let go; and no error is told at the machine.
    """
    half_done(tmp_path, 3)
    decide = "/trial/rough-bed/decide"
    with Served(tmp_path / "logbook.duckdb", patience_s=0.4) as page:
        form = page.form(decide) | {"word": "keep", "note": "asleep"}
        cookies = "; ".join(f"{name}={text}" for name, text in page.browser.cookies.items())
        body = urlencode(form).encode()
        lines = (
            f"POST {decide} HTTP/1.1",
            f"Host: 127.0.0.1:{page.port}",
            f"Origin: {page.address}",
            f"Cookie: {cookies}",
            "Content-Type: application/x-www-form-urlencoded",
            f"Content-Length: {len(body)}",
        )
        head = "\r\n".join((*lines, "", "")).encode()

        def asked(sent: bytes) -> socket.socket:
            opened = socket.create_connection(("127.0.0.1", page.port), timeout=20)
            opened.sendall(sent)
            return opened

        asked(head + body[:20]).close()
        assert page.browser.get("/").status_code == 200 and not read(tmp_path).corrections
        asked(head + body).close()
        again = page.browser.post(decide, data=form)
        assert again.status_code == 303 and [one.why for one in read(tmp_path).corrections] == ["asleep"]
        whole = f"GET /icon.svg HTTP/1.1\r\nHost: 127.0.0.1:{page.port}\r\n\r\n".encode()
        with ExitStack() as opened:
            beginnings = [b"", head[:40], whole + head[:40]]
            slow = [opened.enter_context(asked(beginnings[number % 3])) for number in range(200)]
            assert page.browser.get("/").status_code == 200
            for one in slow:
                while one.recv(65536):
                    pass
        assert page.browser.get("/").status_code == 200
        assert page.errors == ""
