import json
import random
from collections.abc import Callable
from pathlib import Path
from shutil import copytree
from typing import Any

import pytest

from tests.folders import ROUGH_TRIAL, rough_bed, rough_loaded, rough_runs, write
from tests.logbook.writers import add, run
from trials.files.folder import read_folder
from trials.logbook.attached import BLOCK_BYTES, attached, close_file
from trials.logbook.beside import copies_of
from trials.logbook.check import examine
from trials.logbook.connect import connect
from trials.logbook.logbook import Logbook

BACK = "; keep the file, and go back to a copy: samedirt logbook --restore"
WITHIN = "; load its folder again with --why, or go back to a copy: samedirt logbook --restore"


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the folder of `rough` is kept for the tests after the first."""
    return tmp_path_factory.mktemp("once") / "rough"


@pytest.fixture
def rough(samedirt: Callable[..., Any], tmp_path: Path, once: Path) -> Path:
    """A logbook with the roughened bed, with a class in one run and one correction, and a copy of it before that."""
    if once.exists():
        copytree(once, tmp_path, dirs_exist_ok=True)
        return tmp_path / "logbook.duckdb"
    lines = rough_runs().splitlines()
    runs = "\n".join([lines[0] + ",grains -50", lines[1] + ",3", *(line + "," for line in lines[2:])])
    write(tmp_path / "rough-bed", ROUGH_TRIAL, runs)
    assert samedirt("load", "rough-bed").code == 0
    write(tmp_path / "rough-bed", ROUGH_TRIAL, runs.replace(",44,", ",43,", 1))
    assert samedirt("load", "rough-bed", "--why", "counted again").code == 0
    copytree(tmp_path, once)
    return tmp_path / "logbook.duckdb"


def spoil(path: Path, *statements: str) -> None:
    """Change a logbook by hand, as a program that is not ours might."""
    con = connect(path, read_only=False)
    for statement in statements:
        con.execute(statement)
    close_file(con)


def test_a_whole_logbook_is_said_to_be_whole(samedirt: Callable[..., Any], rough: Path) -> None:
    """What it holds, and how many copies there are; exit code 0."""
    said = samedirt("logbook", "--check")
    assert said.code == 0 and said.err == ""
    kept = copies_of(rough)[-1].kept_at
    assert " ".join(said.out.split()) == (
        f"logbook.duckdb is whole: 1 trial, 12 runs. 1 copy, the newest of {kept:%Y-%m-%d %H:%M}."
    )


@pytest.mark.usefixtures("rough")
def test_a_whole_logbook_is_told_to_programs(samedirt: Callable[..., Any]) -> None:
    """The same as one JSON value."""
    told = json.loads(samedirt("logbook", "--check", "--json").out)
    (copy,) = told.pop("copies")
    assert told == {
        "logbook": "logbook.duckdb",
        "whole": True,
        "trials": 1,
        "runs": 12,
        "faults": [],
    }
    assert copy["trials"] == ["rough-bed"] and copy["runs"] == 12 and copy["readable"] and not copy["set_aside"]


def test_looking_changes_nothing(samedirt: Callable[..., Any], rough: Path) -> None:
    """A check writes to no file."""
    before = {one: one.read_bytes() for one in rough.parent.rglob("*") if one.is_file()}
    samedirt("logbook", "--check")
    samedirt("logbook", "--restore")
    assert {one: one.read_bytes() for one in rough.parent.rglob("*") if one.is_file()} == before


def test_an_empty_logbook_is_whole(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Nothing stored is nothing wrong."""
    with Logbook(tmp_path / "logbook.duckdb").writing():
        pass
    said = " ".join(samedirt("logbook", "--check").out.split())
    assert said.startswith("logbook.duckdb is whole: 0 trials, 0 runs. 1 copy, the newest of ")


