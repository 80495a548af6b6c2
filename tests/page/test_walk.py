"""The whole job at the page in a real browser: plan, lock, runs, check, verdict, report, decision."""

from collections.abc import Callable, Iterator
from itertools import cycle
from pathlib import Path
from typing import Any

import pytest

from schemas import Record, Run, is_made
from tests.commands.typed_in import made, plan_of, planned, read, stored
from tests.folders import ROUGH, SMOOTH
from tests.page.hand import KEYS, MOUSE, TOUCH, Hand
from tests.page.test_in_a_browser import broken_rules
from tests.page.test_runs import MOMENT, comparable
from tests.sizes import SIZE
from trials.page.run_fields import answer_of
from trials.talk.run_talk import talk_of_run

NAME = "rough-bed"
IS_WHOLE = SIZE >= 1
PAIRS = 5 if IS_WHOLE else 3
TYPED = 12 if IS_WHOLE else 3
"""Runs that are typed; in a quick run the others are there."""
SCREENS_SEEN = 2
PLAN = {
    "name": NAME,
    "gear.kind": "finishing table",
    "change.variable": "texture",
    "change.baseline": "painted",
    "change.changed": "180 grit",
    "lot.kind": "table tailings",
    "lot.mass": "12 kg",
    "guess.gold": "20 mg/kg",
    "held.charge": "350 g",
    "tails too": "no",
    "run + cleanup": "10 min + 4 min",
    "worth_having": "20 %",
    "pairs + spares": f"{PAIRS} + 1",
}
SENT = """() => Object.fromEntries(new FormData(document.querySelector("main form[method=post]")))"""
UNTYPED = ("token", "form", "at", "anew", "seed")
WAYS = [(MOUSE,), (TOUCH,), (KEYS,)] if IS_WHOLE else [(KEYS, TOUCH, MOUSE)]
"""By each alone; in a quick run by each in turn."""


def planned_by(hand: Hand) -> tuple[list[str], str]:
    """Answer screen after screen and store the plan: what was answered in order, - where nothing, and the seed.

    In a quick run the first screens alone, and nothing is stored.
    """
    page, told = hand.page, []
    hand.link("New plan")
    while "Store the plan" not in page.inner_text("main"):
        if not IS_WHOLE and len(told) == SCREENS_SEEN:
            return [], ""
        names = page.eval_on_selector_all("main input", "all => all.map(one => one.name)")
        stands = page.evaluate(SENT)
        for name in dict.fromkeys(name for name in names if name in PLAN and stands.get(name) != PLAN[name]):
            is_choice = page.locator(f'[name="{name}"]').first.get_attribute("type") == "radio"
            (hand.choose if is_choice else hand.type)(name, PLAN[name])
        sent = page.evaluate(SENT)
        shown = [name for name in dict.fromkeys(names) if name not in UNTYPED]
        told.append({name: sent.get(name) or "-" for name in shown})
        hand.button("Go on")
    seed = page.evaluate(SENT)["seed"]
    hand.button("Store the plan")
    return list({name: text for screen in told for name, text in screen.items()}.values()), seed


def begun(folder: Path) -> None:
    """A plan that is locked, with all its runs but one."""
    plan = planned(folder, plan_of(pairs=PAIRS, spares=1))
    runs = [made(run) if (run.turn or 0) <= 2 * PAIRS - 1 else run for run in plan.runs]
    stored(folder, plan.model_copy(update={"runs": tuple(runs)}))


def waiting(folder: Path) -> Iterator[Run]:
    """The runs in the order in which the page wants them, as the logbook has them by then."""
    tags = {run.tag for run in read(folder).runs if is_made(run)}
    while True:
        runs = sorted(read(folder).runs, key=lambda run: run.turn or 0)
        spared = any(run.is_void for run in runs)
        left = [run for run in runs if run.tag not in tags and (run.pair <= PAIRS or spared)]
        if not left:
            return
        tags.add(left[0].tag)
        yield left[0]


