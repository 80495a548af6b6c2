from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.folders import LEAST, write

RUNS = "pair,arm,turn,gold_mg\n1,baseline,1,20\n1,changed,2,30\n"


@pytest.fixture
def loaded(samedirt: Callable[..., Any], tmp_path: Path) -> Callable[..., Any]:
    """A logbook with one trial, and the folder it came from."""
    write(tmp_path / "mat", LEAST, RUNS)
    samedirt("load", "mat")
    return samedirt


@pytest.mark.parametrize(
    ("runs", "place"),
    [
        (RUNS + "2,baseline,3,25\n", "pair 2 baseline"),
        (RUNS.replace(",30", ",33"), "pair 1 changed"),
        (
            RUNS.replace("gold_mg\n", "gold_mg,minutes\n").replace(",20\n", ",20,9\n").replace(",30\n", ",30,\n"),
            "pair 1 baseline",
        ),
    ],
)
def test_an_export_over_runs_not_yet_loaded_is_refused(
    runs: str, place: str, loaded: Callable[..., Any], tmp_path: Path
) -> None:
    """A new run, a value changed by hand and a blank filled in would be lost: the folder stays as it is."""
    write(tmp_path / "mat", LEAST, runs)
    said = loaded("export", "mat")
    assert said.code == 2
    assert f"mat, {place}: holds values that are not in the logbook; samedirt load it first" in said.err
    assert (tmp_path / "mat" / "runs.csv").read_text() == runs


def test_a_folder_that_can_not_be_read_is_not_written_over(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """What is wrong in it may be what a person still wants."""
    write(tmp_path / "mat", LEAST, "pair,arm,gold_mg\n1,baseline,x\n")
    said = loaded("export", "mat")
    assert said.code == 2 and "can't be read as it stands" in said.err


def test_an_older_export_is_written_over(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """Runs added and values corrected since are in the logbook, the old value too; nothing is lost."""
    assert loaded("export", "mat", "--to", "out").code == 0
    write(tmp_path / "mat", LEAST, RUNS.replace(",30", ",33") + "2,baseline,3,25\n")
    assert loaded("load", "mat", "--why", "misread").code == 0
    assert loaded("export", "mat", "--to", "out").code == 0
    assert "1,changed,2,33" in (tmp_path / "out" / "runs.csv").read_text()
    assert loaded("export", "mat", "--to", "out").code == 0
