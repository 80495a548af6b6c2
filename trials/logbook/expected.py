"""Does a logbook have the tables, columns and rules that its migrations gave it?"""

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import duckdb

from trials.errors import Problem
from trials.logbook.attached import attached
from trials.logbook.explain import BACK
from trials.logbook.migrate import known_migrations, migrate

PARTS = """
    SELECT table_name, 'column ' || column_name, data_type || CASE WHEN is_nullable THEN '' ELSE ' NOT NULL' END
    FROM duckdb_columns() WHERE database_name = current_database()
    UNION ALL
    SELECT table_name, 'rule ' || constraint_text, ''
    FROM duckdb_constraints()
    WHERE database_name = current_database() AND constraint_type IN ('CHECK', 'PRIMARY KEY')
"""
Parts = dict[str, dict[str, str]]  # table -> its columns with their types, and its rules


def faults_of_shape(con: duckdb.DuckDBPyConnection, path: Path) -> Iterator[Problem]:
    """What differs from a logbook made anew by this version? Tables of others are passed over."""
    found = _parts(con)
    for table, wanted in _wanted(tuple(known_migrations().values())).items():
        place, there = f"{path}, table {table}", found.get(table)
        if there is None:
            yield Problem(place, "is not there", BACK)
            continue
        for part, kind in wanted.items():
            if part not in there:
                yield Problem(place, f"the {part} is not there", BACK)
            elif there[part] != kind:
                yield Problem(place, f"the {part} is {there[part]}, and must be {kind}", BACK)
        for part in there.keys() - wanted.keys():
            yield Problem(place, f"the {part} does not belong there", BACK)


@cache
def _wanted(migrations: tuple[Path, ...]) -> Parts:  # noqa: ARG001 - the parts are kept for these migrations
    with attached(Path(":memory:")) as anew:
        migrate(anew, Path(":memory:"))
        return _parts(anew)


def _parts(con: duckdb.DuckDBPyConnection) -> Parts:
    parts: Parts = {}
    for table, part, kind in sorted(con.execute(PARTS).fetchall(), key=lambda row: row[0]):
        parts.setdefault(table, {})[part] = kind
    return parts
