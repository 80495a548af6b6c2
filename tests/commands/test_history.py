"""What became of a trial, in order of time, a line each."""

import json
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest

from schemas import Amendment, Correction, Photo
from tests.commands.typed_in import half_done, planned, stored, tags_of
from trials.changes.history import history

Door = Callable[..., Any]
WHY = "digits swapped"


def test_every_sort_of_change_is_a_line_in_order_of_time(samedirt: Door, tmp_path: Path) -> None:
    """The lock, an amendment, a strike, a correction and a picture, however they are stored."""
    record = half_done(tmp_path, 6)
    run, other = record.runs[0], record.runs[3]
    struck = other.model_copy(update={"void": "spill", "void_gold_known": False})
    photo = Photo(path="a.jpg", what="bed", tag=run.tag, sha256="0" * 64)
    told = (
        Correction(
            when=datetime(2026, 5, 20, 9), pair=run.pair, arm=run.arm, field="photo", new="bed: a.jpg", why="attached"
        ),
        Correction(
            when=datetime(2026, 5, 9, 10, 30, 5),
            pair=run.pair,
            arm=run.arm,
            field="grains",
            old="31",
            new="13",
            why=WHY,
        ),
        Correction(
            when=datetime(2026, 5, 3, 16), pair=other.pair, arm=other.arm, field="void", new="spill", why="spill"
        ),
        Correction(
            when=datetime(2026, 5, 3, 16),
            pair=other.pair,
            arm=other.arm,
            field="void_gold_known",
            new="no",
            why="spill",
        ),
        Correction(when=datetime(2026, 5, 10), field="lot.mass", old="7500", new="7600", why="weighed again"),
    )
    amended = (Amendment(when=date(2026, 5, 3), what="pairs", was="6", now="8", why="more dirt"),)
    trial = record.trial.model_copy(update={"photos": (photo,), "amended": amended})
    runs = tuple(struck if one.key == other.key else one for one in record.runs)
    stored(tmp_path, record.model_copy(update={"trial": trial, "runs": runs, "corrections": told}))
    assert samedirt("logbook", "rough-bed", "--history").out.splitlines() == [
        "2026-05-02  locked: the plan",
        "2026-05-03  amended: pairs was 6, now 8; more dirt",
        f"2026-05-03 16:00  struck: {other.tag}: spill, gold not known then",
        f"2026-05-09 10:30  corrected: {run.tag} grains: 31 becomes 13; digits swapped",
        "2026-05-10 00:00  corrected: lot.mass: 7500 becomes 7600; weighed again",
        f"2026-05-20 09:00  picture: bed: a.jpg of {run.tag}, attached",
    ]


def test_what_came_without_its_moment_comes_last(samedirt: Door, tmp_path: Path) -> None:
    """A strike and a picture of a loaded file, a trial set aside in it."""
    record = half_done(tmp_path, 6)
    first = record.runs[0].model_copy(update={"void": "lost jar", "void_gold_known": True})
    photo = Photo(path="a.jpg", what="sheet", sha256="0" * 64)
    trial = record.trial.model_copy(update={"photos": (photo,), "set_aside": "wrong dirt"})
    stored(tmp_path, record.model_copy(update={"trial": trial, "runs": (first, *record.runs[1:])}))
    assert samedirt("logbook", "rough-bed", "--history").out.splitlines()[1:] == [
        f"not known  struck: {first.tag}: lost jar, gold known then",
        "not known  set aside: the trial: wrong dirt",
        "not known  picture: sheet: a.jpg",
    ]


def test_each_line_is_one_line_whatever_was_typed(samedirt: Door, tmp_path: Path) -> None:
    """A long reason with signs that a terminal acts on."""
    record = half_done(tmp_path, 6)
    why = "two\nlines, \u202eturned, " + "long " * 300
    one = Correction(when=datetime(2026, 5, 9), pair=1, arm="baseline", field="note", old=None, new="x", why=why)
    stored(tmp_path, record.model_copy(update={"corrections": (one,)}))
    lines = samedirt("logbook", "rough-bed", "--history").out.splitlines()
    assert sum(not line.startswith(" ") for line in lines) == 2 and all(line.isprintable() for line in lines)


def test_no_arm_is_named(tmp_path: Path) -> None:
    """Runs go by their tags, or by their pairs."""
    record = half_done(tmp_path, 1)
    rows = tuple(
        Correction(when=datetime(2026, 5, 9), pair=run.pair, arm=run.arm, field="grains", old="1", new="2", why="x")
        for run in record.runs[:2]
    )
    bare = tuple(run.model_copy(update={"tag": None}) for run in record.runs)
    for runs in (record.runs, bare):
        told = " ".join(event.says for event in history(record.model_copy(update={"runs": runs, "corrections": rows})))
        assert "baseline" not in told and "changed" not in told


def test_a_trial_of_which_nothing_became_says_so(samedirt: Door, tmp_path: Path) -> None:
    """A plan not locked yet."""
    record = planned(tmp_path)
    stored(tmp_path, record.model_copy(update={"trial": record.trial.model_copy(update={"locked": None})}))
    assert "nothing was amended, corrected, struck or attached" in samedirt("logbook", "rough-bed", "--history").out


def test_its_json_has_the_moments(samedirt: Door, tmp_path: Path) -> None:
    """As a plain reader takes them; null where none is known."""
    tags = tags_of(half_done(tmp_path, 6))
    samedirt("void", "rough-bed", tags[0], "--why", "spill")
    told = json.loads(samedirt("logbook", "rough-bed", "--history", "--json").out)
    assert [one["what"] for one in told] == ["locked", "struck"]
    assert datetime.fromisoformat(told[1]["when"]).date() >= date(2026, 1, 1)


def test_history_goes_with_a_name_and_a_name_with_it(samedirt: Door, tmp_path: Path) -> None:
    """The listing is of all trials."""
    planned(tmp_path)
    for words in (("rough-bed",), ("--history",)):
        said = samedirt("logbook", *words)
        assert said.code == 2 and "logbook NAME --history" in said.err
    assert "no trial named" in samedirt("logbook", "nope", "--history").err


def test_a_long_line_of_the_history_is_wrapped(samedirt: Door, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """To the screen, its later lines set in; no word is broken."""
    monkeypatch.setenv("COLUMNS", "60")
    record = half_done(tmp_path, 6)
    why = "the jar was weighed again after it had dried for a night and a day beside the stove"
    told = Correction(
        when=datetime(2026, 5, 9, 10, 30), pair=1, arm="baseline", field="grains", old="3", new="4", why=why
    )
    stored(tmp_path, record.model_copy(update={"corrections": (told,)}))
    lines = samedirt("logbook", "rough-bed", "--history").out.splitlines()
    assert all(len(line) <= 60 for line in lines) and len(lines) > 2
    assert all(line.startswith("    ") for line in lines[2:]) and why in " ".join(" ".join(lines).split())
