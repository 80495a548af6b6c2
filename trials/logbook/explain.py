"""What DuckDB and the system say of a logbook, as one line with a next step."""

import errno
import os
import re
from pathlib import Path

import duckdb

from trials.errors import DamagedLogbook, LogbookError, Problem
from trials.logbook.beside import way_back

FULL = (errno.ENOSPC, errno.EFBIG, errno.EDQUOT)
CLOSED = (errno.EACCES, errno.EPERM, errno.EROFS)
BACK = "keep the file, and go back to a copy: samedirt logbook --restore"


def explained(error: duckdb.Error, path: Path, waited_s: float = 0.0) -> LogbookError:
    """Turn what DuckDB says into one line with a next step."""
    text = str(error)
    if "Could not set lock" in text:
        holder = re.search(r"PID (\d+)", text)
        who = f"process {holder.group(1)}" if holder else "another program"
        return LogbookError(f"{path} is in use by {who}; waited {waited_s:.1f} s. Close that one and try again")
    if "version number" in text or "Unsupported Storage Version" in text:
        return LogbookError(f"{path} was written by a newer version; it was left untouched. Update samedirt")
    if any(os.strerror(number) in text for number in FULL):
        return disk_full(path)
    if "read-only" in text.lower() or any(os.strerror(number) in text for number in CLOSED):
        return closed(path)
    if isinstance(error, duckdb.IOException) or "Corrupt" in text or "checksum" in text or "WAL" in text:
        return damaged(error, path)
    return LogbookError(f"{path}: {first_line(error)}")


def damaged(error: duckdb.Error, path: Path) -> DamagedLogbook:
    """What is said of a file that can't be read to its end, with the copies there are."""
    copies = way_back(path)
    back = f". {copies}" if copies else ": samedirt logbook --restore"
    step = f"keep it, and go back to a copy or an export{back}"
    return DamagedLogbook(Problem(str(path), f"is damaged ({first_line(error)})", step))


def explained_by_system(error: OSError, path: Path) -> LogbookError:
    """Turn what the system says of writing beside a logbook into one line with a next step."""
    if error.errno in FULL:
        return disk_full(path)
    if error.errno in CLOSED:
        return closed(path)
    return LogbookError(f"{path}: {error.strerror or error}; nothing was changed. Check the folder, and try again")


def disk_full(path: Path) -> LogbookError:
    """What is said where there is no room."""
    return LogbookError(f"the disk of {path} is full; nothing of this change was stored. Make room and try again")


def closed(path: Path) -> LogbookError:
    """What is said where one may not write."""
    return LogbookError(f"{path} can't be written to; check the folder, or name another file with --logbook")


def first_line(error: Exception) -> str:
    """What was said, short enough to stand in a line of ours."""
    text = str(error).strip()
    return text.splitlines()[0][:160] if text else "no reason given"
