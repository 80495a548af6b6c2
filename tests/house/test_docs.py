import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from schemas import Gate, Interval, PairsAnswer, ScatterAnswer, Verdict
from trials.charts.files import chart_svg
from trials.charts.verdict_chart import verdict_chart
from trials.files.folder import read_folder
from trials.files.runs_file import read_runs_file
from trials.files.trial_file import read_trial
from trials.verdicts.reach import reach_verdict

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
COMMANDS = ("demo", "load", "verdict", "report", "logbook", "export", "page")


def blocks(kind: str) -> list[str]:
    """The fenced blocks of one kind in the README."""
    return re.findall(rf"```{kind}\n(.*?)```", README, flags=re.DOTALL)


def test_the_readme_shows_what_the_program_prints(
    samedirt: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The output in the README is real."""
    monkeypatch.setenv("COLUMNS", "100")
    samedirt("load", ROOT / "demo_trials")
    (shown,) = blocks("console")
    command, _, output = shown.partition("\n")
    said = samedirt(*command.removeprefix("$ samedirt ").split())
    assert output.strip() in said.out


def test_the_readme_names_every_key_of_a_verdict() -> None:
    """A notebook needs no look into the code: head, answers and their parts stand there by name."""
    models = (Verdict, Gate, PairsAnswer, ScatterAnswer, Interval)
    keys = {name for model in models for name in model.model_fields}
    assert not sorted(key for key in keys if f"`{key}`" not in README)
    assert "verdict --schema" in README and "chart_svg(verdict_chart(" in README


def numbers_apart(svg: str) -> tuple[str, list[float]]:
    """The text of a picture with its numbers taken out, and the numbers."""
    number = r"\d+(?:\.\d+)?(?:e[-+]?\d+)?"
    return re.sub(number, "0", svg.strip()), [float(found) for found in re.findall(number, svg.strip())]


def test_the_picture_in_the_readme_is_the_chart_of_today() -> None:
    """Renew it with: save_chart(verdict_chart(verdict, runs=record.runs), Path("demo_trials/verdict-rough-bed.svg"))."""
    record = read_folder(ROOT / "demo_trials" / "rough-bed")
    verdict = reach_verdict(record.trial, record.runs, record.corrections)
    drawn = chart_svg(verdict_chart(verdict, runs=record.runs))
    (text, places), (shown, shown_places) = (
        numbers_apart(svg)
        for svg in (drawn, (ROOT / "demo_trials" / "verdict-rough-bed.svg").read_text(encoding="utf-8"))
    )
    assert text == shown
    assert places == pytest.approx(
        shown_places, rel=1e-9, abs=1e-9
    )  # processors differ in the last digit of a logarithm
    assert "(demo_trials/verdict-rough-bed.svg)" in README


def test_the_pictures_of_the_readme_are_there_and_small() -> None:
    """Each lies where the README says, in under 100 KB.

    Renew that of the page with the list of the demo's logbook, 1,100 px wide, as a JPEG.
    """
    pictures = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)
    assert len(pictures) == 2
    assert all(0 < (ROOT / picture).stat().st_size < 100_000 for picture in pictures)


def test_the_trial_of_the_readme_loads() -> None:
    """The two files a person is shown are taken as they stand."""
    (plan,) = blocks("toml")
    (runs,) = blocks("csv")
    trial, problems = read_trial(plan)
    assert trial is not None, problems
    found, problems = read_runs_file(runs.encode(), trial)
    assert len(found) == 4 and not problems


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_is_in_the_readme_and_has_an_example(command: str, samedirt: Callable[..., Any]) -> None:
    """No command without its line, its help and an example."""
    assert f"samedirt {command}" in README
    said = samedirt(command, "--help")
    assert said.code == 0
    assert f"Example: samedirt {command}" in " ".join(said.out.split())


def test_the_test_command_of_the_readme_is_what_ci_runs() -> None:
    """`.ci/run` calls the README's own test command."""
    ci = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    command = next(block for block in blocks("sh") if "pytest" in block).strip()
    for part in command.split(" && "):
        assert part.removesuffix("pip install -e '.[test]'") in ci.replace(" -q", "")


def test_every_lint_exception_carries_its_reason() -> None:
    """A rule that is off says why."""
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    lint = tomllib.loads(text)["tool"]["ruff"]["lint"]
    codes = [*lint["ignore"], *(code for codes in lint["per-file-ignores"].values() for code in codes)]
    for code in codes:
        assert re.search(rf'"{code}",\s*# \w', text), code