def typed_in(hand: Hand, record: Record, run: Run, *, slips: bool) -> dict[str, str]:
    """Type one run in from its tag, and store it: its answers, as they are typed in one line."""
    page, tag = hand.page, run.tag
    hand.link(tag or "")
    grains = (SMOOTH if run.arm == "baseline" else ROUGH)[run.pair - 1]
    if slips:
        hand.choose("feeder", "A")
        hand.type("water_l_min", "8")
        hand.type("2 water_l_min", "7.9")
        hand.type("temp_c", "54")
        hand.select("unit temp_c", "F")
    hand.type("minutes", "9.5")
    hand.type("cleanup_minutes", "400" if slips else "4")
    hand.type("grains", str(grains))
    hand.type("gross black_sand_g", "18.6")
    hand.type("tare black_sand_g", "12.2")
    if slips:
        hand.button(f"Store {tag}")
        assert "Did you mean 40 min?" in page.inner_text("main")
        hand.type("cleanup_minutes", "4")
    sent = page.evaluate(SENT)
    hand.button(f"Store {tag}")
    talk = talk_of_run(record, run, correcting=False, now=MOMENT)
    answers = {ask.key: answer_of(ask, sent)[0] for ask in talk.asks}
    return {key: text for key, text in answers.items() if text}


def judged_by(hand: Hand, each: Iterator[str]) -> None:
    """From the last run over check, verdict and report to a stored decision."""
    page = hand.page
    hand.go_by(next(each))
    hand.link("All are in: the check")
    assert "Was it a fair trial?" in page.inner_text("h1")
    hand.go_by(next(each))
    hand.link("The verdict")
    sentence = page.inner_text("h1")
    assert f"{PAIRS} pairs" in sentence
    page.evaluate("() => Promise.all([...document.images].map(one => one.decode()))")
    hand.go_by(next(each))
    hand.link("Files")
    hand.link("Read the report")
    assert sentence in page.inner_text("body")
    page.go_back()
    hand.link("Decide")
    hand.choose("word", "keep")
    hand.type("note", "less to pan")
    hand.button("Store")
    assert f"{NAME} decided: keep" in page.inner_text("main")


def looked_at(page: Any) -> Callable[[], None]:
    """What looks at every page of the whole walk as it is come to."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()

    def look() -> None:
        if page.query_selector("main") is not None and "/report" not in page.url:
            page.evaluate("() => Promise.all([...document.images].map(one => one.decode()))")
            assert broken_rules(page, axe) == [], page.url

    return look


@pytest.mark.parametrize("ways", WAYS, ids="-".join)
def test_the_whole_round_leaves_what_the_commands_leave(
    ways: tuple[str, ...], open_at: Any, samedirt: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By mouse, by touch or by keyboard alone: a slip, a correction, a void and its spares on the way."""
    scheme = "dark" if TOUCH in ways else "light"
    page = open_at(viewport={"width": 1100, "height": 800}, has_touch=True, color_scheme=scheme)
    hand, each = Hand(page, arrived=looked_at(page) if IS_WHOLE else None), cycle(ways)
    (tmp_path / "there").mkdir()
    monkeypatch.chdir(tmp_path / "there")
    monkeypatch.setattr("secrets.randbelow", lambda _: 41)  # one draw, so that the checks find the same each time

    def command(*words: object) -> None:
        if IS_WHOLE:  # in a quick run `test_runs` and `test_plan` compare what is left
            said = samedirt(*words)
            assert said.code == 0, said.err

    page.goto("/")
    hand.go_by(next(each))
    told, seed = planned_by(hand)
    if IS_WHOLE:
        typed = iter([*told, "yes"])
        monkeypatch.setattr("builtins.input", lambda _: next(typed))
        command("plan", "--ask", "--seed", seed)
        hand.button("Lock the plan and make the papers")
        command("sheet", NAME)
        hand.link("Run it, then type in the runs")
    else:
        begun(tmp_path)
        page.goto(f"/trial/{NAME}/runs")

    for at, run in enumerate(waiting(tmp_path)):
        hand.go_by(next(each))
        answers = typed_in(hand, read(tmp_path), run, slips=at == 0)
        assert f"{run.tag} stored (" in page.inner_text("main")
        command("enter", NAME, run.tag, *(f"--set={key}={text}" for key, text in answers.items()))
        if at == 0:
            hand.link(f"Correct {run.tag}")
            hand.type("grains", "33")
            hand.type("why", "counted twice")
            hand.button(f"Store {run.tag}")
            assert "1 value corrected" in page.inner_text("main")
            command("enter", NAME, run.tag, "--again", "--why", "counted twice", "--set", "grains=33")
        if at == TYPED - 3:
            hand.link(f"Strike {run.tag}")
            hand.choose("why", "spill")
            hand.button(f"Strike {run.tag}")
            assert f"Spare pair {PAIRS + 1}" in page.inner_text("main")
            command("void", NAME, run.tag, "--why", "spill")
    assert at == TYPED - 1

    judged_by(hand, each)
    command("decide", NAME, "keep", "--note", "less to pan")
    if IS_WHOLE:
        assert comparable(read(tmp_path)) == comparable(read(tmp_path / "there"))
