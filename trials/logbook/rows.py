"""The rows of a table, as they are stored."""

from collections.abc import Sequence

import duckdb

from trials.logbook.shape import KEYS, Row
from trials.logbook.sql import quoted_names


def rows_of_table(con: duckdb.DuckDBPyConnection, table: str, names: Sequence[str] | None = None) -> list[Row]:
    """Read the rows of a table in order of its key: all of them, or those of the trials named."""
    column = KEYS[table][0]
    order = {"runs": ' ORDER BY "trial", "pair", "arm"'}.get(table, f" ORDER BY {quoted_names(KEYS[table])}")
    query = f"SELECT * FROM {table}"  # noqa: S608 - a name of our own table
    if names is not None:
        cursor = con.execute(f'{query} WHERE list_contains(?, "{column}"){order}', [list(names)])
    else:
        cursor = con.execute(query + order)
    columns = [part[0] for part in cursor.description]
    return [dict(zip(columns, row, strict=True)) for row in cursor.fetchall()]
