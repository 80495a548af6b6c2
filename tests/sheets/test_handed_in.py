"""Sheets as people hand them in, each with what must come of it: the runs, or the problems."""

import runpy
import sys
import tomllib
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from schemas import Record, Run, SizeCatch
from tests.sheets.reading import read_sheet
from tests.sizes import SIZE
from tests.tables import every
from trials.files.folder import read_folder
from trials.sheets.spreadsheet_in import SheetRuns

HERE = Path(__file__).parent / "handed_in"
EXPECTED = sorted(HERE.glob("*.expect.toml"))
OPTIONS = ("good_rows", "correcting", "sheet", "stands")


def expected_of(path: Path) -> tuple[dict[str, Any], Path]:
    """What is expected, and of which file."""
    expected = tomllib.loads(path.read_text(encoding="utf-8"))
    return expected, HERE / expected.get("file", path.name.removesuffix(".expect.toml"))


@cache
def plan_named(name: str) -> Record:
    """A plan that sheets were handed out for."""
    return read_folder(HERE / "plans" / name)


def planned(expected: dict[str, Any]) -> dict[tuple[int, str], Run]:
    """The runs of the plan, by pair and arm."""
    return {run.key: run for run in plan_named(expected["plan"]).runs}


def read(expected: dict[str, Any], file: Path) -> SheetRuns:
    """Read the sheet as it is told to be read."""
    record = plan_named(expected["plan"])
    return read_sheet(file, record.trial, record.runs, **{name: expected[name] for name in OPTIONS if name in expected})


def with_values(told: dict[str, Any], runs: dict[tuple[int, str], Run]) -> Run:
    """A run of the plan, or a new one, with the values that are told of it."""
    values = dict(told)
    classes = tuple(SizeCatch(label=label, **parts) for label, parts in values.pop("classes", {}).items())
    if "pair" in values:
        run = runs.get((values["pair"], values["arm"]), Run(pair=values["pair"], arm=values["arm"]))
    else:
        run = next(run for run in runs.values() if run.tag == values["tag"])
    return run.model_copy(update={**values, "classes": classes or run.classes})


@every("path", EXPECTED, ids=lambda path: path.name.removesuffix(".expect.toml"))
def test_what_must_come_of_a_sheet(path: Path) -> None:
    """The runs with every value and what was typed, or each problem with its place; what was passed over is said."""
    expected, file = expected_of(path)
    found = read(expected, file)
    problems = [str(problem).removeprefix(f"{file.parent}/") for problem in found.problems]
    wanted = expected.get("problems", [])
    assert len(problems) == len(wanted), problems
    for text in wanted:
        assert any(problem.startswith(text) for problem in problems), (text, problems)
    left = [str(problem).removeprefix(f"{file.parent}/") for problem in found.left]
    assert len(left) == len(expected.get("left", [])), left
    assert all(any(problem.startswith(text) for problem in left) for text in expected.get("left", [])), left
    assert len(found.said) == len(expected.get("said", [])), found.said
    for text in expected.get("said", []):
        assert any(text in line for line in found.said), (text, found.said)
    plan = planned(expected)
    changed = {run.key: run for run in found.runs if plan.get(run.key) != run}
    told = {run.key: run for run in (with_values(told, plan) for told in expected.get("run", []))}
    assert changed == told


def test_every_sheet_is_told_of() -> None:
    """No file lies there without what must come of it."""
    files = {path for path in HERE.iterdir() if path.is_file() and path.suffix != ".py"}
    sheets = {path for path in files if not path.name.endswith(".expect.toml")}
    assert sheets == {expected_of(path)[1] for path in EXPECTED}
    assert len(sheets) >= 40


def test_the_sheets_are_what_the_script_makes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The files can be made again: texts to the byte, workbooks with the same parts."""
    monkeypatch.setattr(sys, "path", [*sys.path])
    (tmp_path / "make.py").write_bytes((HERE / "make.py").read_bytes())
    (tmp_path / "plans").symlink_to(HERE / "plans")
    runpy.run_path(str(tmp_path / "make.py"), run_name="__main__")
    for path in HERE.iterdir():
        if path.is_file() and path.suffix not in (".py", ".toml"):
            assert (tmp_path / path.name).read_bytes() == path.read_bytes(), path.name


# Each plan as it was loaded: the logbook, and the record read from it.
LOADED: dict[str, tuple[bytes, Record]] = {}


def way_of(path: Path) -> tuple[object, ...]:
    """How a sheet goes through the program: its form, the flags it needs, what becomes of it and what is said then."""
    expected, file = expected_of(path)
    flags = [bool(expected.get(name)) for name in OPTIONS]
    return file.suffix, *flags, bool(expected.get("problems")), bool(expected.get("said")), bool(expected.get("left"))


# One sheet of each way; the long tests at their full size take every sheet.
THROUGH = EXPECTED if SIZE >= 1 else sorted({way_of(path): path for path in reversed(EXPECTED)}.values())


@pytest.mark.parametrize("path", THROUGH, ids=lambda path: path.name.removesuffix(".expect.toml"))
def test_the_program_says_the_same(path: Path, samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Through the program's one door: stored in full or refused with every line and nothing stored."""
    from trials.logbook.logbook import Logbook

    expected, file = expected_of(path)
    book = tmp_path / "logbook.duckdb"
    if expected["plan"] not in LOADED:
        samedirt("load", HERE / "plans" / expected["plan"], "--logbook", book)
        LOADED[expected["plan"]] = (book.read_bytes(), Logbook(book).read(expected["plan"]))
    content, before = LOADED[expected["plan"]]
    book.write_bytes(content)
    words = ["load", file, "--trial", expected["plan"], "--logbook", book]
    words += ["--good-rows"] if expected.get("good_rows") else []
    words += ["--as-typed"] if expected.get("stands") else []
    words += ["--sheet", expected["sheet"]] if "sheet" in expected else []
    words += ["--why", "read again from the sheet"] if expected.get("correcting") else []
    said = samedirt(*words)
    if expected.get("problems"):
        assert said.code == 2 and said.out == "" and book.read_bytes() == content
        lines = said.err.splitlines()
        assert len(lines) == len(expected["problems"]) and all(line.startswith("samedirt: ") for line in lines)
        return
    assert said.code == 0, said.err
    after = Logbook(book).read(expected["plan"])
    found = read(expected, file)
    runs = {run.key: run for run in before.runs} | {run.key: run for run in found.runs}
    assert {run.key: run for run in after.runs} == runs
    assert all(text in " ".join(said.out.split()) for text in expected.get("said", []))
    assert bool(after.corrections) == bool(expected.get("correcting"))
