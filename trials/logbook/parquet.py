"""The rows of one trial as Parquet files, one a table; and records read back from them."""

from pathlib import Path
from tempfile import TemporaryDirectory

import duckdb

from schemas import Record
from trials.errors import Problem, Refused
from trials.logbook.attached import IN_MEMORY, attached
from trials.logbook.explain import first_line
from trials.logbook.migrate import known_migrations, take_steps
from trials.logbook.pages import Pages
from trials.logbook.shape import TABLES, Row, records_of, rows_of
from trials.logbook.sql import sql_path


def parquet_files(record: Record) -> dict[str, bytes]:
    """The rows of a trial as Parquet, by name of file: one for each table that has any.

    Values are those stored, in the units of their names. They are read out of tables that hold this trial alone.
    """
    with TemporaryDirectory() as place:
        with attached(IN_MEMORY) as con:
            take_steps(con, list(known_migrations()))
            Pages(con).store([record], was=[])
            for table in TABLES:
                rows = con.table(table)
                if table == "trials" or rows.limit(1).fetchall():
                    rows.write_parquet(str(Path(place) / f"{table}.parquet"))
        return {path.name: path.read_bytes() for path in sorted(Path(place).glob("*.parquet"))}


def read_parquet(folder: Path) -> list[Record]:
    """Read the trials that a folder of our Parquet files holds.

    Raises Refused: a file can't be read, or is not one of ours.
    """
    tables: dict[str, list[Row]] = {}
    with duckdb.connect(":memory:") as con:
        for table in TABLES:
            path = folder / f"{table}.parquet"
            try:
                tables[table] = rows_of(con.execute(f"FROM read_parquet('{sql_path(path)}')")) if path.exists() else []
            except duckdb.Error as error:
                what = f"can't be read ({first_line(error)})"
                raise Refused([Problem(str(path), what, "export the trial again")]) from error
    try:
        return records_of(tables)
    except (KeyError, TypeError, ValueError) as error:  # columns of another table, or of another version
        what = "are no Parquet files of a trial that this version can read"
        raise Refused([Problem(str(folder), what, "export the trial again, or as --as folder")]) from error
