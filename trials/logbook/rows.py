"""The rows of a table, as they are stored."""

from collections.abc import Sequence
from typing import Any

import duckdb

from trials.logbook.shape import KEYS

Row = dict[str, Any]


def quoted(names: Sequence[str]) -> str:
    """Write names of columns as a list that SQL takes.

    >>> quoted(["pair", "when"])
    '"pair", "when"'
    """
    return ", ".join(quoted_name(name) for name in names)


def quoted_name(name: str) -> str:
    """Write one name as SQL takes it, whatever is in it."""
    return '"' + name.replace('"', '""') + '"'


def rows_of_table(con: duckdb.DuckDBPyConnection, table: str, names: Sequence[str] | None = None) -> list[Row]:
    """Read the rows of a table in order of its key: all of them, or those of the trials named."""
    column = KEYS[table][0]
    order = {"runs": ' ORDER BY "trial", "pair", "arm"'}.get(table, f" ORDER BY {quoted(KEYS[table])}")
    query = f"SELECT * FROM {table}"  # noqa: S608 - a name of our own table
    if names is not None:
        cursor = con.execute(f'{query} WHERE list_contains(?, "{column}"){order}', [list(names)])
    else:
        cursor = con.execute(query + order)
    columns = [part[0] for part in cursor.description]
    return [dict(zip(columns, row, strict=True)) for row in cursor.fetchall()]


def by_trial(table: str, rows: Sequence[Row]) -> dict[str, list[Row]]:
    """Sort rows of a table by the trial they belong to."""
    found: dict[str, list[Row]] = {}
    for row in rows:
        found.setdefault(row[KEYS[table][0]], []).append(row)
    return found
