"""Numbered migrations: each is a file, and each that was applied is a row in the logbook itself.

A new logbook is begun with the shape that all of them together come to, and has a row for every one.
"""

from collections.abc import Sequence
from datetime import datetime
from hashlib import sha256
from pathlib import Path

import duckdb

from trials.errors import LogbookError
from trials.logbook.connect import transaction

FOLDER = Path(__file__).parent / "migrations"
WHOLE = "whole.sql"
LEDGER = "samedirt_migrations"
LEDGER_COLUMNS = "(number BIGINT PRIMARY KEY, name VARCHAR NOT NULL, applied_at TIMESTAMP NOT NULL)"


def known_migrations() -> dict[int, Path]:
    """The migrations of this version, by number.

    >>> sorted(known_migrations())[0]
    1
    """
    return {int(path.name[:4]): path for path in sorted(FOLDER.glob("[0-9][0-9][0-9][0-9]_*.sql"))}


def applied(con: duckdb.DuckDBPyConnection) -> set[int]:
    """The numbers of the migrations this file has had. Reads only."""
    try:
        rows = con.execute(f"SELECT number FROM {LEDGER}").fetchall()  # noqa: S608 - a name of our own table
    except duckdb.CatalogException:  # no such table; asking the file for all its tables first would take longer
        return set()
    return {int(number) for (number,) in rows}


def pending(con: duckdb.DuckDBPyConnection, path: Path) -> list[int]:
    """The numbers still to be applied. Reads only.

    Raises LogbookError: the file belongs to a newer version, or is a DuckDB file of something else.
    """
    known, had = set(known_migrations()), applied(con)
    if had - known:
        newest, newer = max(known), max(had)
        raise LogbookError(
            f"{path} is a logbook of shape {newer}, and this version knows up to {newest}; it was left untouched. "
            "Update samedirt"
        )
    if not had and tables_in(con):
        raise LogbookError(
            f"{path} is a DuckDB file, but not a logbook; it was left untouched. Name another with --logbook"
        )
    return sorted(known - had)


def begins(todo: Sequence[int]) -> bool:
    """Whether a file that lacks those numbers is not begun yet.

    >>> begins([*known_migrations()]), begins([])
    (True, False)
    """
    return set(todo) == set(known_migrations())


def migrate(con: duckdb.DuckDBPyConnection, todo: Sequence[int]) -> None:
    """Apply those numbers that are `pending`, all in one transaction."""
    if todo:
        with transaction(con):
            take_steps(con, todo)


def take_steps(con: duckdb.DuckDBPyConnection, todo: Sequence[int]) -> None:
    """Apply those numbers inside a transaction: every step with its record."""
    known = known_migrations()
    con.execute(f"CREATE TABLE IF NOT EXISTS {LEDGER} {LEDGER_COLUMNS}")
    steps = [known[number] for number in todo]
    for file in [FOLDER / WHOLE] if begins(todo) else steps:
        con.execute(file.read_text(encoding="utf-8"))
    done = [list(todo), [file.stem for file in steps], datetime.now()]
    con.execute(f"INSERT INTO {LEDGER} SELECT unnest(?), unnest(?), ?", done)


def mark_of(con: duckdb.DuckDBPyConnection) -> str:
    """What tells a logbook from another of the same name, and its copies with it: the moment it began, as six signs."""
    ((begun,),) = con.execute(f"SELECT applied_at FROM {LEDGER} WHERE number = 1").fetchall()  # noqa: S608 - our own table
    return sha256(begun.isoformat().encode()).hexdigest()[:6]


def tables_in(con: duckdb.DuckDBPyConnection) -> set[str]:
    """The names of the tables of an open file."""
    query = "SELECT table_name FROM duckdb_tables() WHERE database_name = current_database()"
    return {name for (name,) in con.execute(query).fetchall()}
