"""The server is killed as it stores: what was confirmed is there, nothing is there twice, and a form is sent again."""

import random
import threading
import time
from pathlib import Path

import httpx
import pytest

from schemas import is_made
from tests.commands.typed_in import plan_of, planned, read, tags_of
from tests.page.served import Served
from tests.page.visitor import hidden_of, words_of
from tests.sizes import SIZE

pytestmark = pytest.mark.waits
KILLS = max(5, round(1000 * (SIZE - 0.1) / 0.9))  # 1,000 at full size, and a handful at the usual tenth
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
