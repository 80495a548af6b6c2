from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests import folders
from tests.folders import LEAST, write

RUNS = "pair,arm,turn,gold_mg\n1,baseline,1,20\n1,changed,2,30\n"


@pytest.fixture
def loaded(samedirt: Callable[..., Any], tmp_path: Path) -> Callable[..., Any]:
    """A logbook with one trial, and the folder it came from."""
    folders.loaded(samedirt, tmp_path, "mat", LEAST, RUNS)
    return samedirt


@pytest.mark.parametrize(
    ("runs", "place"),
    [
        (
            RUNS.replace("gold_mg\n", "gold_mg,note\n").replace(",20\n", ",20,spilled\n").replace(",30\n", ",30,\n"),
            "pair 1 baseline",
        ),
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


PLAN = """question = "Does it?"  # asked by my brother
worth_having = "10 %"
# how I keep the mat
"""


@pytest.mark.parametrize(
    ("key", "was", "now"), [("question", "Does it?", "Does it pay?"), ("worth_having", "10 %", "20 %")]
)
def test_an_edited_plan_is_not_written_over(
    key: str, was: str, now: str, samedirt: Callable[..., Any], tmp_path: Path
) -> None:
    """Question or line changed in the folder and not loaded: refused in one line each, unless --replace keeps them."""
    plan = PLAN + LEAST
    write(tmp_path / "mat", plan, RUNS)
    samedirt("load", "mat")
    mine = plan.replace(f'"{was}"', f'"{now}"')
    (tmp_path / "mat" / "trial.toml").write_text(mine)
    said = samedirt("export", "mat")
    assert said.code == 2 and said.err.count("\n") == 1
    assert f"mat, {key}: holds values that are not in the logbook; samedirt load it first" in said.err
    assert (tmp_path / "mat" / "trial.toml").read_text() == mine
    done = samedirt("export", "mat", "--replace")
    assert done.code == 0 and done.out.splitlines() == [
        "Wrote mat/trial.toml; the one before it is kept as mat/trial-old-1.toml",
        "mat/runs.csv says the same already and was left as it is",
    ]
    assert (tmp_path / "mat" / "trial-old-1.toml").read_text() == mine
    assert samedirt("export", "mat", "--to", "new").code == 0
    for name in ("trial.toml", "runs.csv"):
        again = (tmp_path / "new" / name).read_text()
        assert name == "runs.csv" or (tmp_path / "mat" / name).read_text() == again


def test_a_folder_that_says_the_same_keeps_a_persons_remarks(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Comments, order and spelling stay, byte for byte and date for date; it is said."""
    folder = write(tmp_path / "mat", PLAN + LEAST, RUNS.replace("20", "20.0"))
    samedirt("load", "mat")
    before = {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in folder.iterdir()}
    said = samedirt("export", "mat")
    assert said.code == 0 and said.out.count("says the same already and was left as it is") == 2
    assert {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in folder.iterdir()} == before


@pytest.mark.parametrize("form", ["folder", "json", "parquet"])
def test_an_older_export_is_kept_beside(form: str, loaded: Callable[..., Any], tmp_path: Path) -> None:
    """Runs added and values corrected since are in the logbook, the old value too; the older files are kept all the same."""
    call = ("export", "mat", "--as", form, "--to", "out")
    assert loaded(*call).code == 0
    first = {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()}
    write(tmp_path / "mat", LEAST, RUNS.replace(",30", ",33") + "2,baseline,3,25\n")
    assert loaded("load", "mat", "--why", "misread").code == 0
    said = loaded(*call)
    assert said.code == 0, said.err
    kept = {path.name.replace("-old-1", ""): path.read_bytes() for path in (tmp_path / "out").glob("*-old-1.*")}
    assert kept and kept == {name: first[name] for name in kept}
    assert said.out.count("the one before it is kept as out/") == len(kept)
    if form == "folder":
        assert list(kept) == ["runs.csv"] and "1,changed,2,33" in (tmp_path / "out" / "runs.csv").read_text()
        assert loaded("load", "out").out.startswith("mat: nothing new")
    assert "kept as" not in loaded(*call).out


def test_files_alone_and_edited_json_are_not_written_over(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """Runs without a plan, and a JSON file with another value, of another trial, or of no record."""
    write(tmp_path / "alone", runs=RUNS).joinpath("trial.toml").unlink()
    said = loaded("export", "mat", "--to", "alone")
    assert said.code == 2 and "alone/runs.csv: is there already, without a trial.toml; name another" in said.err
    loaded("export", "mat", "--as", "json", "--to", "out")
    path = tmp_path / "out" / "mat.json"
    whole = path.read_text()
    for text, says in (
        (whole.replace("20.0", "21.0"), "pair 1 baseline: holds values that are not in the logbook"),
        (whole.replace('"mat"', '"other"', 1), "holds the trial other, not mat"),
        ('{"mine": 1}', "is there already, and is no record of this version"),
    ):
        path.write_text(text)
        said = loaded("export", "mat", "--as", "json", "--to", "out")
        assert said.code == 2 and says in said.err and path.read_text() == text
    assert loaded("export", "mat", "--as", "json", "--to", "out", "--replace").code == 0
    assert path.read_text() == whole and (tmp_path / "out" / "mat-old-1.json").read_text() == text
