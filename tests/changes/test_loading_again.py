from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests import folders
from tests.folders import LEAST, rough_bed, write
from trials.logbook.logbook import Logbook

RUNS = "pair,arm,turn,gold_mg\n1,baseline,1,20\n1,changed,2,30\n"


@pytest.fixture
def loaded(samedirt: Callable[..., Any], tmp_path: Path) -> Callable[..., Any]:
    """A logbook with one trial in it."""
    folders.loaded(samedirt, tmp_path, "mat", LEAST, RUNS)
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
    assert samedirt("load", "mat").out.startswith("mat: 1 change to the plan.\n")
    assert stored(tmp_path).trial.pairs == 8


TWO_LOTS = LEAST.replace("[lot]", '[[lot]]\nname = "north"').replace(
    "[gear]", '[[lot]]\nname = "south"\nkind = "natural"\n[gear]'
)


def test_a_plan_made_anew_leaves_nothing_of_the_old(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Lots, arms and rows not yet run are those of the new plan; the export of it loads."""
    planned = "pair,arm,turn,tag\n1,baseline,1,AAA\n1,changed,2,BBB\n8,baseline,3,CCC\n"
    write(tmp_path / "mat", TWO_LOTS.replace("pairs = 3", "pairs = 8"), planned)
    samedirt("load", "mat")
    bare = LEAST.split("[change]")[0]
    write(tmp_path / "mat", bare, "pair,arm,turn,tag\n1,repeat,2,BBB\n1,baseline,1,CCC\n")
    assert samedirt("load", "mat").code == 0
    record = stored(tmp_path)
    assert [lot.name for lot in record.trial.lots] == ["lot"]
    assert [(run.key, run.tag) for run in record.runs] == [((1, "baseline"), "CCC"), ((1, "repeat"), "BBB")]
    samedirt("export", "mat", "--to", "out")
    assert "mat: nothing new." in samedirt("load", "out").out


def test_the_first_runs_of_a_plan_are_new_runs(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A row that was only planned becomes a run when it is filled in."""
    write(tmp_path / "mat", LEAST, "pair,arm,turn\n1,baseline,1\n1,changed,2\n2,changed,3\n")
    samedirt("load", "mat")
    write(tmp_path / "mat", LEAST, "pair,arm,turn,gold_mg\n1,baseline,1,20\n1,changed,2,\n2,changed,3,\n")
    assert samedirt("load", "mat").out.startswith("mat: 1 new run.\n")
    write(tmp_path / "mat", LEAST, "pair,arm,turn,gold_mg\n1,baseline,1,20\n1,changed,2,30\n2,changed,3,\n")
    assert samedirt("load", "mat").out.startswith("mat: 1 new run.\n")
    assert [run.gold_mg for run in stored(tmp_path).runs] == [20.0, 30.0, None]


def test_a_lock_by_its_date_holds_before_the_first_run(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A plan that says when it was locked is locked, runs or none; --why does not open it."""
    locked = LEAST.replace("pairs = 3", "pairs = 3\nlocked = 2026-05-02")
    write(tmp_path / "mat", locked)
    samedirt("load", "mat")
    for changed in (locked.replace("pairs = 3", "pairs = 8"), LEAST, locked.replace("looped", "moss")):
        write(tmp_path / "mat", changed)
        said = samedirt("load", "mat", "--why", "because")
        assert said.code == 2 and "the plan is locked at" in said.err and "[[amended]]" in said.err
    assert stored(tmp_path).trial.pairs == 3


def test_an_amendment_stays(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """An amendment once stored can't be taken out of the file again; a second one is added to it."""
    one = '[[amended]]\nwhen = 2026-05-03\nwhat = "pairs"\nwas = 3\nnow = 4\nwhy = "more dirt"\n'
    two = '[[amended]]\nwhen = 2026-05-04\nwhat = "limits"\nwas = "ours"\nnow = "2"\nwhy = "slow pump"\n'
    write(tmp_path / "mat", LEAST.replace("pairs = 3", "pairs = 4") + one, RUNS)
    assert loaded("load", "mat").code == 0
    write(tmp_path / "mat", LEAST, RUNS)
    assert "the amendment of pairs is missing; put it back" in loaded("load", "mat").err
    write(tmp_path / "mat", LEAST.replace("pairs = 3", "pairs = 4") + "[limits]\nminutes = 2.0\n" + one + two, RUNS)
    assert loaded("load", "mat").code == 0
    assert [amendment.what for amendment in stored(tmp_path).trial.amended] == ["pairs", "limits"]
    assert stored(tmp_path).trial.cost_limits.minutes == 2.0


def test_a_question_that_was_not_asked_may_be_added(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """Blanks of the plan that are no part of the lock may be filled."""
    write(tmp_path / "mat", 'question = "Is it so?"\n' + LEAST + "[held]\nrpm = 30\n", RUNS)
    assert loaded("load", "mat").out.startswith("mat: 2 blanks filled.\n")
    assert stored(tmp_path).trial.question == "Is it so?"


def test_the_same_number_in_another_unit_is_no_change(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """Grams for milligrams, -0 for 0, other quotes, another order of rows and columns: nothing new."""
    before = (tmp_path / "logbook.duckdb").read_bytes()
    write(tmp_path / "mat", LEAST, 'turn,gold_g,arm,pair\n2,3e-2,"changed",1\n1,0.020,baseline,1\n')
    assert loaded("load", "mat").out.startswith("mat: nothing new.\n")
    assert (tmp_path / "logbook.duckdb").read_bytes() == before


def test_zero_has_no_sign(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """-0 is 0, when it is stored and when it is compared."""
    write(tmp_path / "mat", LEAST, RUNS.replace(",30", ",-0"))
    samedirt("load", "mat")
    assert str(stored(tmp_path).runs[1].gold_mg) == "0.0"
    write(tmp_path / "mat", LEAST, RUNS.replace(",30", ",0"))
    assert "nothing new" in samedirt("load", "mat").out


@pytest.mark.parametrize(
    ("row", "clash"),
    [
        ("2,baseline,2,CCC,25", "turn 2: is given to more than one run"),
        ("2,baseline,3,BBB,25", "tag BBB: is on more than one run"),
    ],
)
def test_new_runs_must_fit_with_stored_ones(row: str, clash: str, samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A turn or a tag of a run that the folder no longer holds can't be given away."""
    head = "pair,arm,turn,tag,gold_mg\n"
    write(tmp_path / "mat", LEAST, head + "1,baseline,1,AAA,20\n1,changed,2,BBB,30\n")
    samedirt("load", "mat")
    write(tmp_path / "mat", LEAST, head + row + "\n")
    said = samedirt("load", "mat")
    assert said.code == 2 and f"mat (with the runs stored before), runs.csv, {clash}" in said.err
    assert len(stored(tmp_path).runs) == 2


def test_stored_runs_must_keep_their_arm(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """An amended change can't leave stored runs without an arm."""
    amended = '[[amended]]\nwhen = 2026-05-03\nwhat = "change"\nwas = "x"\nnow = "y"\nwhy = "z"\n'
    write(tmp_path / "mat", LEAST.split("[change]")[0] + amended, "pair,arm,turn,gold_mg\n1,baseline,1,20\n")
    said = loaded("load", "mat")
    assert said.code == 2 and "changed is not an arm of this trial" in said.err


def test_what_the_plan_tells_may_be_corrected(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """The kind of dirt is no part of the lock, but changing it needs a reason."""
    write(tmp_path / "mat", LEAST.replace('"natural"', '"concentrate"'), RUNS)
    said = loaded("load", "mat")
    assert said.code == 2 and "lot.kind: stored natural, here concentrate" in said.err
    assert loaded("load", "mat", "--why", "it was cons").code == 0
    assert stored(tmp_path).trial.lots[0].kind == "concentrate"
    assert stored(tmp_path).corrections[0].field == "lot.kind"


@pytest.mark.parametrize(
    ("why", "says"),
    [
        ("", "is empty; write something"),
        ("  ", "is empty; write something"),
        ("x" * 2001, "is too long; 2,000 characters at most"),
        ("\x1b[31m", "holds a control character; take it out"),
    ],
)
def test_a_reason_must_be_one(why: str, says: str, loaded: Callable[..., Any], tmp_path: Path) -> None:
    """An empty reason is none, and nothing is stored for it."""
    write(tmp_path / "mat", LEAST, RUNS.replace(",30", ",33"))
    said = loaded("load", "mat", "--why", why)
    assert said.code == 2 and said.err.startswith("samedirt: --why: ") and says in said.err
    assert stored(tmp_path).runs[1].gold_mg == 30.0


def test_corrections_add_up(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """Each change of one value stays on record, old and new, also when it is taken out in the end."""
    for value, why in ((",33", "misread"), (",31", "misread again"), (",", "the jar was lost")):
        write(tmp_path / "mat", LEAST, RUNS.replace(",30", value))
        assert loaded("load", "mat", "--why", why).code == 0
    assert [(c.old, c.new, c.why) for c in stored(tmp_path).corrections] == [
        ("30", "33", "misread"),
        ("33", "31", "misread again"),
        ("31", None, "the jar was lost"),
    ]
    assert stored(tmp_path).runs[1].gold_mg is None


def test_a_size_class_may_be_taken_out_with_a_reason(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A class that goes leaves the run; the next load finds nothing to say."""
    trial = LEAST + '[sizes]\nseries = "ASTM"\n'
    write(tmp_path / "mat", trial, "pair,arm,gold_mg,gold_mg +50,gold_mg -50\n1,baseline,20,3,4\n")
    samedirt("load", "mat")
    write(tmp_path / "mat", trial, "pair,arm,gold_mg,gold_mg +50\n1,baseline,20,3\n")
    said = samedirt("load", "mat")
    assert said.code == 2 and "gold_mg -50: stored 4, here blank" in said.err
    assert samedirt("load", "mat", "--why", "wrong jar").code == 0
    assert [part.label for part in stored(tmp_path).runs[0].classes] == ["+50"]
    assert "nothing new" in samedirt("load", "mat").out


def test_a_change_explained_otherwise_is_refused(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """A correction that tells other values than the file holds explains nothing."""
    changes = "when,pair,arm,field,old,new,why\n2026-05-09T10:30:00,1,changed,gold_mg,30,34,misread\n"
    write(tmp_path / "mat", LEAST, RUNS.replace(",30", ",33"), changes)
    said = loaded("load", "mat")
    assert said.code == 2 and "stored 30, here 33" in said.err
    assert not stored(tmp_path).corrections


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("2026-05-09T10:30:00+02:00,1,changed,gold_mg,30,33,x", "has a time zone; write local time"),
        ("yesterday,1,changed,gold_mg,30,33,x", "yesterday or 1 can't be read"),
        ("2026-05-09T10:30:00,1_0,changed,gold_mg,30,33,x", "or 1_0 can't be read"),
        ("2026-05-09T10:30:00,99999999999999999999,changed,gold_mg,30,33,x", "pair a whole number"),
        ("2026-05-09T10:30:00,1001,changed,gold_mg,30,33,x", "1001 is over 1,000"),
        ("2026-05-09T10:30:00,1,changed,,30,33,x", "field: is missing"),
        ("2026-05-09T10:30:00,1,changed,gold_mg,30,33,", "why: is missing"),
    ],
)
def test_a_correction_that_can_not_be_one(row: str, says: str, samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """What changes.csv holds is checked as the other files are, and loading twice says the same."""
    write(tmp_path / "mat", LEAST, RUNS, f"when,pair,arm,field,old,new,why\n{row}\n")
    for _ in range(2):
        said = samedirt("load", "mat")
        assert said.code == 2 and says in said.err
        assert "changes.csv row 2" in said.err and not (tmp_path / "logbook.duckdb").exists()


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


def test_one_changed_value_in_many_folders_stores_none(loaded: Callable[..., Any], tmp_path: Path) -> None:
    """A new trial waits until the changed value beside it has its reason."""
    rough_bed(tmp_path / "new")
    write(tmp_path / "mat", LEAST, RUNS.replace(",30", ",33"))
    before = (tmp_path / "logbook.duckdb").read_bytes()
    said = loaded("load", "new", "mat")
    assert said.code == 2 and len(said.err.splitlines()) == 1
    assert (tmp_path / "logbook.duckdb").read_bytes() == before
    assert loaded("load", "new", "mat", "--why", "misread").code == 0
    with Logbook(tmp_path / "logbook.duckdb").reading() as pages:
        assert pages.names() == ["mat", "rough-bed"]


def test_a_folder_named_twice_is_read_once(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """By itself, by its whole path, through its parent or a link: one folder, one trial."""
    write(tmp_path / "all" / "mat", LEAST, RUNS)
    (tmp_path / "link").symlink_to(tmp_path / "all" / "mat")
    said = samedirt("load", "all/mat", "all", tmp_path / "all" / "mat", "link", "./all/../all/mat")
    assert said.code == 0 and said.out.startswith("mat: new, 2 runs.\nIn ")


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
    before = (tmp_path / "logbook.duckdb").read_bytes()
    again = samedirt("load", "all")
    assert f"{count:,} trials: 0 new, 0 changed, {count:,} as they were." in again.out
    assert (tmp_path / "logbook.duckdb").read_bytes() == before
