import csv
import functools
import io
import json
import re
import shutil
import tempfile
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import jsonschema
import pyarrow.parquet
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas import Record, Run
from schemas.trial import SECTIONS
from tests.folders import LEAST, ROUGH_TRIAL, rough_bed, rough_runs, write
from tests.sizes import scaled
from tests.strategies import records
from trials.errors import Refused
from trials.files.file_schema import trial_file_schema
from trials.files.folder import look_through, read_folder
from trials.files.table import guarded, unguarded
from trials.files.write import trial_text, write_folder, write_json
from trials.logbook.logbook import Logbook
from trials.logbook.parquet import parquet_files
from trials.records.keys import file_keys

SCHEMA = jsonschema.Draft202012Validator(trial_file_schema())


def untyped(record: Record) -> Record:
    """A record without the texts as they were typed."""
    runs = tuple(run.model_copy(update={"typed": {}}) for run in record.runs)
    return record.model_copy(update={"trial": record.trial.model_copy(update={"typed": {}}), "runs": runs})


def as_plain_data(text: str) -> Any:
    """A trial file as a plain TOML reader sees it, days as text."""
    return json.loads(json.dumps(tomllib.loads(text), default=str))


@settings(max_examples=scaled(60), deadline=None)
@given(records())
def test_a_folder_reads_back_equal(record: Record) -> None:
    """Any valid record, written and read, is equal but for the typed text."""
    with tempfile.TemporaryDirectory() as place:
        write_folder(record, Path(place) / "out")
        found, problems = look_through(Path(place) / "out")
    assert found is not None, [str(problem) for problem in problems]
    assert untyped(found) == record


@settings(max_examples=scaled(20), deadline=None)
@given(records())
def test_a_folder_written_twice_is_the_same_to_the_byte(record: Record) -> None:
    """What was read from a written folder writes the same files."""
    with tempfile.TemporaryDirectory() as place:
        first = [one.path.read_bytes() for one in write_folder(record, Path(place) / "one")]
        found = read_folder(Path(place) / "one")
        assert [one.path.read_bytes() for one in write_folder(found, Path(place) / "two")] == first


@functools.cache
def empty_logbook() -> bytes:
    """A logbook with nothing in it."""
    with tempfile.TemporaryDirectory() as place:
        book = Logbook(Path(place) / "logbook.duckdb", keeps=False)
        with book.writing():
            pass
        return book.path.read_bytes()


@settings(max_examples=scaled(15), deadline=None)
@given(records(), records())
def test_the_logbook_gives_back_what_it_was_given(one: Record, other: Record) -> None:
    """Any valid record, stored and read, is equal, typed text too; one stored over it is all that is left of its trial."""
    gone = one.model_copy(update={"trial": one.trial.model_copy(update={"amended": ()})})
    gone = gone.model_copy(update={"corrections": ()})
    stays = other.model_copy(update={"trial": other.trial.model_copy(update={"name": one.trial.name})})
    with tempfile.TemporaryDirectory() as place:
        book = Logbook(Path(place) / "logbook.duckdb", keeps=False)
        book.path.write_bytes(empty_logbook())
        for record in (gone, stays):
            with book.writing() as pages:
                pages.store([record])
            assert book.read(record.trial.name) == record


@settings(max_examples=scaled(60), deadline=None)
@given(records())
def test_the_schema_takes_every_file_that_is_written(record: Record) -> None:
    """The printed JSON Schema accepts each trial file; days are text to it."""
    SCHEMA.validate(as_plain_data(trial_text(record.trial)))


FOLDERS = sorted(
    path.parent
    for place in ("demo_trials", "tests/published_trials")
    for path in (Path(__file__).parents[2] / place).glob("*/trial.toml")
)


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_the_schema_takes_the_files_people_have(folder: Path) -> None:
    """Every trial file that comes with the program fits the form it prints."""
    SCHEMA.validate(as_plain_data((folder / "trial.toml").read_text(encoding="utf-8")))


PLACES = ["", *SECTIONS, "lot", "amended", "photo"]


@pytest.mark.parametrize("place", PLACES)
def test_the_schema_refuses_an_unknown_key_anywhere(place: str) -> None:
    """A key we do not know is no part of the form, on top or in any section."""
    whole = as_plain_data(ROUGH_TRIAL)
    whole["amended"] = [{"when": "2026-05-03", "what": "pairs", "was": "6", "now": "8", "why": "more dirt"}]
    whole |= {
        "tails": {"caught": "all"},
        "grains": {"stuff": "gold"},
        "guess": {"sizes": "fine"},
        "price": {"minute": 0.8},
    }
    whole["photo"] = [{"path": "sheets/one.jpg", "what": "sheet", "sha256": "0" * 64}]
    SCHEMA.validate(whole)
    part = whole[place] if place else whole
    (part[0] if isinstance(part, list) else part)["winner"] = 1
    assert not SCHEMA.is_valid(whole)


