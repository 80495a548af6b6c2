"""The one way to open a logbook file, and what is said when it can't be opened."""

import errno
import os
import re
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import duckdb

from trials.errors import DamagedLogbook, LogbookError

if sys.platform != "win32":
    import fcntl

# Files written so open in every DuckDB from 1.5 on; nothing is fetched from a network.
CONFIG: dict[str, str | bool | int | float | list[str]] = {
    "storage_compatibility_version": "v1.5.0",
    "autoinstall_known_extensions": "false",
    "autoload_known_extensions": "false",
}
MAGIC, MAGIC_AT = b"DUCK", 8
LOCK_WAIT_S = 10.0
LOCK_RETRY_S = 0.002
GIVE_WAY_S = 0.01  # how long a program that writes again and again leaves the file to others in between
LOG_ENDS = (".wal", ".wal.checkpoint", ".wal.recovery")
FULL = (errno.ENOSPC, errno.EFBIG, errno.EDQUOT)
CLOSED = (errno.EACCES, errno.EPERM, errno.EROFS)
# Threads of one process take turns: a process that closes a file gives up every lock it has on it (POSIX).
TURN = threading.RLock()
LAST_HELD_S = [float("-inf")]  # when this process last let go of a file


def real(path: Path) -> Path:
    """Where the file itself lies, if the path is a link: its log, tally and copies lie beside it."""
    return path.resolve() if path.is_symlink() else path


def logs_of(file: Path) -> list[Path]:
    """The write-ahead log of a logbook file, where there is one, and what a checkpoint may leave beside it."""
    return [log for end in LOG_ENDS if (log := file.with_name(file.name + end)).exists()]


def remove(path: Path) -> None:
    """Take away a file that is of no use, if it is there and may be taken: one too many does no harm."""
    with suppress(OSError):
        path.unlink(missing_ok=True)


