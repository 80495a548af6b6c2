"""Copying the file of a logbook, with who may read it, down to the disk."""

import os
import shutil
import stat
from collections.abc import Iterable
from pathlib import Path

import duckdb

from trials.logbook.attached import attached
from trials.logbook.connect import HeldFile

UNIT_BYTES = 1 << 14
BLANK = bytes(UNIT_BYTES)


def copy_held(file: HeldFile, target: Path) -> None:
    """Copy a logbook that is held, byte by byte where its bytes can be read without giving up the lock."""
    there = file.path.stat()
    if file.view is None:
        _copy_by_store(file.con, target)
    else:
        copy_view(file.view, target, there.st_size)
    target.chmod(stat.S_IMODE(there.st_mode))
    os.utime(target, ns=(there.st_atime_ns, there.st_mtime_ns))


def copy_view(view: int, target: Path, size: int) -> None:
    """Copy as many bytes of a file that is open, without closing it."""
    _write_out((os.pread(view, UNIT_BYTES, at) for at in range(0, size, UNIT_BYTES)), target)


def _copy_by_store(con: duckdb.DuckDBPyConnection, target: Path) -> None:
    """Copy what a logbook holds into another file, row by row."""
    target.unlink(missing_ok=True)
    try:
        with attached(target) as copy:
            names = [made.execute("SELECT current_database()").fetchall()[0][0] for made in (con, copy)]
            con.execute(f"COPY FROM DATABASE {names[0]} TO {names[1]}")
    except duckdb.Error as error:
        raise OSError(str(error).splitlines()[0]) from error


def copy_bytes(source: Path, target: Path) -> None:
    """Copy a file that nobody holds."""
    with source.open("rb") as file:
        _write_out(iter(lambda: file.read(UNIT_BYTES), b""), target)
    shutil.copystat(source, target)


def _write_out(units: Iterable[bytes], target: Path) -> None:
    """Write a file down to the disk, leaving holes for what is blank: most of a small logbook is."""
    with target.open("wb") as out:
        for unit in units:
            if unit == BLANK:
                out.seek(UNIT_BYTES, os.SEEK_CUR)
            else:
                out.write(unit)
        out.truncate()
        out.flush()
        os.fsync(out.fileno())
