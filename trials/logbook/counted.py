"""Counting a change: how many runs each trial it touched has now, and a digest of all its rows."""

import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from hashlib import sha256

import duckdb

from schemas.run import PLAN_FIELDS
from trials.logbook.migrate import applied
from trials.logbook.rows import Row, by_trial, rows_of_table
from trials.logbook.shape import TABLES
from trials.logbook.tally import Entry

DIGEST_LENGTH = 16


def digest_of(tables: Mapping[str, Sequence[Row]]) -> str:
    """Which state of a trial is this?

    Blanks are left out, so that a column added later changes nothing.

    >>> digest_of({"runs": [{"pair": 1, "note": None}], "lots": []}) == digest_of({"runs": [{"pair": 1}]})
    True
    """
    kept = {
        table: [{name: value for name, value in row.items() if value is not None and name != "trial"} for row in rows]
        for table, rows in tables.items()
        if rows
    }
    text = json.dumps(kept, ensure_ascii=False, sort_keys=True, default=str)
    return sha256(text.encode()).hexdigest()[:DIGEST_LENGTH]


def made_runs(tables: Mapping[str, Sequence[Row]]) -> int:
    """How many runs have more than their place in the plan?"""
    classed = {(row["pair"], row["arm"]) for row in tables.get("size_classes", ())}
    return sum((row["pair"], row["arm"]) in classed or _is_made(row) for row in tables.get("runs", ()))


def _is_made(row: Row) -> bool:
    return any(value not in (None, []) for name, value in row.items() if name not in PLAN_FIELDS and name != "trial")


def count_change(
    con: duckdb.DuckDBPyConnection, touched: Iterable[str], begun: str, last: int, now: datetime
) -> list[Entry]:
    """Count a change, in its own transaction: each trial it touched as it is now.

    `begun` and `last` are the position of the logbook before it. The first change that is counted takes in all trials
    that are there.
    """
    names = sorted(touched if last else {*touched, *_all_trials(con)})
    if not names:
        return []
    tables = {table: by_trial(table, rows_of_table(con, table, names)) for table in TABLES}
    entries = []
    for name in names:
        own = {table: found.get(name, []) for table, found in tables.items()}
        entries.append(Entry("stored", last + 1, now, name, made_runs(own), digest_of(own), begun))
    columns: list[list[object]] = [
        [entry.number for entry in entries],
        [entry.trial for entry in entries],
        [entry.at for entry in entries],
        [entry.runs for entry in entries],
        [entry.digest for entry in entries],
        [max(applied(con))] * len(entries),
    ]
    con.execute(
        "INSERT INTO tally SELECT unnest(?::BIGINT[]), unnest(?::VARCHAR[]), unnest(?::TIMESTAMP[]), "
        "unnest(?::BIGINT[]), unnest(?::VARCHAR[]), unnest(?::BIGINT[])",
        columns,
    )
    return entries


def _all_trials(con: duckdb.DuckDBPyConnection) -> list[str]:
    return [name for (name,) in con.execute("SELECT name FROM trials").fetchall()]
