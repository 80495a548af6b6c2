"""What a program reads of a verdict: one form, with its schema, and errors in a form of their own."""

import json
import math
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from schemas import Verdict
from tests.folders import rough_loaded
from tests.tables import every
from trials import read_folder
from trials.verdicts.reach import reach_verdict

DEMOS = [f for f in sorted((Path(__file__).parents[2] / "demo_trials").iterdir()) if (f / "trial.toml").exists()]
JUDGED = [folder for folder in DEMOS if folder.name != "sluice-audit"]


@cache
def told(folder: Path, pairs: int = 1000) -> dict[str, Any]:
    """The verdict on the first pairs of a trial, as JSON; nobody changes it."""
    record = read_folder(folder)
    runs = [run for run in record.runs if run.pair <= pairs]
    return json.loads(json.dumps(reach_verdict(record.trial, runs).model_dump(mode="json"), allow_nan=False))


@pytest.fixture
def schema(samedirt: Callable[..., Any]) -> Any:
    """The schema as it is printed."""
    return json.loads(samedirt("verdict", "--schema").out)


@every("folder", JUDGED, ids=lambda folder: folder.name)
def test_every_demo_verdict_fits_the_printed_schema(folder: Path, schema: Any) -> None:
    """Whole, cut short at a gate, and read back equal; a key too many or too few does not fit."""
    check = jsonschema.Draft202012Validator(schema)
    for pairs in (1000, 3):
        verdict = told(folder, pairs)
        assert not list(check.iter_errors(verdict))
        assert Verdict.model_validate_json(json.dumps(verdict)).model_dump(mode="json") == verdict
        for key in ("answer", "checks", "line_typed", "format"):
            assert list(check.iter_errors({k: v for k, v in verdict.items() if k != key}))
        assert list(check.iter_errors(verdict | {"winner": "us"}))


def test_where_a_gate_stands_the_numbers_are_there_and_null() -> None:
    """`estimate`, `interval` and `p` can be asked for in every answer."""
    assert told(JUDGED[1], 3)["answer"] == {"kind": "gate", "estimate": None, "interval": None, "p": None}
    assert all({"kind", "estimate", "interval", "p"} <= set(told(folder)["answer"]) for folder in JUDGED)


@pytest.mark.parametrize("folder", [f for f in JUDGED if f.name != "four-grits"], ids=lambda folder: folder.name)
def test_shown_numbers_are_those_of_the_scale(folder: Path) -> None:
    """Estimate, limits and line as points or %, more gold positive, by hand from the logs of the scale."""
    verdict = told(folder)
    answer, shown = verdict["answer"], verdict["answer"]["shown"]

    def by_hand(value: float) -> float:
        if verdict["scale"] == "points":
            return value
        lost = verdict["measure"] == "tails_gold"
        return 100 * (1 - math.exp(-value)) if lost else 100 * (math.exp(value) - 1)

    assert shown["unit"] == ("points" if verdict["scale"] == "points" else "%")
    assert shown["estimate"] == pytest.approx(by_hand(answer["estimate"]))
    ends = (answer["interval"]["low"], answer["interval"]["high"])
    assert (shown["low"], shown["high"]) == pytest.approx(tuple(map(by_hand, ends)))
    assert verdict["line_typed"] == pytest.approx(by_hand(answer["worth_having"]))
    assert shown["words"] in " ".join([verdict["sentence"], *verdict["more"]])


def test_lists_stand_where_values_are_many() -> None:
    """Lots, dates and void runs are lists of values."""
    mats, screen = (told(folder) for folder in DEMOS if folder.name in ("two-mats", "finer-screen"))
    mats, screen = (mats, screen) if mats["trial"] == "two-mats" else (screen, mats)
    assert [lot["name"] for lot in mats["lots"]] == ["upper-cut", "lower-cut"]
    assert mats["dates"] == sorted(mats["dates"]) and len(mats["dates"]) > 2
    (struck,) = screen["voids"]
    assert (struck["pair"], struck["arm"], struck["gold_known"]) == (4, "changed", False)


@every(
    ("typed", "says"),
    [
        (("verdict", "nope", "--json"), "no trial named 'nope'"),
        (("check", "nope", "--json"), "no trial named 'nope'"),
        (("verdict", "--json"), "no trial is named"),
        (("verdict", "--json", "--nope"), "No such option: --nope"),
        (("verdict", "mat", "--json", "--logbook", "a" * 300), "name too long"),
    ],
)
def test_an_error_is_json_where_the_answer_would_be(
    typed: tuple[str, ...], says: str, samedirt: Callable[..., Any], tmp_path: Path
) -> None:
    """On stderr, nothing on stdout, and the exit code of the same error in words."""
    rough_loaded(samedirt, tmp_path)
    said = samedirt(*typed)
    errors = json.loads(said.err)
    assert said.out == "" and errors["exit_code"] == said.code == 2
    assert says in errors["errors"][0]["what"]
    assert set(errors["errors"][0]) == {"place", "what", "next_step", "code"}
    assert samedirt(*(word for word in typed if word != "--json")).code == 2


def test_every_problem_is_one_of_the_json(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Place, value and rule of each, apart."""
    rough_loaded(samedirt, tmp_path)
    said = samedirt("plan", "mat", "--json", "--set", "pairs=six", "--set", "gear.kind=slooce")
    errors = json.loads(said.err)["errors"]
    assert said.code == 2 and len(errors) >= 2 and any("pairs" in one["place"] for one in errors)
