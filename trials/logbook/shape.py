"""Words <-> rows: how a record is laid out over the tables of the logbook."""

import json
from collections.abc import Iterable, Mapping, Sequence
from operator import itemgetter
from typing import Any

import duckdb

from schemas import Amendment, Correction, Lot, Photo, Record, Run, SizeCatch, Trial, Word, WorthBase
from schemas.trial import SECTIONS

Row = dict[str, Any]

TABLES = ("trials", "lots", "amendments", "photos", "runs", "size_classes", "corrections")
WORTH_BASES, OWN_COSTS = "worth_bases", "own_costs"
KEYS: Mapping[str, tuple[str, ...]] = {
    "trials": ("name",),
    "lots": ("trial", "name"),
    "amendments": ("trial", "place"),
    "photos": ("trial", "place"),
    "runs": ("trial", "pair", "arm"),
    "size_classes": ("trial", "pair", "arm", "label"),
    "corrections": ("trial", "place"),
}
# The lists of a plan: each has a table of its own.
LISTS: Mapping[str, tuple[str, type[Word]]] = {
    "lots": ("lots", Lot),
    "amendments": ("amended", Amendment),
    "photos": ("photos", Photo),
}


def rows_of_table(con: duckdb.DuckDBPyConnection, table: str, names: Sequence[str] | None = None) -> list[Row]:
    """Read the rows of a table in order of its key: all of them, or those of the trials named."""
    query = f"SELECT * FROM {table}"  # noqa: S608 - a name of our own table
    if names is None:
        answer = con.execute(query)
    else:
        answer = con.execute(f'{query} WHERE list_contains(?, "{KEYS[table][0]}")', [list(names)])
    # Sorted here: to plan a sort of so many columns takes DuckDB as long as to read them.
    return sorted(rows_of(answer), key=itemgetter(*KEYS[table]))


def rows_of(answer: duckdb.DuckDBPyConnection) -> list[Row]:
    """The rows of an answer of the store, by the names of its columns."""
    columns = [part[0] for part in answer.description]
    return [dict(zip(columns, row, strict=True)) for row in answer.fetchall()]


def rows_of_records(records: Iterable[Record]) -> dict[str, list[Row]]:
    """Lay records out as rows, by table, in order of trial name."""
    rows: dict[str, list[Row]] = {table: [] for table in TABLES}
    for record in sorted(records, key=lambda one: one.trial.name):
        for table, found in _rows_of_record(record).items():
            rows[table] += found
    return rows


def _rows_of_record(record: Record) -> dict[str, list[Row]]:
    name = record.trial.name
    return {
        "trials": [_trial_row(record.trial)],
        **{table: _numbered({"trial": name}, getattr(record.trial, field)) for table, (field, _) in LISTS.items()},
        "runs": [{"trial": name, **_own(run, skip=("classes",))} for run in record.runs],
        "size_classes": [
            row
            for run in record.runs
            for row in _numbered({"trial": name, "pair": run.pair, "arm": run.arm}, run.classes)
        ],
        "corrections": _numbered({"trial": name}, record.corrections),
    }


def _own(word: Word, skip: Sequence[str] = ()) -> Row:
    row = {name: getattr(word, name) for name in type(word).model_fields if name not in skip}
    if "typed" in row:
        row["typed"] = json.dumps(row["typed"], ensure_ascii=False)
    return row


def _trial_row(trial: Trial) -> Row:
    row = _own(trial, skip=(*(field for field, _ in LISTS.values()), *SECTIONS))
    for part, model in SECTIONS.items():
        word = getattr(trial, part)
        for name in model.model_fields:
            value = None if word is None else getattr(word, name)
            row[f"{part}_{name}"] = list(value) if isinstance(value, tuple) else value
    return row


def _numbered(key: Row, words: Iterable[Word]) -> list[Row]:
    return [{**key, "place": place, **_own(word)} for place, word in enumerate(words, start=1)]


def records_of(tables: Mapping[str, Sequence[Row]]) -> list[Record]:
    """Build records from the rows of every table, in order of trial name."""
    children = {name: by_trial(tables[name]) for name in TABLES if name != "trials"}
    records = []
    for row in sorted(tables["trials"], key=lambda row: str(row["name"])):
        name = row["name"]
        own = {table: rows.get(name, []) for table, rows in children.items()}
        records.append(
            Record(
                trial=_trial(row, own),
                runs=_runs(own["runs"], own["size_classes"]),
                corrections=tuple(Correction(**_without(r, "trial", "place")) for r in _in_place(own["corrections"])),
            )
        )
    return records


def by_trial(rows: Iterable[Row], column: str = "trial") -> dict[str, list[Row]]:
    """Sort rows by the trial they belong to, which stands in that column."""
    grouped: dict[str, list[Row]] = {}
    for row in rows:
        grouped.setdefault(row[column], []).append(row)
    return grouped


def _without(row: Row, *names: str) -> Row:
    return {key: value for key, value in row.items() if key not in names}


def _in_place(rows: Sequence[Row]) -> list[Row]:
    return sorted(rows, key=lambda row: int(row["place"]))


def _trial(row: Row, own: Mapping[str, Sequence[Row]]) -> Trial:
    values: Row = {name: row[name] for name in Trial.model_fields if name in row}
    values["typed"] = json.loads(row["typed"])
    for table, (field, model) in LISTS.items():
        values[field] = tuple(model(**_without(part, "trial", "place")) for part in _in_place(own[table]))
    for part, model in SECTIONS.items():
        found = {name: row[f"{part}_{name}"] for name in model.model_fields}
        if "changed" in found and found["changed"] is not None:
            found["changed"] = tuple(found["changed"])
        if any(value is not None for value in found.values()):
            values[part] = model(**found)
    return Trial(**values)


def _runs(rows: Sequence[Row], classes: Sequence[Row]) -> tuple[Run, ...]:
    parts: dict[tuple[int, str], list[SizeCatch]] = {}
    for row in _in_place(classes):
        part = SizeCatch(**_without(row, "trial", "pair", "arm", "place"))
        parts.setdefault((row["pair"], row["arm"]), []).append(part)
    built = []
    for row in rows:
        values = _without(row, "trial")
        values["typed"] = json.loads(row["typed"])
        values["classes"] = tuple(parts.get((row["pair"], row["arm"]), ()))
        built.append(Run(**values))
    return tuple(built)


def row_of_worth_base(base: WorthBase) -> Row:
    """Lay what a year is reckoned with out as a row."""
    return _own(base)


def worth_base_of_row(row: Row) -> WorthBase:
    """Build what a year is reckoned with from its row."""
    return WorthBase(**{**_without(row, "place", "when"), "typed": json.loads(row["typed"])})
