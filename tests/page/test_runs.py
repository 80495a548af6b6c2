"""Runs typed in at the page: the logbook it leaves is the one that the same answers leave at the terminal."""

import builtins
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from threading import Thread
from typing import Any

import pytest

from schemas import Record
from tests.commands.typed_in import drawn, made, plan_of, planned, read, run_of, stored, tags_of
from tests.folders import ROUGH, SMOOTH
from tests.page.visitor import Visitor, fields_of, words_of
from tests.sizes import SIZE, scaled

LIKE_SLIP = "400"
PAIRS = scaled(6, 3)
MOMENT = datetime(2026, 5, 3)


@pytest.fixture
def visitor(tmp_path: Path) -> Visitor:
    """Someone at the page of a logbook with a plan of six pairs and a spare."""
    planned(tmp_path)
    return Visitor(tmp_path / "logbook.duckdb")


def answers_to(record: Record, tag: str) -> dict[str, str]:
    """What is typed of a run, by the name of what is asked."""
    run = next(one for one in record.runs if one.tag == tag)
    grains = (SMOOTH if run.arm == "baseline" else ROUGH)[(run.pair - 1) % 6]
    return {
        "session": "2026-05-03 am",
        "feeder": "A",
        "panner": "B",
        "fed": "350",
        "minutes": "9.5",
        "clean-up": "4",
        "water": "8 7.9",
        "temp": "54 F",
        "stripped": "yes",
        "ticks": "",
        "grains": str(grains),
        "sand": "18.6 12.2",
        "note": "wet, <b>cold</b>",
    }


AT_THE_PAGE = {
    "session": "session",
    "feeder": "feeder",
    "panner": "panner",
    "fed_g": "fed",
    "minutes": "minutes",
    "cleanup_minutes": "clean-up",
    "stripped": "stripped",
    "grains": "grains",
    "note": "note",
}


def fields_for(told: dict[str, str]) -> dict[str, str]:
    """The same in the fields of the page: a unit is a choice, two readings have a field each."""
    fields = {key: told[name] for key, name in AT_THE_PAGE.items()}
    start, end = told["water"].split()
    gross, tare = told["sand"].split()
    temp, unit = told["temp"].split()
    return fields | {
        "water_l_min": start,
        "2 water_l_min": end,
        "gross black_sand_g": gross,
        "tare black_sand_g": tare,
        "temp_c": temp,
        "unit temp_c": unit,
    }


def typed_at_the_terminal(told: dict[str, str], *, slips: bool) -> Callable[[str], str]:
    """A person who answers by what is asked; what is asked back of 400 minutes is answered with 4."""
    waiting = [LIKE_SLIP] if slips else []

    def answer(prompt: str) -> str:
        name = prompt.split(",", maxsplit=1)[0].split(":", maxsplit=1)[0].split(" [", maxsplit=1)[0].strip("> ")
        if prompt.startswith("yes takes it so"):
            return told["clean-up"]
        if name == "clean-up" and waiting:
            return waiting.pop()
        known = next((text for one, text in told.items() if name == one or name.startswith(f"{one} ")), None)
        return "" if known is None else known or "-"

    return answer


