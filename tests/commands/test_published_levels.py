"""Graded trials that nobody here ran, through the whole program: `samedirt load`, then `verdict --json`.

What they must say stands with its source in `tests/published/levels_sizes_audit.csv`. Block data and their answers are
printed, or held against a reference library, as each row tells; no published Dunnett limits of blocks were found.
"""

import csv
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).parents[1]
ROWS = "\n".join((HERE / "published" / "levels_sizes_audit.csv").read_text(encoding="utf-8").splitlines()[1:])
FOLDERS = {"N7": "grits", "N8": "cotton", "N9": "penicillin", "N11": "catalyst", "N15": "grits", "N16": "grits"}
NOT_IN_A_VERDICT = ("pooled", "own run SD", "single-step", "at least", "c1", "SE of each", "t, pooled")


def as_program(name: str, samedirt: Callable[..., Any]) -> dict[str, Any]:
    """Load a folder and take its verdict as a program would."""
    loaded = samedirt("load", HERE / "published_trials" / name)
    assert loaded.code == 0, loaded.err
    said = samedirt("verdict", name, "--json")
    assert said.code == 0, said.err
    found: dict[str, Any] = json.loads(said.out)
    return found


def told(answer: dict[str, Any], quantity: str) -> object:
    """What the JSON says to the words of one row."""
    of_trial = {
        "residual variance s2": answer["sd"] ** 2,
        "residual variance": answer["sd"] ** 2,
        "df": answer["df"],
        "c two-sided": answer["reach"],
        "c two-sided (rho .5)": answer["reach"],
        "set-up named, no price typed": answer["pick"],
        "first that could be best": answer["first_could_be_best"],
        "first shown to be enough": answer["first_enough"],
        "sentence range": f"from {answer['first_could_be_best']} to {answer['first_enough']}",
    }
    if answer["trend"]:
        of_trial |= {"trend: slope a step": answer["trend"]["slope"], "trend: t, larger scatter": answer["trend"]["t"]}
        of_trial["trend: p, larger scatter"] = answer["trend"]["p"]
    if quantity in of_trial:
        return of_trial[quantity]
    level = next(
        one for one in answer["levels"] if one["level"] in (quantity.partition(":")[0], quantity.partition(" - ")[0])
    )
    what = quantity.partition(": ")[2].replace(" (larger scatter)", "").replace(" (code", "")
    if what.startswith("minutes"):
        cost = next(one for one in level["costs"] if one["name"] == "minutes")
        word = what.removeprefix("minutes ").removeprefix("one-sided ")
        return cost["status"] if word.startswith("against") else cost[word]
    if what in ("low", "high"):
        return level["interval"][what]
    if what.startswith("code"):
        return level["code"]
    return level["short_of_best"] if what.startswith("short") else level["estimate"]


@pytest.mark.parametrize("name", ["grits", "cotton", "penicillin", "catalyst"])
def test_published_levels_come_out(name: str, samedirt: Callable[..., Any]) -> None:
    """Estimates, joint limits, codes, trend and costs of each trial are those of its rows."""
    answer = as_program(name, samedirt)["answer"]
    rows = [row for row in csv.DictReader(ROWS.splitlines()) if FOLDERS.get(row["id"]) == name]
    rows = [row for row in rows if not any(words in row["quantity"] for words in NOT_IN_A_VERDICT)]
    assert len(rows) >= 5
    for row in rows:
        ours = told(answer, row["quantity"])
        theirs = row["value"] if isinstance(ours, str) else pytest.approx(float(row["value"]), abs=float(row["tol"]))
        assert ours == theirs, (row["id"], row["quantity"])


