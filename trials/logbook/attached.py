"""One DuckDB for this process, to which files are attached while they are open: to start it takes ten times as long."""

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from itertools import count
from pathlib import Path

import duckdb

from trials.logbook.sql import sql_path

# Each part of a table begins a block: with the usual 256 KiB a logbook of two trials takes 4 MB, and with these 0.4.
BLOCK_BYTES = 16_384
IN_MEMORY = Path(":memory:")  # in place of a file: tables that go when they are closed
# Files written so open in every DuckDB from 1.5 on; nothing is fetched from a network; a commit is a checkpoint,
# however small it is, and no row goes to the write-ahead log. No query is long enough to be worth a second thread.
CONFIG: dict[str, str | bool | int | float | list[str]] = {
    "default_block_size": BLOCK_BYTES,
    "storage_compatibility_version": "v1.5.0",
    "autoinstall_known_extensions": "false",
    "autoload_known_extensions": "false",
    "checkpoint_threshold": "0b",
    "auto_checkpoint_skip_wal_threshold": 0,
    "threads": 1,
}
_STORES: dict[int, duckdb.DuckDBPyConnection] = {}  # by process: one that was forked starts its own
_NUMBERS = count(1)
_NAMES: dict[int, str] = {}  # by connection: as what its file is attached


def open_file(file: Path, *, read_only: bool) -> duckdb.DuckDBPyConnection:
    """Open a file of the store; `close_file` closes it.

    Raises duckdb.Error: it can't be opened.
    """
    con, name = cursor(), f"book{next(_NUMBERS)}"
    try:
        con.execute(f"ATTACH '{sql_path(file)}' AS {name} ({'READ_ONLY' if read_only else 'READ_WRITE'})")
        con.execute(f"USE {name}")
    except BaseException:
        with suppress(duckdb.Error):
            con.execute(f"DETACH DATABASE IF EXISTS {name}")
        con.close()
        raise
    _NAMES[id(con)] = name
    return con


def close_file(con: duckdb.DuckDBPyConnection) -> None:
    """Close a file that was attached: what was not committed goes, and other programs may have the file."""
    try:
        con.execute("USE memory")
        con.execute(f"DETACH {_NAMES.pop(id(con))}")
    except duckdb.Error:  # broken down with all that is attached to it: whoever comes next starts another
        _STORES.pop(os.getpid(), None)
    finally:
        con.close()


@contextmanager
def attached(file: Path, *, read_only: bool = False) -> Iterator[duckdb.DuckDBPyConnection]:
    """A file that is open as long as the work inside lasts."""
    con = open_file(file, read_only=read_only)
    try:
        yield con
    finally:
        close_file(con)


def cursor() -> duckdb.DuckDBPyConnection:
    """A connection of its own to the store of this process, with nothing attached by it."""
    process = os.getpid()
    with suppress(KeyError, duckdb.Error):
        con = _STORES[process].cursor()
        con.execute("SELECT 1")
        return con
    _STORES[process] = duckdb.connect(":memory:", config=CONFIG)
    return _STORES[process].cursor()
