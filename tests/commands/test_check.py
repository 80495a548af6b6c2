"""`check` from the plan to the last run: what it prints, its exit code, its JSON."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.commands.typed_in import flat, half_done, plan_of, planned, read, stored
from tests.folders import ROUGH_TRIAL
from trials.fairness.checklist import CHECKS

Door = Callable[..., Any]


def test_of_a_plan_it_says_what_is_to_come(samedirt: Door, tmp_path: Path) -> None:
    """No check that had nothing to look at is called good."""
    planned(tmp_path)
    said = samedirt("check", "rough-bed")
    assert said.code == 0 and said.out.startswith("rough-bed: not started, 12 runs planned; ")
    assert "Found good" not in said.out and "Not recorded" not in said.out
    assert "Missing: 12 runs are not made yet: pairs 1, 2, 3, 4, 5 and 6." in flat(said.out)
    assert said.out.endswith("Next: run it; then samedirt enter rough-bed\n")


def test_before_a_pair_is_whole_it_is_too_early(samedirt: Door, tmp_path: Path) -> None:
    """What compares two halves is not called unrecorded then."""
    record = half_done(tmp_path, 1)
    bare = planned(tmp_path).runs[0]
    runs = tuple(bare if one.key == bare.key else one for one in record.runs)
    stored(tmp_path, record.model_copy(update={"runs": runs}))
    said = flat(samedirt("check", "rough-bed").out)
    assert "Too early to check: " in said and "was not recorded" not in said


def test_half_way_it_tells_what_is_missing_by_tag(samedirt: Door, tmp_path: Path) -> None:
    """Runs not made, and those not counted."""
    record = half_done(tmp_path, 5)
    lacking = record.runs[0]
    runs = tuple(run.model_copy(update={"grains": None}) if run.key == lacking.key else run for run in record.runs)
    stored(tmp_path, record.model_copy(update={"runs": runs}))
    said = flat(samedirt("check", "rough-bed").out)
    last = " and ".join(sorted(run.tag or "" for run in record.runs if run.pair == 6))
    assert f"Missing: 2 runs are not made yet: pair 6 ({last})." in said
    assert f"Missing: {lacking.tag} has no grains yet." in said


def test_at_the_end_it_is_ready(samedirt: Door, tmp_path: Path) -> None:
    """With every check named, by what it found."""
    half_done(tmp_path, 6)
    said = samedirt("check", "rough-bed")
    assert said.code == 0 and said.out.endswith("Ready: samedirt verdict rough-bed\n")
    assert all(check.name in flat(said.out) for check in CHECKS)
    assert "Missing" not in said.out


def test_a_stop_is_told_first_and_has_exit_code_1(samedirt: Door, tmp_path: Path) -> None:
    """With where it stands and what follows."""
    record = half_done(tmp_path, 6)
    runs = tuple(run.model_copy(update={"pitch_deg": 4.0 if run.arm == "baseline" else 6.0}) for run in record.runs)
    stored(tmp_path, record.model_copy(update={"runs": runs}))
    said = samedirt("check", "rough-bed")
    assert said.code == 1 and ": 1 stops the verdict" in said.out.splitlines()[0]
    heads = [line.partition(" (")[0] for line in said.out.splitlines() if line.startswith(("Stops (", "Note ("))]
    assert heads[0] == "Stops" and "Stops (one-change): Pitch also differs" in flat(said.out)
    assert "No verdict while a stop stands" in said.out
    assert samedirt("check", "rough-bed", "--json").code == 1


def test_its_json_holds_every_check_once_or_more(samedirt: Door, tmp_path: Path) -> None:
    """The numbers of runs, the findings, what is missing, pictures and whether it was set aside."""
    half_done(tmp_path, 4)
    told = json.loads(samedirt("check", "rough-bed", "--json").out)
    assert {one["check"] for one in told["findings"]} == {check.name for check in CHECKS}
    assert (told["runs_made"], told["runs_to_come"], told["stops"], told["pictures"]) == (8, 4, 0, [])
    assert told["set_aside"] is None and len(told["missing"]) == 1


@pytest.mark.parametrize("columns", [40, 80, 100, 200])
def test_no_line_is_wider_than_the_screen(
    samedirt: Door, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, columns: int
) -> None:
    """And none is wider than 100."""
    monkeypatch.setenv("COLUMNS", str(columns))
    half_done(tmp_path, 5)
    assert max(map(len, samedirt("check", "rough-bed").out.splitlines())) <= min(columns, 100)


def test_graded_trials_and_main_classes_are_checked_too(samedirt: Door, tmp_path: Path) -> None:
    """What is missing is told of any trial, and nothing cried before anything was run."""
    planned(tmp_path, plan_of(ROUGH_TRIAL.replace('changed = "180 grit"', 'changed = ["180 grit", "80 grit"]')))
    said = samedirt("check", "rough-bed")
    assert said.code == 0 and "18 runs are not made yet: blocks 1, 2, 3, 4, 5 and 6." in flat(said.out)
    assert " checks, nothing found." in said.out
    main = plan_of(
        ROUGH_TRIAL.replace('series = "ASTM"', 'series = "ASTM"\nmain = "50/100"').replace("rough-bed", "main")
    )
    planned(tmp_path, main)
    assert samedirt("check", "main").code == 0


def test_a_name_that_is_none_is_refused(samedirt: Door, tmp_path: Path) -> None:
    """With those there are; and where there is no logbook, with what makes one."""
    assert samedirt("check", "rough-bed").code == 2
    planned(tmp_path)
    said = samedirt("check", "rough-bet")
    assert said.code == 2 and "there are: rough-bed" in said.err
    assert read(tmp_path).trial.name == "rough-bed"