# What was done by hand -> the lines that tell it, without their place "logbook.duckdb, ".
SPOILT: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "a table gone": (("DROP TABLE corrections",), (f"table corrections: is not there{BACK}",)),
    "a column gone": (("ALTER TABLE runs DROP note",), (f"table runs: the column note is not there{BACK}",)),
    "a column of another type": (
        ("ALTER TABLE runs ALTER note TYPE BLOB",),
        (f"table runs: the column note is BLOB, and must be VARCHAR{BACK}",),
    ),
    "a column too many": (
        ("ALTER TABLE lots ADD weather VARCHAR",),
        (f"table lots: the column weather does not belong there{BACK}",),
    ),
    "a rule gone": (
        ("CREATE TABLE x AS FROM amendments", "DROP TABLE amendments", "ALTER TABLE x RENAME TO amendments"),
        (
            *(
                f"table amendments: the column {name} is {kind}, and must be {kind} NOT NULL{BACK}"
                for name, kind in (("trial", "VARCHAR"), ("place", "BIGINT"), ("when", "DATE"), ("what", "VARCHAR"))
            ),
            *(
                f"table amendments: the column {name} is VARCHAR, and must be VARCHAR NOT NULL{BACK}"
                for name in ("was", "now", "why")
            ),
            f"table amendments: the rule PRIMARY KEY(trial, place) is not there{BACK}",
        ),
    ),
    "the trial gone": (
        ("DELETE FROM trials",),
        (
            f"table lots: 1 row of rough-bed, a trial that is not there{BACK}",
            f"table runs: 12 rows of rough-bed, a trial that is not there{BACK}",
            f"table size_classes: 1 row of rough-bed, a trial that is not there{BACK}",
            f"table corrections: 1 row of rough-bed, a trial that is not there{BACK}",
            f"table verdicts: 1 row of rough-bed, a trial that is not there{BACK}",
        ),
    ),
    "a run of a class gone": (
        ("DELETE FROM runs WHERE pair = 1 AND arm = 'baseline'",),
        (f"table size_classes: a row of rough-bed pair 1 baseline, a run that is not there{BACK}",),
    ),
    "a correction of a list gone": (
        ("UPDATE corrections SET place = 2",),
        (f"table corrections: 1 row of rough-bed where 2 were stored{BACK}",),
    ),
    "a correction of no run": (
        ("UPDATE corrections SET pair = 99",),
        (f"table corrections: a row of rough-bed pair 99 baseline, a run that is not there{BACK}",),
    ),
    "a word that no list has": (
        ("UPDATE trials SET gear_kind = 'spoon'",),
        (
            "rough-bed: can't be read (kind: Input should be 'finishing table', 'sluice', 'cleanup sluice', "
            "'shaking table', 'pan', 'spinning bowl', 'vortex bowl', 'wheel', 'jig', 'rocker' or 'other')" + BACK,
        ),
    ),
    "a run that can't be": (
        ("UPDATE runs SET tag = 'a tag with spaces' WHERE pair = 3 AND arm = 'changed'",),
        ("rough-bed pair 3 changed: can't be read (tag: String should match pattern '^[A-Za-z0-9-]{1,12}$')" + BACK,),
    ),
    "what was typed is no JSON": (
        ("UPDATE runs SET typed = '{' WHERE pair = 3 AND arm = 'changed'",),
        (
            "rough-bed pair 3 changed: can't be read (Expecting property name enclosed in double quotes: "
            "line 1 column 2 (char 1))" + BACK,
        ),
    ),
    "no lot": (
        ("DELETE FROM lots",),
        ("rough-bed: can't be read (lots: Tuple should have at least 1 item after validation, not 0)" + BACK,),
    ),
    "an arm the plan does not know": (
        ("UPDATE runs SET arm = 'chanced' WHERE pair = 6 AND arm = 'changed'",),
        (f"rough-bed pair 6, arm: chanced is not an arm of this trial; did you mean changed?{WITHIN}",),
    ),
    "a tag twice": (
        ("UPDATE runs SET tag = 'HTK' WHERE pair = 6",),
        (
            f"rough-bed, tag HTK: is on more than one run; every run has its own, and small letters are no others{WITHIN}",
        ),
    ),
}


@pytest.mark.parametrize(("statements", "lines"), SPOILT.values(), ids=list(SPOILT))
def test_what_does_not_add_up_is_told(
    statements: tuple[str, ...], lines: tuple[str, ...], samedirt: Callable[..., Any], rough: Path
) -> None:
    """Every fault on one line: where, what, and the next step; exit code 1."""
    spoil(rough, *statements)
    said = samedirt("logbook", "--check")
    assert said.code == 1 and said.err == ""
    assert said.out.splitlines() == [f"logbook.duckdb, {line}" for line in lines]


def test_tables_of_others_are_let_be(samedirt: Callable[..., Any], rough: Path) -> None:
    """Who keeps a table of their own in the file does no harm."""
    spoil(rough, 'CREATE TABLE "my ""birds""" AS SELECT 1 AS seen')
    assert samedirt("logbook", "--check").code == 0


