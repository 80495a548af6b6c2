"""The one way to open a logbook file, and what is said when it can't be opened."""

import re
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import duckdb

from trials.errors import DamagedLogbook, LogbookError

# Files written so open in every DuckDB from 1.5 on; nothing is fetched from a network.
CONFIG: dict[str, str | bool | int | float | list[str]] = {
    "storage_compatibility_version": "v1.5.0",
    "autoinstall_known_extensions": "false",
    "autoload_known_extensions": "false",
}
MAGIC, MAGIC_AT = b"DUCK", 8
LOCK_WAIT_S = 2.0
LOCK_RETRY_S = 0.02


def connect(path: Path, *, read_only: bool) -> duckdb.DuckDBPyConnection:
    """Open a logbook file.

    Parameters
    ----------
    path
        The file. Where it does not exist it is made, unless `read_only`.
    read_only
        Open for reading; others may read at the same time.

    Raises
    ------
    LogbookError
        No such file or folder, not a logbook, newer than this DuckDB reads, or held by another process for
        longer than 2 s.
    DamagedLogbook
        The file can't be read to its end.
    """
    _check_file(path, read_only=read_only)
    started = time.monotonic()
    while True:
        try:
            return duckdb.connect(str(path), read_only=read_only, config=CONFIG)
        except duckdb.Error as error:
            waited = time.monotonic() - started
            if "Could not set lock" not in str(error) or waited > LOCK_WAIT_S:
                raise explained(error, path, waited) from error
            time.sleep(LOCK_RETRY_S)


def _check_file(path: Path, *, read_only: bool) -> None:
    if path.is_dir():
        raise LogbookError(f"{path} is a folder, not a logbook; name the file, as {path / 'logbook.duckdb'}")
    if not path.exists():
        if read_only:
            raise LogbookError(f"no logbook at {path}; make one with samedirt load FOLDER, or see samedirt demo")
        if not path.parent.is_dir():
            raise LogbookError(f"{path.parent} does not exist; make the folder, or name another with --logbook")
        return
    try:
        with path.open("rb") as file:
            head = file.read(MAGIC_AT + len(MAGIC))
    except OSError as error:
        raise LogbookError(f"{path} can't be read: {error.strerror}; check who may read it") from error
    if head[MAGIC_AT:] != MAGIC:
        raise LogbookError(f"{path} is not a logbook; it was left untouched. Name another file with --logbook")


def explained(error: duckdb.Error, path: Path, waited_s: float = 0.0) -> LogbookError:
    """Turn what DuckDB says into one line with a next step."""
    text = str(error)
    if "Could not set lock" in text:
        holder = re.search(r"PID (\d+)", text)
        who = f"process {holder.group(1)}" if holder else "another program"
        return LogbookError(f"{path} is in use by {who}; waited {waited_s:.1f} s. Close that one and try again")
    if "version number" in text:
        return LogbookError(f"{path} was written by a newer version; it was left untouched. Update samedirt")
    if "No space left" in text:
        return LogbookError(f"the disk of {path} is full; nothing of this change was stored. Make room and try again")
    if "read-only" in text.lower() or "Permission denied" in text:
        return LogbookError(f"{path} can't be written to; check the folder, or name another file with --logbook")
    if isinstance(error, duckdb.IOException) or "Corrupt" in text or "checksum" in text or "WAL" in text:
        return DamagedLogbook(f"{path} is damaged ({_first_line(text)}); keep it, and go back to a copy or an export")
    return LogbookError(f"{path}: {_first_line(text)}")


def _first_line(text: str) -> str:
    return text.strip().splitlines()[0][:160] if text.strip() else "no reason given"


@contextmanager
def transaction(con: duckdb.DuckDBPyConnection) -> Iterator[duckdb.DuckDBPyConnection]:
    """Keep all that is written inside, or none of it.

    A COMMIT after a failed statement raises nothing and saves nothing, so any error rolls back and is raised again.
    """
    con.execute("BEGIN")
    try:
        yield con
    except BaseException:
        con.execute("ROLLBACK")
        raise
    con.execute("COMMIT")
