"""The one way to open a logbook file, and to write to it so that what is confirmed lies in the file itself.

A commit is a checkpoint (`attached.CONFIG`): DuckDB writes the changed blocks into the main file, brings them down to
the disk, and switches to them with one header. The write-ahead log beside the file holds no rows then, and is gone
before the commit returns, so that nothing confirmed hangs on it. A kill or a power cut leaves the state before, or the
one after.
"""

import errno
import os
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import duckdb

from trials.errors import LogbookError
from trials.logbook.attached import close_file, open_file
from trials.logbook.beside import is_a_store, logs_of, put_by_logs, real, remove, way_back
from trials.logbook.explain import explained, explained_by_system
from trials.logbook.notices import notice
from trials.wording.steps import step

if sys.platform != "win32":
    import fcntl

MARK_BYTES = 128  # the head of a log and the mark of a checkpoint, with no row
LOCK_WAIT_S = 10.0
LOCK_RETRY_S = 0.002
GIVE_WAY_S = 0.01  # how long a program that writes again and again leaves the file to others in between
# Threads of one process take turns: a process that closes a file gives up every lock it has on it (POSIX).
TURN = threading.RLock()
LAST_HELD_S = [float("-inf")]  # when this process last let go of a file


def connect(path: Path, *, read_only: bool) -> duckdb.DuckDBPyConnection:
    """Open a logbook file; `attached.close_file` closes it.

    Where it does not exist it is made, unless `read_only`; then others may read at the same time.

    Raises LogbookError: no such file or folder, not a logbook, newer than this DuckDB reads, or held by another process
    for longer than `LOCK_WAIT_S`.
    Raises DamagedLogbook: the file can't be read to its end.
    """
    _check_file(path, read_only=read_only)
    file, started, was_put_by = real(path), time.monotonic(), False
    while True:
        waited = time.monotonic() - started
        if waited > LOCK_WAIT_S or is_free(file, read_only=read_only):
            try:
                return open_file(file, read_only=read_only)
            except duckdb.Error as error:
                if "WAL" in str(error) and not was_put_by and _put_by_bad_log(file):
                    was_put_by = True
                elif "Could not set lock" not in str(error) or waited > LOCK_WAIT_S:
                    raise explained(error, path, waited) from error
        time.sleep(LOCK_RETRY_S)


def _put_by_bad_log(file: Path) -> bool:
    """Put by a log that can't be read, while nobody else has the file; whether it is gone."""
    try:
        view = os.open(file, os.O_RDWR)
        try:
            if sys.platform != "win32":
                fcntl.lockf(view, fcntl.LOCK_EX | fcntl.LOCK_NB)
            _put_by(file)
        finally:
            os.close(view)
    except OSError:
        return False
    return True


def _put_by(file: Path) -> None:
    """Put by what is left of a log; what a killed checkpoint leaves is too small for a row, and goes without a word."""
    for log in logs_of(file):
        if log.stat().st_size <= MARK_BYTES:
            log.unlink()
    for log in put_by_logs(file):
        notice(f"{log.stem} can't be read, and what was stored is in the logbook itself; it was put by as {log}")


def is_free(file: Path, *, read_only: bool) -> bool:
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
class HeldFile:
    """A logbook file open for writing, with everybody else kept out until it is closed.

    view: a second opening of the file, to read its bytes by; None where there is none to be had.
    """

    con: duckdb.DuckDBPyConnection
    path: Path
    view: int | None


@contextmanager
def held(path: Path) -> Iterator[HeldFile]:
    """Open a logbook file for writing, and keep everybody else out.

    The file that is held is the one at the path: one that was put in its place meanwhile is taken instead.

    Raises LogbookError, DamagedLogbook: as `connect` does.
    """
    with TURN:
        time.sleep(max(0.0, LAST_HELD_S[0] + GIVE_WAY_S - time.monotonic()))
        file = _take(path)
        try:
            yield file
        finally:
            close_file(file.con)
            close_view(file.view)
            LAST_HELD_S[0] = time.monotonic()


