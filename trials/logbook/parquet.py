"""The rows of one trial as Parquet files, one a table."""

from pathlib import Path
from tempfile import TemporaryDirectory

from schemas import Record
from trials.logbook.logbook import Logbook
from trials.logbook.shape import TABLES


def parquet_files(record: Record) -> dict[str, bytes]:
    """The rows of a trial as Parquet, by name of file: one for each table that has any.

    Values are those stored, in the units of their names. They are read out of a logbook that holds this trial alone.
    """
    with TemporaryDirectory() as place:
        book = Logbook(Path(place) / "one.duckdb", keeps=False)
        with book.writing() as pages:
            pages.store([record])
        with book.reading() as pages:
            for table in TABLES:
                rows = pages.con.table(table)
                if table == "trials" or rows.limit(1).fetchall():
                    rows.write_parquet(str(Path(place) / f"{table}.parquet"))
        return {path.name: path.read_bytes() for path in sorted(Path(place).glob("*.parquet"))}