@pytest.mark.parametrize("key", ["name", "measure", "pairs", "lot", "gear"])
def test_the_schema_knows_the_least_that_loads(key: str) -> None:
    """Without any of the five keys that every plan has, a file does not fit."""
    whole = as_plain_data(LEAST)
    SCHEMA.validate(whole)
    del whole[key]
    assert not SCHEMA.is_valid(whole)


def test_the_schema_describes_every_key() -> None:
    """A person who reads the form finds one line on what each key means."""
    properties = trial_file_schema()["properties"]
    for section, model in SECTIONS.items():
        for key in file_keys(model):
            assert properties[section]["properties"][key]["description"], (section, key)


# Folders as people write them: odd units, several lots, a graded trial, an audit, classes, corrections.
ODD_UNITS = """
name = "odd-units"
measure = "recovery"
worth_having = " 1.50 points "
pairs = 3
locked = "2026-05-02"
[[lot]]
name = "north"
kind = "natural"
mass = "5 lb"
size = "-28"
pickers_over = "1/8 in"
[[lot]]
name = "south"
kind = "made up"
mass = "1.25e1 kg"
[gear]
kind = "sluice"
width = "10 in"
length = "1.2 m"
[change]
variable = "pitch"
baseline = "=1/12"
changed = "-5"
[held]
water = "12 gpm us"
temp = "50 F"
rpm = 30
wetting_drops = 2.5
charge = "1 1/2 lb"
[tails]
caught = "all"
by = "pan, twice"
finds = "80 %"
[scales]
gold = "0.1 grain"
[sizes]
series = "Tyler"
[[amended]]
when = 2026-05-03
what = "pairs"
was = 6
now = 3
why = "out of dirt"
"""
ODD_RUNS = "\n".join(
    (
        "pair,arm,turn,fed_lot,fed_lb,gold_gross_ozt,gold_tare_ozt,tails_gold_dwt,seconds,water_gpm_imp,pitch_in_ft,temp_f,note",
        '1,baseline,1,north,1.1,0.7531,0.7019,0.3,601,1.7,1,49.9,"\'=HYPERLINK(""x"")"',
        '1,changed,2,north,1.1,0.8113,0.7019,0.1,611,1.7,1.1,50.1,"two\nlines, and ""quotes"" too"',
        "2,changed,3,south,.9,1e-1,0,0,599,1.7,1.1,50,''tis",
    )
)
ODD_CHANGES = "when,pair,arm,field,old,new,why\n2026-05-09T10:30:00,1,changed,tails_gold_mg,,155.5,'-\n"
CLASSES = (
    "pair,arm,grains,gold_g +20,gold_g 20/30,gold_g -30,grains -30\n1,baseline,40,0.1,0.2,0.3,12\n1,changed,41,,0.2,,\n"
)
AS_WRITTEN: Mapping[str, tuple[str, str, str | None]] = {
    "odd units": (ODD_UNITS, ODD_RUNS, ODD_CHANGES),
    "roughened bed": (ROUGH_TRIAL, rough_runs(), None),
    "least": (LEAST, "pair,arm\n1,baseline\n", None),
    "classes": (LEAST + '[sizes]\nseries = "ASTM"\nmain = "20/30"\n', CLASSES, None),
    "graded": (
        LEAST.replace('changed = "looped"', 'changed = ["=1+1", "+x", "\'tis", "-5", "NA"]'),
        "pair,arm,gold_mg\n1,ribbed,3\n1,'=1+1,4\n1,'+x,5\n1,''tis,6\n1,-5,7\n1,NA,8\n",
        None,
    ),
    "audit": (
        LEAST.split("[change]")[0].replace("pairs = 3", "pairs = 3\naudit = true").replace("gold_mass", "tracers"),
        "pair,arm,seeded,kept,in_tails\n1,,25,20,5\n2,,25,0,0\n",
        None,
    ),
    "nothing changed": (LEAST.split("[change]")[0], "pair,arm,gold_mg\n1,repeat,3\n1,baseline,4\n", None),
}


