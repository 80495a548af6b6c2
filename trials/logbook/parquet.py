"""The rows of one trial as Parquet files, one a table."""

from pathlib import Path

import duckdb

from trials.errors import Problem, Refused
from trials.logbook.logbook import Logbook
from trials.logbook.shape import KEYS, TABLES


def write_parquet(book: Logbook, name: str, folder: Path) -> tuple[Path, ...]:
    """Write the rows of a trial as Parquet, one file for each table that has any.

    The folder is made if it does not exist. Values are those stored, in the units of their names.
    """
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    with book.reading() as pages:
        for table in TABLES:
            rows = pages.con.table(table).filter(f"\"{KEYS[table][0]}\" = '{name}'")
            if table != "trials" and not rows.limit(1).fetchall():
                continue
            path = folder / f"{table}.parquet"
            try:
                rows.write_parquet(str(path))
            except duckdb.Error as error:
                raise Refused([Problem(str(path), "can't be written; name another folder with --to")]) from error
            written.append(path)
    return tuple(written)
