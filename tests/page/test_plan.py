"""A plan made at the page: the same questions, refusals and advice, and the plan that the same answers make."""

import builtins
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.commands.typed_in import flat, read
from tests.page.visitor import Visitor, fields_of, words_of

ANSWERS = {
    "name": "mat",
    "gear.kind": "sluice",
    "change.variable": "mat",
    "change.baseline": "ribbed",
    "change.changed": "<i>looped</i>",
    "pitch, water": "4 deg, 30 L/min",
    "lot.kind": "natural",
    "lot.mass": "200 kg",
    "guess.gold": "1 mg/kg",
    "held.charge": "10 kg",
    "worth_having": "4 points",
}
SEED = "41"


@pytest.fixture
def visitor(tmp_path: Path) -> Visitor:
    """Someone at a page with no logbook yet."""
    return Visitor(tmp_path / "logbook.duckdb")


def test_a_screen_that_is_shown_once_more_says_why(visitor: Visitor) -> None:
    """Gold that is guessed asks for the size of its grains, on the screen that was just answered."""
    pages = []
    while len(pages) < 6:
        pages.append(visitor.get("/plan"))
        fields = {name: ANSWERS.get(name, text) for name, text in fields_of(pages[-1]).items() if name != "anew"}
        choices = {
            name: ANSWERS[name] for name in ("gear.kind", "change.variable", "lot.kind") if name in pages[-1].text
        }
        assert visitor.post("/plan", fields | choices).status_code == 303
    assert "These answers ask for more: And how large are its grains?" in words_of(pages[-1])
    assert not any("ask for more" in page.text for page in pages[:-1])


def filled_in(visitor: Visitor, answers: dict[str, str]) -> tuple[Any, list[str]]:
    """Answer screen after screen, as far as they go: the last page, and what was answered in order, - where nothing."""
    told: list[str] = []
    while True:
        page = visitor.get("/plan")
        names = [name for name in re.findall(r'<input [^>]*name="([^"]+)"', page.text) if name not in HIDDEN]
        if "seed" in fields_of(page):
            return page, told
        fields = {name: text for name, text in fields_of(page).items() if name != "anew"}
        fields |= {name: answers[name] for name in names if name in answers}
        told += [fields.get(name) or "-" for name in dict.fromkeys(names)]
        answer = visitor.post("/plan", fields)
        if answer.status_code != 303:
            return answer, told


HIDDEN = ("token", "form", "at", "anew", "seed")


def test_the_same_answers_make_the_same_plan(
    visitor: Visitor, samedirt: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Screen by screen or question by question: one plan, its words, its papers, its lock."""
    last, told = filled_in(visitor, ANSWERS)
    page = visitor.post("/plan", fields_of(last) | {"seed": SEED, "anew": ""})
    assert "mat is stored" in words_of(visitor.follow(page))
    (tmp_path / "there").mkdir()
    book = tmp_path / "there" / "logbook.duckdb"
    typed = iter([*told, "yes"])
    monkeypatch.setattr(builtins, "input", lambda _: next(typed))
    said = samedirt("plan", "--ask", "--seed", SEED, "--logbook", book)
    assert said.code == 0, said.out[-900:]
    assert read(tmp_path, "mat") == read(tmp_path / "there", "mat")
    note = re.search(r"Note, pairs: .*?enough\.", flat(said.out))
    assert note is not None and note.group() in words_of(last)
    locked = visitor.follow(visitor.fill("/trial/mat/papers", {}))
    assert "mat is locked from today" in words_of(locked) and read(tmp_path, "mat").trial.locked is not None
    assert "<i>looped" not in visitor.get("/trial/mat/paper/creek").text
    assert "looped" not in visitor.get("/trial/mat/paper/panner").text
    for kind in ("phone-creek", "phone-panner"):
        handed = visitor.get(f"/trial/mat/paper/{kind}")
        assert f'attachment; filename="{kind}-mat.html"' in handed.headers["content-disposition"]
        assert f'href="/trial/mat/paper/{kind}"' in locked.text and ("looped" in handed.text) is (kind == "phone-creek")
    assert not (tmp_path / "plan-draft.toml").exists()


def test_a_plan_begun_is_kept_and_gone_back_in(visitor: Visitor, tmp_path: Path) -> None:
    """A tab closed half way loses nothing, the terminal can go on; an earlier screen changes an answer; all told at once."""
    refused, _ = filled_in(visitor, ANSWERS | {"worth_having": "20 %"})
    assert "No change could bring 20 % more gold kept" in words_of(refused)
    assert "What it means so far" in words_of(refused) or "scatter" in words_of(visitor.get("/plan")).casefold()
    assert 'gear.kind" = "sluice"' in (tmp_path / "plan-draft.toml").read_text(encoding="utf-8")
    again = visitor.get("/plan?at=4")
    assert fields_of(again)["lot.mass"] == "200 kg"
    fields = fields_of(again) | {"lot.mass": "200", "guess.gold": "much", "anew": ""}
    wrong = words_of(visitor.post("/plan", fields))
    assert "200 has no unit" in wrong and "much" in wrong
    fields |= {"lot.mass": "300 kg", "guess.gold": "1 mg/kg"}
    assert visitor.post("/plan", fields).status_code == 303
    assert fields_of(visitor.get("/plan?at=4"))["lot.mass"] == "300 kg"
    visitor.post("/plan", fields_of(visitor.get("/plan")) | {"anew": "yes"})
    assert not (tmp_path / "plan-draft.toml").exists()
    assert not visitor.book.exists()


DEMO = Path(__file__).parents[2] / "demo_trials"
OWN = ("texture", "180 grit", "120 grit")
ASKED = ("grain_counts", "20 %")
PAGE = {
    "change.baseline": "ribbed",
    "change.changed": "looped",
    "lot.mass": "40 kg",
    "measure": "grain_counts",
    "worth_having": "20 %",
}


def test_what_an_earlier_trial_answers_is_offered_with_its_name(
    samedirt: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Gear, dirt, settings and hands of the last trial that has them, and its scatter: Enter takes each, as the page."""
    assert samedirt("load", str(DEMO / "rough-bed"), str(DEMO / "twin-inserts")).code == 0
    typed = iter(
        ["next", "", "", *OWN, "minutes", "", "", "40 kg", "", "", "", "", "", "", *ASKED, "", "", "", "", "", "yes"]
    )
    monkeypatch.setattr(builtins, "input", lambda _: next(typed))
    said = flat(samedirt("plan", "--ask").out)
    for asked in ("Which gear?", "with how much water, in both arms?", "What dirt will be run?", "is one run fed?"):
        assert f"{asked} Offered: as in rough-bed." in said
    trial = read(tmp_path, "next").trial
    held = (trial.held.pitch_deg, trial.held.water_l_min, trial.held.charge_g)
    assert held == (4.0, 8.0, 500.0) and trial.guess.scatter_from == "rough-bed"
    dirt = trial.lots[0]
    assert (trial.gear.kind, dirt.kind, dirt.splitting) == ("finishing table", "table tailings", "riffle splitter")
    assert "Scatter of pairs: 25 % as seen in rough-bed (8 pairs)" in said
    visitor = Visitor(tmp_path / "logbook.duckdb")
    last, _ = filled_in(visitor, {"name": "third", "change.variable": "mat", **PAGE})
    assert "25 % as seen in rough-bed" in words_of(last)
