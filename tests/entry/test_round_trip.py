import csv
import json
import tempfile
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pyarrow.parquet
from hypothesis import given, settings

from schemas import Record, Run
from tests.folders import rough_bed
from tests.strategies import records
from trials.entry.file_schema import trial_file_schema
from trials.entry.folder import look_through, read_folder
from trials.entry.plain_json import write_json
from trials.entry.write import trial_text, write_folder
from trials.logbook.logbook import Logbook
from trials.logbook.parquet import write_parquet


def untyped(record: Record) -> Record:
    """A record without the texts as they were typed."""
    runs = tuple(run.model_copy(update={"typed": {}}) for run in record.runs)
    return record.model_copy(update={"trial": record.trial.model_copy(update={"typed": {}}), "runs": runs})


@settings(max_examples=60, deadline=None)
@given(records())
def test_a_folder_reads_back_equal(record: Record) -> None:
    """Any valid record, written and read, is equal but for the typed text."""
    with tempfile.TemporaryDirectory() as place:
        write_folder(record, Path(place) / "out")
        found, problems = look_through(Path(place) / "out")
    assert found is not None, [str(problem) for problem in problems]
    assert untyped(found) == record


@settings(max_examples=15, deadline=None)
@given(records())
def test_the_logbook_gives_back_what_it_was_given(record: Record) -> None:
    """Any valid record, stored and read, is equal, typed text too."""
    with tempfile.TemporaryDirectory() as place:
        book = Logbook(Path(place) / "logbook.duckdb")
        with book.writing() as pages:
            pages.store([record])
        assert book.read(record.trial.name) == record


@settings(max_examples=60, deadline=None)
@given(records())
def test_the_schema_takes_every_file_that_is_written(record: Record) -> None:
    """The printed JSON Schema accepts each trial file; days are text to it."""
    data = json.loads(json.dumps(tomllib.loads(trial_text(record.trial)), default=str))
    jsonschema.validate(data, trial_file_schema())


def test_the_schema_refuses_an_unknown_key() -> None:
    """A key we do not know is no part of the form."""
    checker = jsonschema.Draft202012Validator(trial_file_schema())
    assert not checker.is_valid({"name": "mat", "winner": 1})


def test_load_export_load_is_equal(tmp_path: Path) -> None:
    """What was typed in the plan comes back as it was typed."""
    first = read_folder(rough_bed(tmp_path / "rough-bed"))
    write_folder(first, tmp_path / "out")
    assert read_folder(tmp_path / "out") == first
    assert 'mass = "7.5 kg"' in (tmp_path / "out" / "trial.toml").read_text(encoding="utf-8")


@settings(max_examples=15, deadline=None)
@given(records())
def test_json_and_parquet_give_equal_values_to_a_plain_reader(record: Record) -> None:
    """`json` and pyarrow read the stored values, at full precision."""
    with tempfile.TemporaryDirectory() as place:
        book = Logbook(Path(place) / "logbook.duckdb")
        with book.writing() as pages:
            pages.store([record])
        (path,) = write_json(record, Path(place))
        plain = json.loads(path.read_text(encoding="utf-8"))
        write_parquet(book, record.trial.name, Path(place) / "parquet")
        found = Path(place) / "parquet" / "runs.parquet"
        rows: list[dict[str, Any]] = pyarrow.parquet.read_table(found).to_pylist() if found.exists() else []
    by_key = {(row["pair"], row["arm"]): row for row in rows}
    assert len(plain["runs"]) == len(record.runs) == len(rows)
    for run, told in zip(record.runs, plain["runs"], strict=True):
        for name in Run.model_fields:
            if name not in ("classes", "typed"):
                assert told[name] == getattr(run, name) == by_key[run.key][name]


def test_text_that_a_spreadsheet_would_run_is_guarded(tmp_path: Path) -> None:
    """=1+1, -x, @x and 'x are written with one more ' and lose it on reading."""
    record = read_folder(rough_bed(tmp_path / "a"))
    notes = ["=1+1", "+x", "-x", "@sum", "'tis", "''", "1-2", "1E5", "007", "lost", "2026-05-03", "=cmd|' /C calc'!A0"]
    runs = tuple(run.model_copy(update={"note": note}) for run, note in zip(record.runs, notes, strict=True))
    write_folder(record.model_copy(update={"runs": runs}), tmp_path / "b")
    with (tmp_path / "b" / "runs.csv").open(encoding="utf-8", newline="") as file:
        cells = [row["note"] for row in csv.DictReader(file)]
    assert not any(cell.startswith(("=", "+", "-", "@")) for cell in cells)
    assert {run.key: run.note for run in read_folder(tmp_path / "b").runs} == {run.key: run.note for run in runs}