def test_the_round_leaves_what_it_leaves_at_the_terminal(
    visitor: Visitor, samedirt: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All runs, one with a slip on the way, one corrected, one struck and its spares run: both logbooks are equal.

    In a quick run three are there before.
    """
    (tmp_path / "there").mkdir()
    record = drawn(plan_of(pairs=PAIRS, spares=1))
    tags = tags_of(record, PAIRS)
    spares = [tag for tag in tags_of(record) if tag not in tags]
    before = () if SIZE >= 1 else tags[1:4]
    runs = tuple(made(run) if run.tag in before else run for run in record.runs)
    for folder in (tmp_path, tmp_path / "there"):
        stored(folder, record.model_copy(update={"runs": runs}))
    book = tmp_path / "there" / "logbook.duckdb"

    def both(tag: str) -> None:
        told, path = answers_to(record, tag), f"/trial/rough-bed/run/{tag}"
        monkeypatch.setattr(builtins, "input", typed_at_the_terminal(told, slips=tag == tags[0]))
        samedirt("enter", "rough-bed", tag, "--logbook", book)
        fields = fields_of(visitor.get(path)) | fields_for(told)
        if tag == tags[0]:
            slipped = visitor.post(path, fields | {"cleanup_minutes": LIKE_SLIP})
            assert "Did you mean 40 min?" in words_of(slipped), words_of(slipped)[:600]
            fields = fields_of(slipped) | {"cleanup_minutes": told["clean-up"]}
        assert f"{tag} stored" in words_of(visitor.follow(visitor.post(path, fields)))

    for tag in tags:
        if tag not in before:
            both(tag)
    again = ("--again", "--why", "counted twice", "--logbook", book)
    samedirt("enter", "rough-bed", tags[4], "--set", "grains=33", "--set", "note=-", *again)
    correct = {"grains": "33", "note": "", "why": "counted twice"}
    done = visitor.follow(visitor.fill(f"/trial/rough-bed/correct/{tags[4]}", correct))
    assert "2 values corrected" in words_of(done)
    samedirt("void", "rough-bed", tags[-1], "--why", "spill", "--logbook", book)
    struck = visitor.follow(visitor.fill(f"/trial/rough-bed/strike/{tags[-1]}", {"why": "spill"}))
    assert f"Spare pair {PAIRS + 1}" in words_of(struck)
    for tag in spares:
        both(tag)
    here, there = (comparable(read(folder)) for folder in (tmp_path, tmp_path / "there"))
    differ = [
        (a, b) for a, b in zip(here.runs + here.corrections, there.runs + there.corrections, strict=True) if a != b
    ]
    assert differ == [] and here == there


def comparable(record: Record) -> Record:
    """A record without the seconds at which it was changed."""
    corrections = tuple(one.model_copy(update={"when": MOMENT}) for one in record.corrections)
    return record.model_copy(update={"corrections": corrections})


def test_every_problem_of_a_form_is_told_at_its_field(visitor: Visitor, tmp_path: Path) -> None:
    """Wrong, swapped and doubtful answers are told all at once, nothing is stored, and what was typed stands there."""
    tag = tags_of(read(tmp_path))[0]
    wrong = {
        "grains": "thirty",
        "cleanup_minutes": "400",
        "gross black_sand_g": "12.2",
        "tare black_sand_g": "18.6",
        "temp_c": "x",
    }
    refused = visitor.fill(f"/trial/rough-bed/run/{tag}", wrong | {"session": "3/5/2026", "note": "back"})
    said = words_of(refused)
    for words in ("not a number", "Did you mean 40 min?", "swapped?", "could be 2026-05-03 or 2026-03-05"):
        assert words in said, said
    assert fields_of(refused)["grains"] == "thirty" and fields_of(refused)["note"] == "back"
    assert not run_of(tmp_path, tag).cleanup_minutes
    stands = fields_of(refused) | {
        "stands cleanup_minutes": "400",
        "grains": "31",
        "session": "2026-05-03 am",
        "temp_c": "12",
    }
    stands |= {"gross black_sand_g": "18.6", "tare black_sand_g": "12.2"}
    other = visitor.post(f"/trial/rough-bed/run/{tag}", stands | {"cleanup_minutes": "410"})
    assert "Did you mean 41 min?" in words_of(other)
    visitor.follow(visitor.post(f"/trial/rough-bed/run/{tag}", stands))
    assert run_of(tmp_path, tag).cleanup_minutes == 400 and run_of(tmp_path, tag).stands == {"cleanup_minutes"}


def test_two_tabs_and_a_double_click_store_once(visitor: Visitor, tmp_path: Path) -> None:
    """Two forms of one run, and one form sent twice at once: one is stored, and the other is told."""
    tag = tags_of(read(tmp_path))[0]
    path = f"/trial/rough-bed/run/{tag}"
    first, second = ({**fields_of(visitor.get(path)), "grains": grains} for grains in ("31", "44"))
    answers: list[Any] = []
    clicks = [Thread(target=lambda: answers.append(visitor.post(path, first))) for _ in range(2)]
    for click in clicks:
        click.start()
    for click in clicks:
        click.join()
    told = sorted("twice" in answer.headers["location"] for answer in answers)
    assert told == [False, True]
    late = visitor.post(path, second)
    assert late.status_code == 422 and "entered already" in words_of(late) and "Nothing was stored" in words_of(late)
    back = visitor.get(path)
    assert f"/trial/rough-bed/correct/{tag}" in back.text
    assert run_of(tmp_path, tag).grains == 31


def test_a_form_that_was_overtaken_takes_nothing_back(visitor: Visitor, tmp_path: Path) -> None:
    """Two corrections of one run: what the later did not touch stays as the other left it, what both did is told."""
    tag = tags_of(read(tmp_path))[0]
    path = f"/trial/rough-bed/correct/{tag}"
    first = {"grains": "31", "minutes": "9.5", "note": "wet"}
    visitor.follow(visitor.fill(f"/trial/rough-bed/run/{tag}", first))
    one, other = (fields_of(visitor.get(path)) | {"why": "misread"} for _ in range(2))
    other["form"] = f"{other['form']}b"
    visitor.follow(visitor.post(path, one | {"grains": "33", "minutes": "9"}))
    told = visitor.post(path, other | {"minutes": "8", "note": "dry"})
    assert "minutes: 9 is stored by now" in words_of(told), words_of(told)[:400]
    assert (run_of(tmp_path, tag).grains, run_of(tmp_path, tag).note) == (33, "wet")
    visitor.follow(visitor.post(path, fields_of(told)))
    run = run_of(tmp_path, tag)
    assert (run.grains, run.minutes, run.note) == (33, 8, "dry")


def test_the_panner_sees_tags_alone(visitor: Visitor, tmp_path: Path) -> None:
    """Neither list nor form tells set-up, turn, pair or trial's change; and what is panned is stored."""
    record = read(tmp_path)
    tag = tags_of(record)[0]
    jars, form = visitor.get("/trial/rough-bed/panner"), visitor.get(f"/trial/rough-bed/run/{tag}?view=panner")
    for page in (jars, form):
        words = words_of(page)
        for told in ("baseline", "changed", "smooth", "180 grit", "turn", "pair", "verdict", "set-up"):
            assert told not in words.casefold(), told
        assert "/verdict" not in page.text
    shown = [tag for tag in words_of(jars).split() if tag in tags_of(record)]
    assert shown == sorted(tags_of(record, 6))
    done = visitor.post(f"/trial/rough-bed/run/{tag}?view=panner", fields_of(form) | {"grains": "31"})
    assert done.headers["location"].startswith("/trial/rough-bed/panner")
    assert run_of(tmp_path, tag).grains == 31
    assert f"Correct it under Runs, beside {tag}" in words_of(visitor.get(f"/trial/rough-bed/run/{tag}"))
    closed = words_of(visitor.get(f"/trial/rough-bed/run/{tag}?view=panner"))
    assert f"{tag} is stored already. To the jars" in closed and "orrect" not in closed
    struck = shown[0] if shown[0] != tag else shown[1]
    visitor.follow(visitor.fill(f"/trial/rough-bed/strike/{struck}", {"own": "spill", "gold": "no"}))
    pair = {one.tag for one in record.runs if one.pair == run_of(tmp_path, struck).pair} - {tag}
    jars = words_of(visitor.get("/trial/rough-bed/panner"))
    assert jars.count("not to pan") == len(pair) and "struck" not in jars and "left out" not in jars
    for one in (struck, tags_of(record)[-1]):
        words = words_of(visitor.get(f"/trial/rough-bed/run/{one}?view=panner"))
        assert "pair" not in words and "spill" not in words, words


def test_a_strike_asks_whether_the_gold_was_known(visitor: Visitor, tmp_path: Path) -> None:
    """A run struck before it was counted needs that word; struck by mistake it counts again; a trial is set aside."""
    tag = tags_of(read(tmp_path))[0]
    path = f"/trial/rough-bed/strike/{tag}"
    late = fields_of(visitor.get(path)) | {"own": "spilt", "gold": "no"}
    assert "Was its gold known when you struck it?" in words_of(visitor.fill(path, {"why": "spill"}))
    visitor.follow(visitor.fill(path, {"own": "Frost in the pump", "gold": "no"}))
    assert (run_of(tmp_path, tag).void, run_of(tmp_path, tag).void_gold_known) == ("Frost in the pump", False)
    told = visitor.post(path, late)  # of a tab that was open all the while: it takes nothing back
    assert "was struck already: Frost in the pump" in words_of(told) and run_of(tmp_path, tag).is_void
    assert "counts again: wrong jar" in words_of(visitor.follow(visitor.fill(path, {"own": "wrong jar"})))
    assert not run_of(tmp_path, tag).is_void
    late = fields_of(visitor.get("/trial/rough-bed/aside")) | {"why": "bad day"}
    visitor.follow(visitor.fill("/trial/rough-bed/aside", {"why": "wrong dirt"}))
    assert "was set aside already: wrong dirt" in words_of(visitor.post("/trial/rough-bed/aside", late))
    assert read(tmp_path).trial.set_aside == "wrong dirt"
    assert "set aside" in words_of(visitor.get(f"/trial/rough-bed/run/{tag}"))
