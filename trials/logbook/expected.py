"""Does a logbook have the tables, columns and rules that its migrations gave it?"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import duckdb

from trials.logbook.connect import CONFIG
from trials.logbook.fault import BACK, Fault
from trials.logbook.migrate import known_migrations, migrate

COLUMNS = """
    SELECT table_name, column_name, data_type || CASE WHEN is_nullable THEN '' ELSE ' NOT NULL' END
    FROM duckdb_columns() WHERE NOT internal
"""
RULES = """
    SELECT table_name, constraint_text FROM duckdb_constraints() WHERE constraint_type IN ('CHECK', 'PRIMARY KEY')
"""


@dataclass(frozen=True, slots=True)
class Shape:
    """The columns of each table with their types, and its checks and key."""

    columns: dict[str, dict[str, str]]
    rules: dict[str, set[str]]


def shape_of(con: duckdb.DuckDBPyConnection) -> Shape:
    """Which tables, columns and rules are there?"""
    columns: dict[str, dict[str, str]] = {}
    for table, column, kind in con.execute(COLUMNS).fetchall():
        columns.setdefault(table, {})[column] = kind
    rules: dict[str, set[str]] = {table: set() for table in columns}
    for table, text in con.execute(RULES).fetchall():
        rules.setdefault(table, set()).add(text)
    return Shape(columns, rules)


@cache
def _wanted(migrations: tuple[Path, ...]) -> Shape:  # noqa: ARG001 - the shape is kept for these migrations
    with duckdb.connect(":memory:", config=CONFIG) as anew:
        migrate(anew, Path(":memory:"))
        return shape_of(anew)


def faults_of_shape(con: duckdb.DuckDBPyConnection, path: Path) -> Iterator[Fault]:
    """What differs from a logbook made anew by this version? Tables of others are passed over."""
    wanted = _wanted(tuple(known_migrations().values()))
    found = shape_of(con)
    for table, columns in sorted(wanted.columns.items()):
        place = f"{path}, table {table}"
        if table not in found.columns:
            yield Fault(place, "is not there", BACK)
            continue
        for name, kind in columns.items():
            there = found.columns[table].get(name)
            if there is None:
                yield Fault(place, f"the column {name} is not there", BACK)
            elif there != kind:
                yield Fault(place, f"the column {name} is {there}, and must be {kind}", BACK)
        for name in found.columns[table]:
            if name not in columns:
                yield Fault(place, f"the column {name} does not belong there", BACK)
        for rule in sorted(wanted.rules[table] - found.rules[table]):
            yield Fault(place, f"the rule {rule} is not there", BACK)
