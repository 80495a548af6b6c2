import re
from pathlib import Path
from typing import get_args

import pytest

from schemas import MeasureName
from trials.errors import Refused
from trials.files.folder import look_through
from trials.files.trial_file import read_trial
from trials.sheets.blank import blank_trial_text, columns_for, write_blank_folder

MEASURES = get_args(MeasureName)


def filled(text: str) -> str:
    """The blank with what has to be filled, filled."""
    return text.replace('kind = ""', 'kind = "natural"', 1).replace('kind = ""', 'kind = "sluice"', 1)


@pytest.mark.parametrize("measure", MEASURES)
def test_a_blank_loads_once_its_open_lines_are_filled(measure: str, tmp_path: Path) -> None:
    """Plan and runs: rows with nothing but pair and arm are runs not yet made."""
    folder = write_blank_folder(tmp_path / "my-mat", measure, "4")
    plan = folder / "trial.toml"
    plan.write_text(filled(plan.read_text()) + '[change]\nvariable = "mat"\nbaseline = "a"\nchanged = "b"\n')
    record, problems = look_through(folder)
    assert problems == []
    assert record is not None
    assert record.trial.name == "my-mat"
    assert [run.key for run in record.runs] == [(n, arm) for n in range(1, 5) for arm in ("baseline", "changed")]


def test_left_as_it_is_a_blank_is_refused_with_what_to_fill(tmp_path: Path) -> None:
    """Nothing is assumed of a person who filled in nothing: each open line is named."""
    _, problems = look_through(write_blank_folder(tmp_path / "my-mat"))
    said = [str(problem) for problem in problems]
    assert any("measure: blank is not known here" in line for line in said)
    assert any("[lot] kind: blank is not known here" in line for line in said)
    assert any("[gear] kind: blank is not known here" in line for line in said)


def test_every_line_is_explained() -> None:
    """Each key, live or commented out, has its one line of meaning."""
    keys = [line for line in blank_trial_text("my-mat").splitlines() if re.match(r"(# )?\w+ = ", line)]
    assert len(keys) > 55
    assert all(re.search(r"  # \w", line) for line in keys)


@pytest.mark.parametrize("measure", ["gold_mass", "grain_counts"])
def test_every_line_can_be_taken_into_use(measure: str) -> None:
    """With the # of every key and section taken away, the samples make a valid plan."""
    text = filled(blank_trial_text("my-mat", measure))
    live = re.sub(r"(?m)^# (?=\[[a-z]+\]$|\w+ = )", "", text).replace('reversible = "minutes"', 'reversible = "no"')
    trial, problems = read_trial(live)
    assert problems == []
    assert trial is not None
    assert trial.guess.gold_mg_kg == 0.5
    assert trial.scales.gold_g == 0.001


def test_columns_follow_the_measure() -> None:
    """A count of grains asks for no scale, and a weight for its ticks."""
    assert "grains" in columns_for("grain_counts")
    assert not {"gold_mg", "seeded"} & set(columns_for("grain_counts"))
    assert {"gold_mg", "tails_gold_mg", "magnet"} <= set(columns_for("recovery"))
    assert {"seeded", "kept", "in_tails"} <= set(columns_for("tracers"))


def test_nothing_is_written_over(tmp_path: Path) -> None:
    """A folder with something in it, a bad name, measure or number: all at once, and nothing written."""
    (tmp_path / "my mat").mkdir()
    (tmp_path / "my mat" / "notes.txt").write_text("mine")
    with pytest.raises(Refused) as refused:
        write_blank_folder(tmp_path / "my mat", "weight", "many")
    assert [line.split(": ")[0] for line in refused.value.lines][:3] == ["--blank", "--measure", "--pairs"]
    assert "is there already, and not empty" in refused.value.lines[3]
    assert [path.name for path in (tmp_path / "my mat").iterdir()] == ["notes.txt"]