def test_an_older_file_in_place_of_the_logbook_is_told(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Runs that were confirmed and that a copy still holds are missed by name of the trial, until that is gone back to."""
    path, lines = tmp_path / "logbook.duckdb", rough_runs().splitlines()
    for runs in (2, 4, 6):
        trial = read_folder(write(tmp_path / "rough-bed", ROUGH_TRIAL, "\n".join(lines[: runs + 1])))
        with Logbook(path).writing() as pages:
            pages.store([trial])
        if runs == 2:
            older = path.read_bytes()
    path.write_bytes(older)
    said = samedirt("logbook", "--check")
    told = " ".join(said.out.split())
    assert said.code == 1 and told.startswith("logbook.duckdb: lacks 2 runs of rough-bed that copy 2 (")
    assert told.endswith(
        ") holds; an older file may lie in its place; samedirt logbook --restore 2 goes back to that copy, and sets this "
        "file aside"
    )
    assert samedirt("logbook", "--restore", "2", "--yes").code == 0
    assert samedirt("logbook", "--check").code == 0
    assert samedirt("logbook", "--restore", "1", "--yes").code == 0
    assert samedirt("logbook", "--check").code == 0


def test_a_damaged_copy_is_told(samedirt: Callable[..., Any], rough: Path) -> None:
    """A net with a hole is known before one falls into it."""
    (copy,) = copies_of(rough)
    for content in (b"", copy.path.read_bytes()[:5000], b"no store at all, but long enough"):
        copy.path.write_bytes(content)
        said = samedirt("logbook", "--check")
        place = copy.path.relative_to(rough.parent)
        assert said.code == 1
        assert said.out.startswith(f"{place}: the copy can't be read (")
        assert said.out.endswith("); delete it; the others are not touched by it\n") and said.out.count("\n") == 1
        assert "can't be read: " in samedirt("logbook", "--restore").out


def test_a_flipped_byte_is_told_or_every_value_is_right(
    samedirt: Callable[..., Any], tmp_path: Path, sized: Callable[[int], int]
) -> None:
    """Whatever bit rots in the file: a fault, or every record as it was stored and a file that can be written to."""
    path = tmp_path / "logbook.duckdb"
    record = read_folder(rough_bed(tmp_path / "rough-bed"))
    samedirt("load", "rough-bed")
    whole = path.read_bytes()
    used = [at for at, byte in enumerate(whole) if byte]
    rng, told = random.Random(20260528), 0  # noqa: S311 - a seeded choice of bytes
    for at in rng.sample(used, sized(100)):
        path.write_bytes(whole[:at] + bytes([whole[at] ^ (1 << rng.randrange(8))]) + whole[at + 1 :])
        said = samedirt("logbook", "--check")
        if said.code == 0:
            assert Logbook(path).read("rough-bed") == record, at
            add(Logbook(path), "t", run(1))
            assert examine(Logbook(path)).faults == ()
            continue
        told += 1
        assert len((said.out or said.err).splitlines()) == 1, said
        assert said.code == 1 or "is not a logbook" in said.err or "newer version" in said.err, said
    assert told


def test_damage_to_any_block_is_told(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Rows, keys and the list of both: a key is read by writing alone, and its damage is found before that."""
    path = tmp_path / "logbook.duckdb"
    rough_loaded(samedirt, tmp_path)
    with attached(path, read_only=True) as con:
        query = "SELECT free_blocks FROM pragma_database_size() WHERE database_name = current_database()"
        ((unused,),) = con.execute(query).fetchall()
    whole, heads = path.read_bytes(), 3 * 4096
    told, quiet = [], 0
    for at in range(heads + 200, len(whole), BLOCK_BYTES):
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        said = samedirt("logbook", "--check")
        quiet += said.code == 0  # a block that nothing is in
        if said.code:
            assert said.code == 1 and said.out.count("\n") == 1 and said.err == "", at
            told.append(said.out)
    assert quiet <= unused
    assert any("can't be written to any more (" in line for line in told)
    assert any(", table runs: can't be read to its end (" in line for line in told)


def test_no_logbook_is_no_damage(samedirt: Callable[..., Any]) -> None:
    """There is nothing to look through: exit code 2."""
    said = samedirt("logbook", "--check")
    assert said.code == 2 and said.err.startswith("samedirt: no logbook at logbook.duckdb; begin with samedirt plan")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--check", "--restore"), "logbook takes one of --history, --check and --restore at a time"),
        (("t", "--history", "--restore"), "logbook takes one of --history, --check and --restore at a time"),
        (("t", "--check"), "logbook --check looks at the whole file and takes no name; leave the name out"),
    ],
)
def test_flags_that_do_not_go_together(words: tuple[str, ...], says: str, samedirt: Callable[..., Any]) -> None:
    """What was typed can't be taken: exit code 2, one line."""
    said = samedirt("logbook", *words)
    assert said.code == 2 and said.err == f"samedirt: {says}\n"
