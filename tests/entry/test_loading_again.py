from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.folders import LEAST, rough_bed, write
from trials.logbook.logbook import Logbook

RUNS = "pair,arm,turn,gold_mg\n1,baseline,1,20\n1,changed,2,30\n"


@pytest.fixture
def loaded(samedirt: Callable[..., Any], tmp_path: Path) -> Callable[..., Any]:
    """A logbook with one trial in it."""
    write(tmp_path / "mat", LEAST, RUNS)
    assert samedirt("load", "mat").code == 0
    return samedirt


def stored(tmp_path: Path) -> Any:
    """The trial in the logbook."""
    return Logbook(tmp_path / "logbook.duckdb").read("mat")


def test_equal_runs_change_nothing(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """Loading the same folder again leaves the file as it was, byte for byte."""
    before = (tmp_path / "logbook.duckdb").read_bytes()
    said = loaded("load", "mat")
    assert said.code == 0 and "mat: nothing new." in said.out
    assert (tmp_path / "logbook.duckdb").read_bytes() == before


def test_new_runs_are_added(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """Runs that came in since are stored beside the old."""
    write(tmp_path / "mat", LEAST, RUNS + "2,baseline,3,25\n")
    assert "1 new run" in loaded("load", "mat").out
    assert len(stored(tmp_path).runs) == 3


def test_a_changed_value_is_refused_with_old_and_new(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """Nothing is overwritten without a reason, and nothing else is stored with it."""
    write(tmp_path / "mat", LEAST, RUNS.replace(",30", ",33") + "2,baseline,3,25\n")
    said = loaded("load", "mat")
    assert said.code == 2
    assert "pair 1 changed gold_mg: stored 30, here 33; put the old value back, or load again with --why" in said.err
    assert len(stored(tmp_path).runs) == 2


def test_a_reason_makes_it_a_correction(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """With --why the new value is taken and the old one kept, with when and why."""
    write(tmp_path / "mat", LEAST, RUNS.replace(",30", ",33"))
    assert "1 correction" in loaded("load", "mat", "--why", "misread the scale").out
    record = stored(tmp_path)
    (fixed,) = record.corrections
    assert (fixed.pair, fixed.arm, fixed.field, fixed.old, fixed.new, fixed.why) == (
        1,
        "changed",
        "gold_mg",
        "30",
        "33",
        "misread the scale",
    )
    assert record.runs[1].gold_mg == 33.0


def test_a_value_taken_out_is_a_change(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """Blanking a stored value needs a reason too."""
    write(tmp_path / "mat", LEAST, RUNS.replace(",30", ","))
    said = loaded("load", "mat")
    assert said.code == 2 and "stored 30, here blank" in said.err


def test_a_blank_may_be_filled(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """A weighing that comes later is an addition."""
    write(tmp_path / "mat", LEAST, "pair,arm,turn,gold_mg,minutes\n1,baseline,1,20,9\n1,changed,2,30,\n")
    assert "1 blank filled" in loaded("load", "mat").out
    assert stored(tmp_path).runs[0].minutes == 9.0


def test_runs_the_folder_lacks_stay(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """A row gone from the file is not gone from the logbook."""
    write(tmp_path / "mat", LEAST, "pair,arm,turn,gold_mg\n1,baseline,1,20\n")
    assert "1 stored run not in the folder, kept" in loaded("load", "mat").out
    assert len(stored(tmp_path).runs) == 2


@pytest.mark.parametrize(
    ("change", "what"),
    [("pairs = 4", "pairs"), ('pairs = 3\nworth_having = "20 %"', "worth_having"), ("pairs = 3\nspares = 1", "spares")],
)
def test_a_locked_plan_needs_an_amendment(change: str, what: str, loaded: Callable[..., Any], tmp_path: Path) -> None:
    """After the first run measure, pairs, line, limits and look change by amendment only."""
    changed = LEAST.replace("pairs = 3", change)
    write(tmp_path / "mat", changed, RUNS)
    said = loaded("load", "mat")
    assert said.code == 2
    assert f"mat, {what}: the plan is locked at" in said.err and "[[amended]]" in said.err
    amended = changed + f'[[amended]]\nwhen = 2026-05-03\nwhat = "{what}"\nwas = "x"\nnow = "y"\nwhy = "more dirt"\n'
    write(tmp_path / "mat", amended, RUNS)
    assert "1 amendment" in loaded("load", "mat").out
    assert stored(tmp_path).trial.amended[0].why == "more dirt"


def test_a_plan_without_lock_or_run_may_change(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Before the first run a plan is only a plan."""
    write(tmp_path / "mat", LEAST)
    samedirt("load", "mat")
    write(tmp_path / "mat", LEAST.replace("pairs = 3", "pairs = 8"))
    assert samedirt("load", "mat").code == 0
    assert stored(tmp_path).trial.pairs == 8


def test_what_the_plan_tells_may_be_corrected(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """The kind of dirt is no part of the lock, but changing it needs a reason."""
    write(tmp_path / "mat", LEAST.replace('"natural"', '"concentrate"'), RUNS)
    said = loaded("load", "mat")
    assert said.code == 2 and "lot.kind: stored natural, here concentrate" in said.err
    assert loaded("load", "mat", "--why", "it was cons").code == 0
    assert stored(tmp_path).trial.lots[0].kind == "concentrate"
    assert stored(tmp_path).corrections[0].field == "lot.kind"


def test_a_change_that_its_own_file_explains_is_taken(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """An export with corrections, made elsewhere, loads over the older state."""
    changes = "when,pair,arm,field,old,new,why\n2026-05-09T10:30:00,1,changed,gold_mg,30,33,misread\n"
    write(tmp_path / "mat", LEAST, RUNS.replace(",30", ",33"), changes)
    assert loaded("load", "mat").code == 0
    assert stored(tmp_path).corrections[0].why == "misread"


def test_one_bad_folder_stores_none(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """All problems of all folders are listed, and nothing is stored."""
    rough_bed(tmp_path / "all" / "good")
    write(tmp_path / "all" / "bad-1", LEAST.replace("pairs = 3", "pairs = 0"))
    write(tmp_path / "all" / "bad-2", LEAST, "pair,arm,gold_mg\n1,baseline,x\n")
    said = samedirt("load", "all")
    assert said.code == 2 and len(said.err.splitlines()) == 2
    assert not (tmp_path / "logbook.duckdb").exists()


def test_one_name_twice_is_refused(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Two folders of one trial can't both be it."""
    write(tmp_path / "all" / "a", LEAST)
    write(tmp_path / "all" / "b", LEAST)
    said = samedirt("load", "all")
    assert said.code == 2 and "the trial mat is in" in said.err


def test_a_thousand_folders_load_in_one_command(
    samedirt: Callable[..., Any], tmp_path: Path, sized: Callable[[int], int]
) -> None:
    """A parent folder of trials loads whole, with progress on the way."""
    count = sized(1000)
    for i in range(count):
        write(tmp_path / "all" / f"t{i}", LEAST.replace('"mat"', f'"t{i}"', 1), RUNS)
    said = samedirt("load", "all")
    assert said.code == 0, said.err
    assert f"{count:,} trials: {count:,} new, 0 changed, 0 as they were." in said.out
    assert f"Reading trial folders: {count:,} of {count:,}" in said.err
    with Logbook(tmp_path / "logbook.duckdb").reading() as pages:
        assert len(pages.names()) == count