def test_load_export_load_is_equal(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Through the program, all fields and what was typed in the plan come back; a third load finds nothing new."""
    for number, (trial, *rest) in enumerate(AS_WRITTEN.values()):
        write(tmp_path / "first" / f"t{number}", re.sub('name = ".*"', f'name = "t{number}"', trial, count=1), *rest)
    loaded = samedirt("load", "first")
    assert loaded.code == 0, loaded.err
    assert samedirt("export", "--all", "--to", "second").code == 0
    assert samedirt("load", "second", "--logbook", "other.duckdb").code == 0
    with Logbook(tmp_path / "logbook.duckdb").reading() as ours, Logbook(tmp_path / "other.duckdb").reading() as theirs:
        both = list(zip(ours.records(), theirs.records(), strict=True))
    assert len(both) == len(AS_WRITTEN)
    for one, other in both:
        assert one.trial == other.trial and one.corrections == other.corrections
        assert untyped(one) == untyped(other)
    assert samedirt("load", "second").out.count(": nothing new.") == len(AS_WRITTEN)


def test_what_was_typed_in_the_plan_is_written_as_it_was_typed(tmp_path: Path) -> None:
    """A pound stays a pound and a fraction a fraction."""
    write_folder(read_folder(write(tmp_path / "a", *AS_WRITTEN["odd units"])), tmp_path / "b")
    text = (tmp_path / "b" / "trial.toml").read_text(encoding="utf-8")
    for typed in ('"5 lb"', '"1/8 in"', '"12 gpm us"', '"50 F"', '"1 1/2 lb"', '"0.1 grain"', '" 1.50 points "'):
        assert typed in text, typed


@settings(max_examples=scaled(15), deadline=None)
@given(records())
def test_json_and_parquet_give_equal_values_to_a_plain_reader(record: Record) -> None:
    """`json` and pyarrow read every stored value of every table, at full precision."""
    with tempfile.TemporaryDirectory() as place:
        (written,) = write_json(record, Path(place))
        plain = json.loads(written.path.read_text(encoding="utf-8"))
    tables = {name: pyarrow.parquet.read_table(io.BytesIO(held)) for name, held in parquet_files(record).items()}
    rows = {name.removesuffix(".parquet"): table.to_pylist() for name, table in tables.items()}
    whole = record.model_dump()
    assert plain == record.model_dump(mode="json")
    trial = whole["trial"]
    lots, amended, photos = (trial.pop(name) for name in ("lots", "amended", "photos"))
    for section in SECTIONS:
        values = trial.pop(section) or dict.fromkeys(SECTIONS[section].model_fields)
        trial |= {f"{section}_{field}": list(v) if isinstance(v, tuple) else v for field, v in values.items()}
    trial["typed"] = json.dumps(trial["typed"])
    assert rows["trials"] == [trial]
    assert without_keys(rows.get("lots", []), "trial", "place") == list(lots)
    assert without_keys(rows.get("amendments", []), "trial", "place") == list(amended)
    assert without_keys(rows.get("photos", []), "trial", "place") == list(photos)
    assert without_keys(rows.get("corrections", []), "trial", "place") == list(whole["corrections"])
    by_key = {(row["pair"], row["arm"]): row for row in rows.get("runs", [])}
    assert len(by_key) == len(record.runs)
    for run, told in zip(record.runs, plain["runs"], strict=True):
        for name in Run.model_fields:
            if name not in ("classes", "typed"):
                assert told[name] == getattr(run, name) == by_key[run.key][name]
    parts = {(run.pair, run.arm, part.label): part.model_dump() for run in record.runs for part in run.classes}
    found = {(row["pair"], row["arm"], row["label"]): row for row in rows.get("size_classes", [])}
    assert {key: without_keys([row], "trial", "place", "pair", "arm")[0] for key, row in found.items()} == parts


def without_keys(rows: list[dict[str, Any]], *names: str) -> list[dict[str, Any]]:
    """Rows in their place, without the keys of the table."""
    ordered = sorted(rows, key=lambda row: row.get("place", 0))
    return [{key: value for key, value in row.items() if key not in names} for row in ordered]


def test_text_that_a_spreadsheet_would_run_is_guarded(tmp_path: Path) -> None:
    """=1+1, -x, @x, 'x and what stands for a blank elsewhere are written with one more ' and lose it on reading."""
    record = read_folder(rough_bed(tmp_path / "a"))
    notes = ["=1+1", "+x", "-x", "@sum", "'tis", "''", "1-2", "1E5", "007", "lost", "2026-05-03", "=cmd|' /C calc'!A0"]
    voids = ["NA", "NaN", "null", "<na>", "'NA", "''nan", "Na", "wet", "=1", "-", "'tis", "spilt"]
    said = zip(record.runs, notes, voids, strict=True)
    runs = tuple(run.model_copy(update={"note": note, "void": void}) for run, note, void in said)
    write_folder(record.model_copy(update={"runs": runs}), tmp_path / "b")
    with (tmp_path / "b" / "runs.csv").open(encoding="utf-8", newline="") as file:
        cells = [row["note"] for row in csv.DictReader(file)]
    assert not any(cell.startswith(("=", "+", "-", "@")) for cell in cells)
    read = {run.key: (run.note, run.void) for run in read_folder(tmp_path / "b").runs}
    assert read == {run.key: (run.note, run.void) for run in runs}


@given(text=st.text("'=+-@;|\ta1 ,\"", max_size=8))
def test_what_is_guarded_comes_back(text: str) -> None:
    """Signs, apostrophes and formulas in any order: nothing is taken from a text that the guard did not put there."""
    assert unguarded(guarded(text)) == text
    assert not guarded(text).startswith(("=", "+", "-", "@"))


def test_a_level_that_a_spreadsheet_would_run_is_guarded(tmp_path: Path) -> None:
    """The arm of a graded trial is free text too."""
    write_folder(read_folder(write(tmp_path / "a", *AS_WRITTEN["graded"])), tmp_path / "b")
    with (tmp_path / "b" / "runs.csv").open(encoding="utf-8", newline="") as file:
        arms = {row["arm"] for row in csv.DictReader(file)}
    assert arms == {"baseline", "'=1+1", "'+x", "''tis", "-5", "'NA"}


def test_an_export_over_an_older_one_leaves_nothing_of_it(tmp_path: Path) -> None:
    """Runs and corrections of an earlier export of the trial are not read back with the later one."""
    one = read_folder(write(tmp_path / "a", *AS_WRITTEN["odd units"]))
    write_folder(one, tmp_path / "out")
    bare = one.model_copy(update={"runs": (), "corrections": ()})
    with pytest.raises(Refused, match="pair 1 baseline: holds values that are not in the logbook"):
        write_folder(bare, tmp_path / "out")
    write_folder(bare, tmp_path / "out", replace=True)
    assert read_folder(tmp_path / "out") == bare


@pytest.mark.parametrize("line", [1e-06, 0.1, 1 / 3, 99.99999999999999])
def test_a_line_of_any_size_is_written_so_that_it_is_read(line: float, tmp_path: Path) -> None:
    """No exponent stands in a line, however small."""
    record = read_folder(rough_bed(tmp_path / "a"))
    fine = record.model_copy(update={"trial": record.trial.model_copy(update={"worth_having": line, "typed": {}})})
    write_folder(fine, tmp_path / "b")
    assert read_folder(tmp_path / "b").trial.worth_having == line


def test_what_was_typed_survives_export_and_load(tmp_path: Path) -> None:
    """The words beside the values, whichever column they stand in; those of a value changed since are let go."""
    runs = (
        "pair,arm,session,minutes,fed_lb,gold_g,temp_f,pitch_in_ft,grains\n"
        "1,baseline,13/5/2026 am,9.5,20.1,0.0312,54,1,31.0\n1,changed,,10,20,0.04,,,\n"
    )
    record = read_folder(write(tmp_path / "one", LEAST, runs))
    assert record.runs[0].typed["fed_g"] == "20.1 lb" and record.runs[0].typed["session"] == "13/5/2026 am"
    clocked = record.runs[1].model_copy(
        update={"minutes": 9.0, "typed": {**record.runs[1].typed, "minutes": "9:12 9:21"}}
    )
    write_folder(record.model_copy(update={"runs": (record.runs[0], clocked)}), tmp_path / "two")
    again = read_folder(tmp_path / "two")
    assert again.runs == (record.runs[0], clocked)
    text = (tmp_path / "two" / "runs.csv").read_text()
    (tmp_path / "two" / "runs.csv").write_text(text.replace("1,changed,,9,", "1,changed,,12,"))
    assert dict(read_folder(tmp_path / "two").runs[1].typed) == {"fed_g": "20 lb", "gold_mg": "0.04 g"}
    (tmp_path / "two" / "runs.csv").write_text(text.replace("fed_g=20 lb", "20 lb"))
    assert any("tells no column" in str(one) for one in look_through(tmp_path / "two")[1])


def test_a_note_opened_at_semicolons_runs_nothing(tmp_path: Path) -> None:
    """A cell with a sign that splits columns elsewhere is quoted, and what would be a formula behind it is text."""
    for note in ("lost;=1+1", "a;\t@SUM(A1)", "b | +cmd(1)", "c;'=1", "cold; -5 C"):
        record = read_folder(write(tmp_path / "one", LEAST, "pair,arm,grains\n1,baseline,3\n"))
        run = record.runs[0].model_copy(update={"note": note})
        write_folder(record.model_copy(update={"runs": (run,)}), tmp_path / "two")
        line = (tmp_path / "two" / "runs.csv").read_text().splitlines()[1]
        assert line.startswith('1,baseline,3,"') and not re.search(r"[;\t|]\s*[=@]", line), line
        assert read_folder(tmp_path / "two").runs[0].note == note
        shutil.rmtree(tmp_path / "two")
