"""Files that samedirt 0.1.0 wrote before its rooms were parted open with equal values."""

import gzip
import json
import shutil
from pathlib import Path

import pytest

from tests.tables import every

HERE = Path(__file__).parent
pytestmark = pytest.mark.usefixtures("here")
NAMES = sorted(path.stem for path in (HERE / "json").glob("*.json"))


@pytest.fixture
def here(tmp_path):
    """The older logbook and all that belongs to it, in the folder the program runs in."""
    (tmp_path / "logbook.duckdb").write_bytes(gzip.decompress((HERE / "logbook.duckdb.gz").read_bytes()))
    for name in ("logbook.duckdb.tally", "sheet-1.png", "filled-mat-ossel.csv", "filled-mat-ossel.xlsx"):
        shutil.copy(HERE / name, tmp_path / name)
    shutil.copytree(HERE / "half", tmp_path / "half")
    shutil.copytree(HERE / "whole", tmp_path / "whole")
    return tmp_path


def exported(samedirt, name: str, *more: str) -> dict:
    """A trial as the program of today writes it as JSON."""
    said = samedirt("export", name, "--as", "json", "--to", f"out-{name}", *more)
    assert said.code == 0, said.err
    (path,) = Path(f"out-{name}").glob("*.json")
    return json.loads(path.read_text(encoding="utf-8"))


def told_then(name: str) -> dict:
    """A trial as it was written as JSON then."""
    return json.loads((HERE / "json" / f"{name}.json").read_text(encoding="utf-8"))


def is_blank(value):
    """Nothing, or a section with nothing in it."""
    return value is None or (isinstance(value, dict) and bool(value) and all(map(is_blank, value.values())))


def as_of(now, then):
    """What is told now without the fields and sections that came later and are blank."""
    if isinstance(now, dict) and isinstance(then, dict):
        return {key: as_of(value, then.get(key)) for key, value in now.items() if key in then or not is_blank(value)}
    if isinstance(now, list) and isinstance(then, list) and len(now) == len(then):
        return [as_of(*both) for both in zip(now, then, strict=True)]
    return now


@every("name", NAMES)
def test_an_older_logbook_holds_what_it_held(samedirt, name):
    """Every plan, run, correction and picture comes out as it was written then."""
    then = told_then(name)
    assert as_of(exported(samedirt, name), then) == then


def test_an_older_logbook_is_written_on(samedirt):
    """A run is corrected in it, and the old value stays on record."""
    said = samedirt("enter", "mat-ossel", "CJL", "--again", "--why", "weighed anew", "--set", "gold_mg=80.5")
    assert said.code == 0, said.err
    corrections = exported(samedirt, "mat-ossel")["corrections"]
    assert [(c["field"], c["old"], c["new"]) for c in corrections][-1] == ("gold_mg", "80.25", "80.5")


def test_an_older_folder_loads_equal(samedirt):
    """A folder of then, loaded into the logbook of then, changes nothing."""
    said = samedirt("load", "whole")
    assert said.code == 0, said.err
    assert "nothing new" in said.out
    then = told_then("mat-ossel")
    assert as_of(exported(samedirt, "mat-ossel"), then) == then


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_an_older_sheet_loads_equal(samedirt, ending):
    """A sheet printed and filled then, loaded into a folder of then, gives the runs that were stored then."""
    own = ("--logbook", "fresh.duckdb")
    assert samedirt("load", "half", "--as-typed", *own).code == 0
    assert samedirt("void", "mat-ossel", "JFN", "--why", "spill", "--gold-not-known", *own).code == 0
    said = samedirt("load", f"filled-mat-ossel.{ending}", *own)
    assert said.code == 0, said.err
    then = told_then("mat-ossel")["runs"]
    now = exported(samedirt, "mat-ossel", *own)["runs"]
    for run in (*then, *now):
        run.pop("typed")  # the folder of then did not carry the units that were typed
        run.pop("as_typed", None)  # nor was it asked then whether an odd value stands
    assert as_of(now, then) == then
