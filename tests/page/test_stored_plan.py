"""A stored plan at the page: what it may find, amended and rehearsed as by the commands."""

import re
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from demo_trials import folders
from tests.commands.typed_in import GOLD_TRIAL, drawn, flat, plan_of, planned, read, stored
from tests.page.test_runs import MOMENT
from tests.page.visitor import PORT, Visitor, fields_of, words_of
from trials.changes.lock import lock
from trials.files.folder import read_folder
from trials.keeping.storing import apply
from trials.logbook.logbook import Logbook
from trials.page.app import page_app
from trials.page.desk import Desk
from trials.page.rehearsals import Underway

RICH = GOLD_TRIAL + '[guess]\ngold = "20 mg/kg"\nsizes = "fine"\n'


@pytest.fixture
def visitor(tmp_path: Path) -> Visitor:
    """Someone at the page of a logbook with two plans, of which one is locked."""
    stored(tmp_path, drawn(plan_of(spares=1, locked=None)), lock(drawn(plan_of(RICH)), MOMENT.date()))
    return Visitor(tmp_path / "logbook.duckdb")


def test_a_stored_plan_says_what_it_may_find(visitor: Visitor) -> None:
    """Its runs, its noise, its advice, its charts, and the ways compared, in words that name no command."""
    page = visitor.get("/trial/steeper/plan", params={"tracers": "0"})
    words = words_of(page)
    for said in ("Its noise is made of", "Mind, pairs", "Ways to find 20 % more gold kept"):
        assert said in words, said
    assert "samedirt " not in words and "--" not in words
    for which, told in (("pairs", "pairs"), ("noise", "noise")):
        assert f"/trial/steeper/chart/{which}-wide.svg" in page.text
        assert told in visitor.get(f"/trial/steeper/chart/{which}-narrow.svg").text
    assert "no chart" in words_of(visitor.get("/trial/steeper/chart/pairs-huge.svg"))
    assert "whole number from 0 to 5,000" in words_of(visitor.get("/trial/steeper/plan", params={"tracers": "many"}))


def test_a_plan_is_amended_as_by_the_command(visitor: Visitor, samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """With its reason where it is locked, and drawn anew where it is not; every refusal is told at its field."""
    path = "/trial/steeper/plan"
    assert "so a change needs its reason" in words_of(visitor.fill(path, {"key": "pairs", "text": "5"}))
    assert "Nothing was stored steeper, pairs: many is not a whole number" in words_of(
        visitor.fill(path, {"key": "pairs", "text": "many", "why": "short"})
    )
    assert "Type what it is to be" in words_of(visitor.fill(path, {"key": "seed", "text": "2", "why": "short"}))
    (tmp_path / "there").mkdir()
    planned(tmp_path / "there", plan_of(RICH))
    book = tmp_path / "there" / "logbook.duckdb"
    apply(Logbook(book), "steeper", lambda record: lock(record, MOMENT.date()))
    by_hand = samedirt("plan", "steeper", "--amend", "pairs=5", "--why", "more dirt", "--logbook", book)
    page = words_of(visitor.follow(visitor.fill(path, {"key": "pairs", "text": "5", "why": "more dirt"})))
    assert flat(by_hand.out).partition(": samedirt")[0] in page and "samedirt " not in page
    assert read(tmp_path, "steeper") == read(tmp_path / "there", "steeper")
    anew = words_of(visitor.follow(visitor.fill("/trial/rough-bed/plan", {"key": "pairs", "text": "4"})))
    assert "rough-bed is planned anew with pairs 4" in anew and read(tmp_path).trial.pairs == 4
    assert len(read(tmp_path).runs) == 2 * (4 + 1) and not read(tmp_path).trial.amended


def test_a_plan_is_rehearsed_as_by_the_command(visitor: Visitor, samedirt: Callable[..., Any]) -> None:
    """Begun, watched, and told in the same words, with its charts; of a plan that was changed nothing is told."""
    path = "/trial/steeper/rehearse"
    for of, more, chart in (("plan", (), "rehearsal"), ("habits", ("--habit", "all"), "habits")):
        answer = visitor.fill(path, {"of": of, "times": "2000"})
        for _ in range(600):
            page = visitor.follow(answer)
            if "See how far it is" not in page.text:
                break
            time.sleep(0.05)
        said = samedirt("rehearse", "steeper", "--times", "2000", "--no-chart", *more)
        told = words_of(page)
        for line in said.out.splitlines()[:4]:
            assert " ".join(line.split()) in told, line
        assert "samedirt " not in told
        (place,) = re.findall(rf"/trial/steeper/rehearsed/{of}-2000-{chart}-wide.svg", page.text)
        assert visitor.get(place).text.startswith("<svg")
    assert visitor.get(place.replace("2000", "20000")).status_code == 404
    visitor.follow(visitor.fill("/trial/steeper/plan", {"key": "pairs", "text": "5", "why": "more dirt"}))
    assert "rehearsed 2,000 times" not in words_of(visitor.get(f"{path}?of=plan-2000"))


def test_a_rehearsal_under_way_tells_how_far_it_is(visitor: Visitor, tmp_path: Path) -> None:
    """What is being done and how many of how many, with a way to look again; one that can't be is told why."""
    desk = Desk(Logbook(visitor.book))
    trial = read(tmp_path, "steeper").trial
    own = desk.rehearsals.kept["steeper", "plan", 20000] = Underway(trial, "plan", 20000, "Getting ready")
    own.tell("Nothing changed")(5000, 20000)
    watching = Visitor(visitor.book, page_app(desk, PORT))
    page = watching.get("/trial/steeper/rehearse")
    assert "Nothing changed: 5,000 of 20,000" in words_of(page) and "See how far it is" in words_of(page)
    assert '<progress value="5000" max="20000"' in page.text and "data-again" in page.text
    assert "form" not in fields_of(page)
    answer = watching.fill("/trial/rough-bed/rehearse", {"of": "plan", "times": "2000"})
    while "See how far it is" in words_of(page := watching.follow(answer)):
        time.sleep(0.05)
    assert "says nothing of the gold in the dirt" in words_of(page)
    stored(tmp_path, read_folder(next(path for path in folders() if path.name == "four-grits")))
    answer = watching.fill("/trial/four-grits/rehearse", {"of": "habits", "times": "2000"})
    while "See how far it is" in words_of(page := watching.follow(answer)):
        time.sleep(0.05)
    assert "; rehearse the plan itself, or plan two of its set-ups" in words_of(page)  # said so in a thread of its own


def test_a_rehearsal_that_breaks_down_is_over(visitor: Visitor, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever watches it is told, and does not look again for ever."""

    def broken(*_: object) -> None:
        raise MemoryError

    monkeypatch.setattr("trials.rehearsal.plan_rehearsed.rehearse_both", broken)
    monkeypatch.setattr("threading.excepthook", lambda _: None)
    answer = visitor.fill("/trial/steeper/rehearse", {"of": "plan", "times": "2000"})
    for _ in range(100):
        if "The rehearsal broke off." in words_of(page := visitor.follow(answer)):
            break
        time.sleep(0.05)
    assert "The rehearsal broke off." in words_of(page) and "See how far it is" not in words_of(page)
