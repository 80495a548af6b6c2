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
