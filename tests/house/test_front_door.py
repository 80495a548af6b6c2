import ast
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from pydantic import ValidationError

import trials
from schemas import Record, Run

ROOT = Path(__file__).parents[2]


def test_the_front_door_is_small_sorted_and_opens() -> None:
    """At most 20 names, in order, and each can be fetched."""
    assert len(trials.__all__) <= 20
    assert trials.__all__ == sorted(trials.__all__)
    for name in trials.__all__:
        assert callable(getattr(trials, name)) or name == "changes", name


def test_what_is_fetched_is_what_an_editor_is_told() -> None:
    """The names given to type checkers are those of the table, from the same rooms."""
    (block,) = (node for node in ast.parse(Path(trials.__file__).read_text("utf-8")).body if isinstance(node, ast.If))
    told = {name.name: node.module for node in block.body if isinstance(node, ast.ImportFrom) for name in node.names}
    fetched = {name: f"trials.{room}" for name, room in trials._ROOMS.items()}
    assert told == fetched | {"changes": "trials"} and sorted(told) == trials.__all__


USER = """
from trials import Logbook, plan_from_keys, reach_verdict, reach_verdicts, read_folder, verdict_chart, write_report

record = read_folder("mat")
verdict = reach_verdict(record.trial, record.runs)
estimate: float | None = verdict.answer.estimate
trial = plan_from_keys({"name": "mat", "pairs": 6})
codes = reach_verdicts(trial, [[4.0] * 6], [[5.0] * 6]).codes
verdict_chart(verdict)
write_report(Logbook("mine.duckdb").read("mat"), "mat.html")
wrong: int = reach_verdict(record.trial, record.runs)
also_wrong: int = plan_from_keys({})
"""


def test_a_users_file_is_checked_by_type(tmp_path: Path) -> None:
    """In strict mode what is right passes, and a wrong type is told, so nothing at the door is `Any`."""
    (tmp_path / "mine.py").write_text(USER, encoding="utf-8")
    mypy = [sys.executable, "-m", "mypy", str(tmp_path / "mine.py")]  # with the house's own settings, strict among them
    said = subprocess.run(mypy, cwd=ROOT, capture_output=True, text=True, check=False)
    errors = [line.partition("error: ")[2] for line in said.stdout.splitlines() if "error: " in line]
    wrong = 'Incompatible types in assignment (expression has type "{}", variable has type "int")  [assignment]'
    assert errors == [wrong.format("Verdict"), wrong.format("Trial")], said.stdout + said.stderr


def test_the_front_door_is_lazy() -> None:
    """Importing `trials` pays for none of its names, and the commands, as for --help, for Typer alone."""
    heavy = "numpy scipy altair duckdb pydantic jinja2 pint starlette uvicorn multipart segno webbrowser typer"
    for module, paid in (("trials", []), ("trials.commands.app", ["typer"])):
        code = f"import sys, {module}; print([m for m in {heavy.split()!r} if m in sys.modules])"
        said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
        assert said.stdout == f"{paid}\n", module


def test_an_unknown_name_is_an_attribute_error() -> None:
    """A name that is not at the door says so."""
    assert not hasattr(trials, "winner")


def test_the_version_is_that_of_the_distribution() -> None:
    """One version, in one place."""
    from importlib.metadata import version

    assert trials.__version__ == version("samedirt")


KEYS = {
    "name": "mat",
    "measure": "gold_mass",
    "pairs": np.int64(3),
    "lot": {"kind": "natural"},
    "gear.kind": "sluice",
    "change": {"variable": "mat", "baseline": "ribbed", "changed": ("looped",)},
}


def test_a_plan_is_made_from_keys() -> None:
    """The keys of `trial.toml`, sections as mappings or with a point; every problem is told at once."""
    trial = trials.plan_from_keys(KEYS)
    assert (trial.pairs, trial.kind, trial.gear.kind) == (3, "pairs", "sluice")
    with pytest.raises(trials.Refused) as refused:
        trials.plan_from_keys(KEYS | {"pairs": "six", "lott": {"kind": "natural"}})
    assert "plan, pairs: six is not a whole number; write one" in refused.value.lines
    assert any("did you mean lot?" in line for line in refused.value.lines)


def test_a_path_may_be_a_text(tmp_path: Path) -> None:
    """Folders, reports and logbooks are named by a path or by its text."""
    record = Record(trial=trials.plan_from_keys(KEYS))
    assert trials.write_folder(record, str(tmp_path / "mat"))
    assert trials.read_folder(str(tmp_path / "mat")) == record
    assert trials.write_report(record, str(tmp_path / "mat.html")).exists()
    book = trials.Logbook(str(tmp_path / "mine.duckdb"))
    assert not book.exists and book.path == tmp_path / "mine.duckdb"


def test_what_load_refuses_has_no_verdict() -> None:
    """Two runs of one pair and arm, an arm nobody planned: refused with every problem, in whatever order they come."""
    trial = trials.plan_from_keys(KEYS)
    runs = [Run(pair=p, arm=arm, gold_mg=4.0 + p) for p in (1, 2, 3) for arm in trial.arms]
    twice, strange = Run(pair=2, arm="changed", gold_mg=9.0), Run(pair=3, arm="chnged", gold_mg=5.0)
    for handed in ([*runs, twice, strange], [strange, twice, *runs]):
        with pytest.raises(trials.Refused) as refused:
            trials.reach_verdict(trial, handed)
        assert refused.value.lines == (
            "runs.csv pair 3, arm: chnged is not an arm of this trial; did you mean changed?",
            "runs.csv pair 2 changed: stands more than once; keep one row a run",
        )
    with pytest.raises(ValidationError, match="greater than or equal to 1"):
        Run(pair=0, arm="changed")
