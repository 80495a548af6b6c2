"""A locked plan is changed with a reason, which every verdict shows; what was drawn or made stays as it is."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.folders import LEAST, Files, files_of, put_files, write
from tests.tables import every
from trials.logbook.logbook import Logbook

Run = Callable[..., Any]
WHY = ["--why", "dirt left over"]
LOCKED: Files = {}
"""The logbook of the locked plan, once it was made."""


@pytest.fixture
def locked(samedirt: Run, tmp_path: Path) -> Run:
    """Three pairs of two mats, locked by their sheet, with a line of 20 %."""
    if not LOCKED:
        trial = LEAST.replace("pairs = 3", 'pairs = 3\nseed = 41\nworth_having = "20 %"')
        write(tmp_path / "mat", trial)
        assert samedirt("plan", "--from", "mat").code == 0
        assert samedirt("sheet", "mat", "--to", "papers").code == 0
        LOCKED.update(files_of(tmp_path, [tmp_path / "logbook.duckdb", *tmp_path.glob("logbook-copies/*")]))
    put_files(tmp_path, LOCKED)
    return samedirt


def record(folder: Path) -> Any:
    """As stored."""
    return Logbook(folder / "logbook.duckdb").read("mat")


def test_more_pairs_are_drawn_and_the_earlier_rows_stay(locked: Run, tmp_path: Path) -> None:
    """Two pairs added: four rows, balanced among themselves, with turns and tags after those there were."""
    before = record(tmp_path)
    made = before.runs[0]
    assert locked("enter", "mat", made.tag, "--set", "gold_mg=31", "--set", f"turn={made.turn}").code == 0
    before = record(tmp_path)
    said = locked("plan", "mat", "--amend", "pairs=5", *WHY)
    assert said.code == 0
    assert " ".join(said.out.split()) == (
        "mat: pairs was 3, now 5. The verdict will say so. 4 runs added and drawn: samedirt sheet mat prints them."
    )
    after = record(tmp_path)
    assert [run for run in after.runs if run.pair <= 3] == list(before.runs)
    added = [run for run in after.runs if run.pair > 3]
    assert {(run.pair, run.arm) for run in added} == {(n, arm) for n in (4, 5) for arm in ("baseline", "changed")}
    assert sorted(run.turn for run in added) == [7, 8, 9, 10]
    first = [min((run for run in added if run.pair == pair), key=lambda run: run.turn).arm for pair in (4, 5)]
    assert sorted(first) == ["baseline", "changed"]
    assert len({run.tag for run in after.runs}) == 10


def test_an_amendment_is_kept_with_its_day_and_reason(locked: Run, tmp_path: Path) -> None:
    """What, was, now, why, when; the plan itself is changed."""
    locked("plan", "mat", "--amend", "worth_having=25 %", *WHY)
    trial = record(tmp_path).trial
    (entry,) = trial.amended
    assert (entry.what, entry.was, entry.now, entry.why) == ("worth_having", "20", "25", "dirt left over")
    assert entry.when == trial.locked and trial.worth_having == 25.0


def test_a_limit_never_set_was_our_default(locked: Run, tmp_path: Path) -> None:
    """1.2 for minutes, which is what held."""
    said = locked("plan", "mat", "--amend", "limits.minutes=1.5", *WHY)
    assert "limits.minutes was 1.2, now 1.5" in said.out
    assert record(tmp_path).trial.cost_limits.minutes == 1.5
    same = locked("plan", "mat", "--amend", "limits.minutes=1.5", *WHY)
    assert same.code == 2 and "1.5 is what the plan has; nothing to amend" in same.err


def test_the_verdict_shows_it(locked: Run) -> None:
    """On the screen and in the JSON."""
    locked("plan", "mat", "--amend", "pairs=4", *WHY)
    said = locked("verdict", "mat", "--no-chart")
    assert "pairs was 3, now 4; dirt left over" in " ".join(said.out.split())
    told = json.loads(locked("verdict", "mat", "--json").out)
    assert told["amendments"] and told["pairs"]["planned"] == 4


def test_amendments_go_out_and_come_back(locked: Run, tmp_path: Path) -> None:
    """Exported as a folder and loaded into an empty logbook, plan, rows and amendments are equal."""
    locked("plan", "mat", "--amend", "pairs=5", *WHY)
    locked("plan", "mat", "--amend", "look_after=4", "--why", "a look before the last day")
    assert locked("export", "mat", "--to", "out").code == 0
    other = tmp_path / "other.duckdb"
    assert locked("load", "out/mat" if (tmp_path / "out" / "mat").is_dir() else "out", "--logbook", other).code == 0
    came_back = Logbook(other).read("mat")
    here = record(tmp_path)
    assert came_back.trial.amended == here.trial.amended and len(here.trial.amended) == 2
    assert came_back.trial.model_copy(update={"typed": {}}) == here.trial.model_copy(update={"typed": {}})
    assert [(run.pair, run.arm, run.turn, run.tag) for run in came_back.runs] == [
        (run.pair, run.arm, run.turn, run.tag) for run in here.runs
    ]


def test_fewer_pairs_take_only_rows_that_were_not_run(locked: Run, tmp_path: Path) -> None:
    """Four pairs back to three: the rows of the fourth go, unless one of them was made."""
    locked("plan", "mat", "--amend", "pairs=4", *WHY)
    made = next(run for run in record(tmp_path).runs if run.pair == 4)
    locked("enter", "mat", made.tag, "--set", "gold_mg=31", "--set", f"turn={made.turn}")
    assert locked("plan", "mat", "--amend", "pairs=3", "--why", "the dirt ran out").code == 0
    left = [(run.pair, run.arm) for run in record(tmp_path).runs if run.pair == 4]
    assert left == [(4, made.arm)]


@every(
    ("flags", "says"),
    [
        (["--amend", "pairs=8"], '--amend pairs: needs its reason: --why "the reason"'),
        (["--amend", "pairs=8", "--why", "  "], '--amend pairs: needs its reason: --why "the reason"'),
        (["--amend", "pairs", *WHY], "--amend pairs: has no = sign; write it as --amend pairs=8"),
        (["--amend", "pairs=3", *WHY], "--amend pairs: 3 is what the plan has; nothing to amend"),
        (["--amend", "pairs=many", *WHY], "many is not a whole number"),
        (["--amend", "worth_having=2 points", *WHY], '2 points does not fit measure gold_mass; write it as "20 %"'),
        (["--amend", "lot.mass=8 kg", *WHY], "--amend lot.mass: can't be amended; a plan's measure, pairs, spares"),
        (["--amend", "seed=8", *WHY], "--amend seed: can't be amended"),
        (["--amend", "pears=8", *WHY], "--amend, pears: is not a key of a plan; did you mean pairs?"),
    ],
)
def test_what_is_no_amendment_is_refused(flags: list[str], says: str, locked: Run, tmp_path: Path) -> None:
    """Exit 2, value and rule, and nothing is changed."""
    before = (tmp_path / "logbook.duckdb").read_bytes()
    said = locked("plan", "mat", *flags)
    assert said.code == 2 and says in said.err
    assert (tmp_path / "logbook.duckdb").read_bytes() == before


def test_a_plan_that_is_not_locked_is_planned_again_instead(samedirt: Run, tmp_path: Path) -> None:
    """There is nothing to amend before the first sheet."""
    write(tmp_path / "mat", LEAST)
    samedirt("plan", "--from", "mat")
    said = samedirt("plan", "mat", "--amend", "pairs=8", *WHY)
    assert said.code == 2 and "mat: is not locked yet; plan it again instead" in said.err
    assert samedirt("plan", "--amend", "pairs=8", *WHY).code == 2
    assert "no trial named 'other' in logbook.duckdb" in samedirt("plan", "other", "--amend", "pairs=8", *WHY).err