def _take(path: Path) -> HeldFile:
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
            return HeldFile(con, file, view)
        close_file(con)
        close_view(view)


def _begin(file: Path, path: Path) -> None:
    """Make a blank logbook where there is none, by one program alone."""
    _check_file(path, read_only=False)
    if not file.exists():
        with alone_in(file.parent):
            _begin_alone(file, path)


def _begin_alone(file: Path, path: Path) -> None:
    """Make it whole, or not at all."""
    if file.exists():  # somebody else was faster
        return
    part = file.with_name(f"{file.name}-{os.getpid()}.part")
    try:
        close_file(open_file(part, read_only=False))
        put_by_logs(file)
        if copies := way_back(path):
            notice(f"{path} was not there and is begun anew. {copies}")
        try:
            os.link(part, file)
        except FileExistsError:  # somebody else was faster, where a folder can't be held
            return
        except OSError:  # a disk that knows no second name for a file
            part.rename(file)
        sync_folder(file)
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


def refuse_no_file(path: Path) -> None:
    """Refuse what can't be a file, before anything is opened: a pipe or a device would never come to its end.

    Raises LogbookError: a folder, no plain file, or a loop of links.
    """
    if path.is_dir():
        raise LogbookError(f"{path} is a folder, not a logbook; name the file, as {path / 'logbook.duckdb'}")
    if path.exists() and not path.is_file():
        raise LogbookError(f"{path} is no plain file, so it can't be a logbook; name another with --logbook")
    if path.is_symlink() and Path(os.path.realpath(path)).is_symlink():
        raise LogbookError(f"{path} is a link that leads round in a circle; name another file with --logbook")


def _check_file(path: Path, *, read_only: bool) -> None:
    refuse_no_file(path)
    if not path.exists():
        if read_only:
            copies = way_back(path) or step(
                "begin with samedirt plan, load a folder with samedirt load FOLDER, or see samedirt demo",
                "begin with New plan or with Load, above",
            )
            raise LogbookError(f"no logbook at {path}; {copies}")
        if not path.parent.is_dir():
            raise LogbookError(f"{path.parent} does not exist; make the folder, or name another with --logbook")
        return
    try:
        good = is_a_store(path)
    except OSError as error:
        raise LogbookError(f"{path} can't be read: {error.strerror}; check who may read it") from error
    if not good:
        copies = f". {copies}" if (copies := way_back(path)) else ". Name another file with --logbook"
        raise LogbookError(f"{path} is not a logbook; it was left untouched{copies}")


def bring_in_log(file: HeldFile) -> None:
    """Bring what an earlier version left in a log into the file itself; a log that holds nothing readable is put by."""
    if logs_of(file.path):
        file.con.execute("CHECKPOINT")
        _put_by(file.path)


def settle(file: HeldFile, path: Path) -> None:
    """See to it that all that was committed lies in the file itself, and no log beside it holds anything.

    Raises LogbookError: it does not; what was committed can't be called stored.
    """
    file.con.execute("CHECKPOINT")
    if any(log.stat().st_size for log in logs_of(file.path)):
        raise LogbookError(
            f"{path}: the change could not be brought into the file, so it may not be stored. "
            "Look whether it is there, and store it again if not"
        )


@contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """Keep others from putting a logbook where there is none: a log beside one that is there is not to be put by.

    A folder that can't be held, as on Windows, is not.
    """
    view = None
    with suppress(OSError):
        view = os.open(folder, os.O_RDONLY)
        if sys.platform != "win32":
            fcntl.flock(view, fcntl.LOCK_EX)
    try:
        yield
    finally:
        close_view(view)


def sync_folder(file: Path) -> None:
    """Bring the name of a new file down to the disk, as its content was; where a folder can't be opened, not."""
    with suppress(OSError):
        folder = os.open(file.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


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