def leave_logs(file: Path) -> None:
    """Put by the log of a logbook file that was taken away: another file must not meet it."""
    for log in logs_of(file):
        log.replace(log.with_name(f"{log.name}.left-over"))


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
        longer than `LOCK_WAIT_S`.
    DamagedLogbook
        The file can't be read to its end.
    """
    _check_file(path, read_only=read_only)
    file, started = real(path), time.monotonic()
    while True:
        waited = time.monotonic() - started
        if waited > LOCK_WAIT_S or _is_free(file, read_only=read_only):
            try:
                return duckdb.connect(str(file), read_only=read_only, config=CONFIG)
            except duckdb.Error as error:
                if "Could not set lock" not in str(error) or waited > LOCK_WAIT_S:
                    raise explained(error, path, waited) from error
        time.sleep(LOCK_RETRY_S)


def _is_free(file: Path, *, read_only: bool) -> bool:
    """Whether nobody seems to hold a file. The look costs little, where opening a store in vain costs much."""
    if sys.platform == "win32":
        return True
    try:
        view = os.open(file, os.O_RDONLY if read_only else os.O_RDWR)
    except OSError:  # not there yet, or opening it as a store says what is wrong
        return True
    try:
        fcntl.lockf(view, (fcntl.LOCK_SH if read_only else fcntl.LOCK_EX) | fcntl.LOCK_NB)
    except OSError as error:
        return error.errno not in (errno.EACCES, errno.EAGAIN)
    finally:
        os.close(view)
    return True


@dataclass(frozen=True, slots=True)
class Held:
    """A logbook file open for writing, with everybody else kept out until it is closed.

    Attributes
    ----------
    con
        The connection.
    path
        The file itself.
    view
        A second opening of the file, to read its bytes by; None where there is none to be had.
    """

    con: duckdb.DuckDBPyConnection
    path: Path
    view: int | None


@contextmanager
def held(path: Path) -> Iterator[Held]:
    """Open a logbook file for writing, and keep everybody else out.

    The file that is held is the one at the path: one that was put in its place meanwhile is taken instead.

    Raises
    ------
    LogbookError, DamagedLogbook
        As `connect` does.
    """
    with TURN:
        time.sleep(max(0.0, LAST_HELD_S[0] + GIVE_WAY_S - time.monotonic()))
        file = _take(path)
        try:
            yield file
        finally:
            file.con.close()
            close_view(file.view)
            LAST_HELD_S[0] = time.monotonic()


def _take(path: Path) -> Held:
    while True:
        file = real(path)
        _begin(file, path)
        view = view_of(file)
        try:
            con = connect(path, read_only=False)
        except BaseException:
            close_view(view)
            raise
        if view is None or os.path.samestat(os.fstat(view), file.stat()):
            return Held(con, file, view)
        con.close()
        close_view(view)


def _begin(file: Path, path: Path) -> None:
    """Make a blank logbook where there is none: whole, or not at all."""
    _check_file(path, read_only=False)
    if file.exists():
        return
    part = file.with_name(f"{file.name}-{os.getpid()}.part")
    try:
        duckdb.connect(str(part), config=CONFIG).close()
        leave_logs(file)
        try:
            os.link(part, file)
        except FileExistsError:  # somebody else was faster
            return
        except OSError:  # a disk that knows no second name for a file
            part.rename(file)
    except duckdb.Error as error:
        raise explained(error, path) from error
    except OSError as error:
        raise explained_by_system(error, path) from error
    finally:
        remove(part)


def view_of(file: Path) -> int | None:
    """Open the file once more, before it is locked, since closing it later would give up the lock (POSIX)."""
    if os.name != "posix" or not file.is_file():
        return None
    try:
        return os.open(file, os.O_RDONLY | os.O_CLOEXEC)
    except OSError:  # `connect` says what is wrong
        return None


def close_view(view: int | None) -> None:
    """Close a second opening of a file; with it go all locks of this process on that file."""
    if view is not None:
        os.close(view)


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
        good = is_a_store(path)
    except OSError as error:
        raise LogbookError(f"{path} can't be read: {error.strerror}; check who may read it") from error
    if not good:
        raise LogbookError(f"{path} is not a logbook; it was left untouched. Name another file with --logbook")


def is_a_store(path: Path) -> bool:
    """Whether a file begins as those of DuckDB do."""
    with path.open("rb") as file:
        return file.read(MAGIC_AT + len(MAGIC))[MAGIC_AT:] == MAGIC


def escaped(path: Path) -> str:
    """Write a path as it stands between the quotes of an SQL text.

    >>> escaped(Path("it's a logbook.duckdb"))
    "it''s a logbook.duckdb"
    """
    return str(path).replace("'", "''")


def explained(error: duckdb.Error, path: Path, waited_s: float = 0.0) -> LogbookError:
    """Turn what DuckDB says into one line with a next step."""
    text = str(error)
    if "Could not set lock" in text:
        holder = re.search(r"PID (\d+)", text)
        who = f"process {holder.group(1)}" if holder else "another program"
        return LogbookError(f"{path} is in use by {who}; waited {waited_s:.1f} s. Close that one and try again")
    if "version number" in text or "Unsupported Storage Version" in text:
        return LogbookError(f"{path} was written by a newer version; it was left untouched. Update samedirt")
    if is_full(error):
        return disk_full(path)
    if "read-only" in text.lower() or any(os.strerror(number) in text for number in CLOSED):
        return closed(path)
    if isinstance(error, duckdb.IOException) or "Corrupt" in text or "checksum" in text or "WAL" in text:
        return DamagedLogbook(
            f"{path} is damaged ({first_line(error)}); keep it, and go back to a copy or an export: "
            "samedirt logbook --restore"
        )
    return LogbookError(f"{path}: {first_line(error)}")


def explained_by_system(error: OSError, path: Path) -> LogbookError:
    """Turn what the system says of writing beside a logbook into one line with a next step."""
    if error.errno in FULL:
        return disk_full(path)
    if error.errno in CLOSED:
        return closed(path)
    return LogbookError(f"{path}: {error.strerror or error}; nothing was changed. Check the folder, and try again")


def is_full(error: duckdb.Error) -> bool:
    """Whether there is no room."""
    return any(os.strerror(number) in str(error) for number in FULL)


def disk_full(path: Path) -> LogbookError:
    """What is said where there is no room."""
    return LogbookError(f"the disk of {path} is full; nothing of this change was stored. Make room and try again")


def closed(path: Path) -> LogbookError:
    """What is said where one may not write."""
    return LogbookError(f"{path} can't be written to; check the folder, or name another file with --logbook")


def first_line(error: duckdb.Error) -> str:
    """What DuckDB says, short enough to stand in a line of ours."""
    text = str(error).strip()
    return text.splitlines()[0][:160] if text else "no reason given"


def settle(con: duckdb.DuckDBPyConnection) -> None:
    """Bring the write-ahead log into the file, down to the disk, so that nothing stored hangs on the log."""
    con.execute("CHECKPOINT")


@contextmanager
def transaction(con: duckdb.DuckDBPyConnection) -> Iterator[duckdb.DuckDBPyConnection]:
    """Keep all that is written inside, or none of it.

    A COMMIT after a failed statement raises nothing and saves nothing, so any error rolls back and is raised again.
    """
    con.execute("BEGIN")
    try:
        yield con
    except BaseException:
        with suppress(duckdb.Error):  # a store that broke down has rolled back, and answers nothing more
            con.execute("ROLLBACK")
        raise
    con.execute("COMMIT")
