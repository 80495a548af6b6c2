"""Could the next change be written? Tried on a copy that is thrown away."""

import os
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import duckdb

from trials.logbook.connect import CONFIG, first_line, transaction
from trials.logbook.copying import copy_view
from trials.logbook.fault import BACK, Fault
from trials.logbook.rows import quoted_name

KEYED = "SELECT table_name FROM duckdb_constraints() WHERE constraint_type = 'PRIMARY KEY' ORDER BY 1"


def faults_of_writing(path: Path, view: int | None) -> Iterator[Fault]:
    """What would keep a change from being written?

    A key is read by writing alone, so that damage to it shows in no reading. In a copy every row is taken out of its
    table, which looks up every key.

    Parameters
    ----------
    path
        The logbook, to name it by.
    view
        A second opening of its file; None where there is none, and nothing is tried then. Nor is it where there is no
        room for a copy.
    """
    if view is None:
        return
    with TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        tried = Path(folder) / "tried.duckdb"
        try:
            copy_view(view, tried, os.fstat(view).st_size)
        except OSError:
            return
        try:
            _take_all_out(tried)
        except duckdb.Error as error:
            yield Fault(str(path), f"can't be written to any more ({first_line(error)})", BACK)


def _take_all_out(tried: Path) -> None:
    con = duckdb.connect(str(tried), config=CONFIG)
    try:
        con.execute("PRAGMA disable_checkpoint_on_shutdown")
        with transaction(con):
            for (table,) in con.execute(KEYED).fetchall():
                con.execute(f"DELETE FROM {quoted_name(table)}")  # noqa: S608 - a table that is there, in the copy
    finally:
        con.close()