def test_a_price_of_minutes_names_the_level(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Net of 0.8 points a minute 120 leads; at 2 points a minute nothing gains, and where minutes lack it is said."""
    folder = tmp_path / "grits"
    shutil.copytree(HERE / "published_trials" / "grits", folder)
    plan = (folder / "trial.toml").read_text(encoding="utf-8")

    def at(minute: str) -> dict[str, Any]:
        (folder / "trial.toml").write_text(f"{plan}\n[price]\nminute = {minute}\n", encoding="utf-8")
        assert samedirt("load", folder, "--logbook", f"{minute}.duckdb").code == 0
        found: dict[str, Any] = json.loads(samedirt("verdict", "grits", "--json", "--logbook", f"{minute}.duckdb").out)
        return found

    verdict = at("0.8")
    net = {level["level"]: level["net"] or 0.0 for level in verdict["answer"]["levels"]}
    for row in (row for row in csv.DictReader(ROWS.splitlines()) if row["id"] == "N17"):
        level = row["quantity"].partition(":")[0]
        ours = net.get(level, verdict["answer"]["pick"])
        assert ours == (row["value"] if level not in net else pytest.approx(float(row["value"]), abs=1e-9)), row
    price = (
        "By your price of 0.8 points a minute, 120 is the one to use: +4.4 points over painted when that is taken off."
    )
    assert price in verdict["more"]  # 4.35, rounded half up
    dear = at("8.0")
    assert dear["last_word"] == "your call" and "by your price no more than it costs" in dear["last_word_why"]
    assert any("gains nothing over painted: -" in line for line in dear["more"])
    runs = (folder / "runs.csv").read_text(encoding="utf-8")
    (folder / "runs.csv").write_text(runs.replace("minutes", "note", 1), encoding="utf-8")
    blank = at("1.5")
    assert blank["answer"]["pick"] == "220" and all(level["net"] is None for level in blank["answer"]["levels"])
    assert (
        "Your price of 1.5 points a minute can't be counted: a run lacks its minutes or its black sand."
        in blank["more"]
    )


def test_a_price_is_locked_and_of_levels_alone(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """As a limit it changes by an amendment; a trial of one change has no level to name."""
    folder = tmp_path / "grits"
    shutil.copytree(HERE / "published_trials" / "grits", folder)
    assert samedirt("load", folder).code == 0
    plan = (folder / "trial.toml").read_text(encoding="utf-8")
    (folder / "trial.toml").write_text(f"{plan}\n[price]\nblack_sand_g = 0.1\n", encoding="utf-8")
    said = samedirt("load", folder)
    assert said.code == 2 and "price.black_sand_g" in said.err and "locked" in said.err
    assert samedirt("plan", "grits", "--amend", "price.minute=0.8", "--why", "time is short this year").code == 0
    assert json.loads(samedirt("verdict", "grits", "--json").out)["answer"]["pick"] == "120"
    one = plan.replace('["320", "220", "120", "80"]', '"320"')
    (folder / "trial.toml").write_text(f"{one}\n[price]\nminute = 1\n", encoding="utf-8")
    said = samedirt("load", folder, "--logbook", "other.duckdb")
    assert said.code == 2 and "[price] chooses among the levels of a graded trial" in said.err


def test_a_run_struck_is_a_gap_and_its_block_stays(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Without the run of block 2 at 220 the limits are those of least squares; the block keeps its other runs."""
    folder = tmp_path / "grits"
    shutil.copytree(HERE / "published_trials" / "grits", folder)
    runs = (folder / "runs.csv").read_text(encoding="utf-8").splitlines()
    runs = [
        f"{runs[0]},void,void_gold_known",
        *(f"{row},{',' if not row.startswith('2,220') else 'spill,no'}" for row in runs[1:]),
    ]
    (folder / "runs.csv").write_text("\n".join(runs), encoding="utf-8")
    assert samedirt("load", folder).code == 0
    verdict = json.loads(samedirt("verdict", "grits", "--json").out)
    answer = verdict["answer"]
    for row in (row for row in csv.DictReader(ROWS.splitlines()) if row["id"] == "N18"):
        if row["quantity"] == "df" or row["quantity"].split(": ")[-1] in ("estimate", "low", "high"):
            assert told(answer, row["quantity"]) == pytest.approx(float(row["value"]), abs=1e-5), row["quantity"]
    assert verdict["pair_results"][1]["status"] == "counted" and "220 void: spill" in verdict["pair_results"][1]["note"]
    text = samedirt("verdict", "grits", "--no-chart").out
    assert "closed-short" in text and "1 run was void and no spare was left" in text
