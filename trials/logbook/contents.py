"""What a logbook file holds, told without bringing it up to date."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import duckdb

from trials.logbook.connect import CONFIG, escaped, is_a_store

RUNS_TALLIED = """
    SELECT coalesce(sum(runs), 0)::BIGINT FROM (SELECT arg_max(runs, number) AS runs FROM tally GROUP BY trial)
"""


@dataclass(frozen=True, slots=True)
class Contents:
    """What a logbook file holds.

    Attributes
    ----------
    names
        Its trials, in order.
    runs
        How many runs were made in them.
    states
        Every state of a trial that it has counted, by name and digest.
    """

    names: tuple[str, ...]
    runs: int
    states: frozenset[tuple[str, str]]


@contextmanager
def looking() -> Iterator[Callable[[Path], Contents]]:
    """Look into several logbook files, one after the other, at the cost of opening one.

    What is given counts what a file holds, whatever its shape. It raises `duckdb.Error` where a file can't be read or
    is of a newer version, and `OSError` where it can't be opened.
    """
    con = duckdb.connect(":memory:", config={**CONFIG, "threads": 1})
    try:
        yield lambda path: _look(con, path)
    finally:
        con.close()


def look_into(path: Path) -> Contents:
    """Count what one logbook file holds, as `looking` does."""
    with looking() as look:
        return look(path)


def _look(con: duckdb.DuckDBPyConnection, path: Path) -> Contents:
    if not is_a_store(path):
        raise duckdb.IOException("it does not begin as a logbook does")
    con.execute(f"ATTACH '{escaped(path)}' AS looked_into (READ_ONLY)")
    try:
        con.execute("USE looked_into")
        return _counted(con)
    finally:
        con.execute("USE memory")
        con.execute("DETACH looked_into")


def _counted(con: duckdb.DuckDBPyConnection) -> Contents:
    query = "SELECT table_name FROM duckdb_tables() WHERE database_name = 'looked_into'"
    tables = {name for (name,) in con.execute(query).fetchall()}
    if not tables:  # made, and nothing stored yet
        return Contents((), 0, frozenset())
    names = tuple(name for (name,) in con.execute("SELECT name FROM trials ORDER BY name").fetchall())
    if "tally" not in tables:  # of a shape before it
        ((runs,),) = con.execute("SELECT count(*) FROM runs").fetchall()
        return Contents(names, int(runs), frozenset())
    ((runs,),) = con.execute(RUNS_TALLIED).fetchall()
    return Contents(names, int(runs), frozenset(con.execute("SELECT trial, digest FROM tally").fetchall()))
