"""What a logbook file holds, read to its end without bringing it up to date; and whether it can be written on."""

import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import duckdb

from trials.logbook.attached import attached
from trials.logbook.beside import Copy, is_a_store
from trials.logbook.connect import transaction
from trials.logbook.copying import copy_view
from trials.logbook.explain import first_line
from trials.logbook.sql import quoted_name

FILLED = "SELECT table_name FROM duckdb_tables() WHERE database_name = current_database() AND estimated_size > 0"
COLUMNS = """
    SELECT table_name, list(column_name) FROM duckdb_columns() WHERE database_name = current_database() GROUP BY ALL
"""
KEYED = """
    SELECT table_name FROM duckdb_constraints()
    WHERE database_name = current_database() AND constraint_type = 'PRIMARY KEY' ORDER BY 1
"""


@dataclass(frozen=True, slots=True)
class Contents:
    """What a logbook file holds: its trials in order of name, and the runs made in them by trial, pair and arm."""

    names: tuple[str, ...]
    made: frozenset[tuple[str, int, str]]

    @property
    def runs(self) -> int:
        """How many runs were made."""
        return len(self.made)


def read_to_end(path: Path) -> None:
    """Read a logbook file that nobody writes to, of whatever shape, every row of every table.

    Raises duckdb.Error: it can't be read, is no logbook, or is of a newer DuckDB.
    Raises OSError: it can't be opened.
    """
    with _read_to_end(path):
        pass


@contextmanager
def _read_to_end(path: Path) -> Iterator[duckdb.DuckDBPyConnection]:
    """A file that was read to its end, still open."""
    if not is_a_store(path):
        raise duckdb.IOException("it does not begin as a logbook does")
    with attached(path, read_only=True) as con:
        filled = con.execute(FILLED).fetchall()
        # Every value goes into a sum, so every block is read and its checksum compared.
        sums = (f"SELECT bit_xor(hash(*COLUMNS(*))) FROM {quoted_name(table)}" for (table,) in filled)  # noqa: S608 - tables that are there
        if filled:
            con.execute(" UNION ALL ".join(sums)).fetchall()
        yield con


def _contents(path: Path) -> Contents:
    with _read_to_end(path) as con:
        columns = dict(con.execute(COLUMNS).fetchall())
        if not columns:  # made, and nothing stored yet
            return Contents((), frozenset())
        names = con.execute("SELECT name FROM trials ORDER BY name").fetchall()
        made = con.execute(_made_runs(columns["runs"])).fetchall()
        return Contents(tuple(name for (name,) in names), frozenset(made))


def _made_runs(columns: Iterable[str]) -> str:
    """Name the runs with more than their place in the plan, as `schemas.is_made` does."""
    from schemas.run import PLAN_FIELDS

    told = " OR ".join(f"r.{quoted_name(name)} IS NOT NULL" for name in columns if name not in PLAN_FIELDS | {"trial"})
    return (
        f"SELECT r.trial, r.pair, r.arm FROM runs r WHERE {told} OR EXISTS ("  # noqa: S608 - columns that are there
        "FROM size_classes c WHERE (c.trial, c.pair, c.arm) = (r.trial, r.pair, r.arm))"
    )


def contents_of(copies: Iterable[Copy]) -> list[tuple[Copy, Contents | str]]:
    """What each copy holds, or why it can't be read."""
    return [(copy, _contents_or_why(copy.path)) for copy in copies]


def _contents_or_why(path: Path) -> Contents | str:
    try:
        return _contents(path)
    except duckdb.Error as error:
        return first_line(error)
    except OSError as error:
        return error.strerror or str(error)


def why_not_writable(view: int) -> str:
    """What would keep the next change from being written to a logbook file? Blank where nothing would.

    A key is read by writing alone, so that damage to it shows in no reading. In a copy that is thrown away every row is
    taken out of its table, which looks up every key. Where there is no room for a copy nothing is tried.
    """
    with TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        tried = Path(folder) / "tried.duckdb"
        try:
            copy_view(view, tried, os.fstat(view).st_size)
        except OSError:
            return ""
        try:
            with attached(tried) as con, transaction(con):
                for (table,) in con.execute(KEYED).fetchall():
                    con.execute(f"DELETE FROM {quoted_name(table)}")  # noqa: S608 - a table that is there, in the copy
        except duckdb.Error as error:
            return first_line(error)
    return ""
