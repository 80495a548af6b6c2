"""Going back to a copy, or to a logbook made anew from plain files. The present file is set aside first, never lost."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from filecmp import cmp
from pathlib import Path

import duckdb

from schemas import Record, Run, is_made
from trials.errors import DamagedLogbook, LogbookError, Refused
from trials.logbook.beside import NEWEST, Copy, copies_of, folder_of, is_a_store, logs_of, put_by_logs, real, remove
from trials.logbook.connect import TURN, alone_in, bring_in_log, close_view, held, refuse_no_file, sync_folder, view_of
from trials.logbook.contents import Contents, contents_of, why_not_writable
from trials.logbook.copies import part_for, put_aside, put_aside_unread
from trials.logbook.copying import copy_bytes
from trials.logbook.explain import explained, explained_by_system
from trials.logbook.logbook import Logbook
from trials.logbook.migrate import mark_of, pending

# What pydantic, JSON and a missing column raise when rows make no record.
NO_RECORD = (ValueError, KeyError, TypeError)


@dataclass(frozen=True, slots=True)
class Beyond:
    """What one trial of a logbook has that the file to go back to has not.

    runs: how many runs were made that are not there; 0 where its plan, or a value, differs and no run is missing.
    is_whole: whether all of the trial is missing.
    """

    trial: str
    runs: int
    is_whole: bool


@dataclass(frozen=True, slots=True)
class Restored:
    """What going back did.

    names, runs: the trials that the logbook holds now, and how many runs were made in them.
    aside: the copy that the file before it became; None where there was none.
    """

    names: tuple[str, ...]
    runs: int
    aside: Copy | None


def own_mark(path: Path) -> str:
    """The mark of the copies that are of the logbook at this path; blank where it can't be read."""
    try:
        with Logbook(path).reading() as pages:
            return mark_of(pages.con)
    except LogbookError:
        return ""


def choose(path: Path, which: str) -> Copy:
    """Which copy of a logbook is meant by a number, or by `newest`?

    The newest is the newest that can be read and written on and is not the present file over again; of this very
    logbook where there is one.

    Raises Refused: there is none of that number, or it can't be read.
    """
    copies = copies_of(path)
    if not copies:
        raise Refused(f"there are no copies of {path} in {folder_of(path)}; name a folder of exported trials instead")
    wanted = [copy for copy in copies if str(copy.number) == which.lstrip("0")]
    if which == NEWEST:
        mark = own_mark(path)
        others = [copy for copy in copies if not _is_the_same(copy.path, real(path))] or copies
        wanted = ([copy for copy in others if mark and copy.mark == mark] or others)[::-1]
    if not wanted:
        numbers = ", ".join(str(copy.number) for copy in copies)
        raise Refused(f"no copy {which} of {path}; there are {numbers}, and {NEWEST}")
    for copy in wanted:
        ((_, contents),) = contents_of([copy])
        why = contents if isinstance(contents, str) else _why_not_writable(copy.path)
        if not why:
            return copy
    raise Refused(f"copy {wanted[0].number} of {path} can't be read ({why}); nothing was changed. Choose another")


def _is_the_same(copy: Path, file: Path) -> bool:
    try:
        return cmp(copy, file, shallow=False)
    except OSError:
        return False


def _why_not_writable(path: Path) -> str:
    view = view_of(path)
    try:
        return "" if view is None else why_not_writable(view)
    finally:
        close_view(view)


@contextmanager
def copy_to_go_back(book: Logbook, copy: Copy) -> Iterator[Logbook]:
    """A logbook file like a copy, to put in the place of a logbook; the copy stays as it is.

    Raises LogbookError: there is no room.
    """
    try:
        part = part_for(book.path, "back")
        try:
            copy_bytes(copy.path, part)
            yield Logbook(part, keeps=False)
        finally:
            for file in (part, *logs_of(part)):
                remove(file)
    except OSError as error:
        raise explained_by_system(error, book.path) from error


def beyond(book: Logbook, fresh: Logbook) -> tuple[Beyond, ...] | None:
    """What does a logbook hold that the file to go back to does not? None where it can't be told.

    Raises LogbookError: the logbook is in use, or of a newer version.
    """
    refuse_no_file(book.path)
    if not book.exists or not book.path.stat().st_size:
        return () if not book.exists else None
    _refuse_no_logbook(book.path, real(book.path))
    try:
        present, then = _records(book), _records(fresh)
    except (DamagedLogbook, *NO_RECORD):
        return None
    return tuple(found for name, now in present.items() if (found := _beyond(now, then.get(name))) is not None)


def _refuse_no_logbook(path: Path, file: Path) -> None:
    if not is_a_store(file):
        raise LogbookError(f"{path} is not a logbook; it was left untouched. Move it away, then go back to a copy")


def _records(book: Logbook) -> dict[str, Record]:
    with book.reading() as pages:
        return {record.trial.name: record for record in pages.records()}


def _beyond(now: Record, then: Record | None) -> Beyond | None:
    if now == then:
        return None
    there = _made(then) if then is not None else {}
    return Beyond(now.trial.name, len(_made(now).keys() - there.keys()), is_whole=then is None)


def _made(record: Record) -> dict[tuple[int, str], Run]:
    return {run.key: run for run in record.runs if is_made(run)}


def put_in_place(book: Logbook, fresh: Path) -> Restored:
    """Put a whole logbook file in the place of a logbook, at once or not at all.

    `fresh` is a closed logbook file on the same disk, and is moved.

    Raises LogbookError: the logbook is in use, of a newer version or no logbook, or there is no room; nothing was
    changed then.
    """
    with TURN:
        try:
            refuse_no_file(book.path)
            now, file, contents = book.clock(), real(book.path), _contents(fresh)
            aside = _put_aside_and_replace(book.path, file, fresh, now)
            sync_folder(file)
            return Restored(contents.names, contents.runs, aside)
        except duckdb.Error as error:
            raise explained(error, book.path) from error
        except OSError as error:
            raise explained_by_system(error, book.path) from error


def _contents(fresh: Path) -> Contents:
    ((_, contents),) = contents_of([Copy(0, datetime.min, fresh, "", is_set_aside=False)])
    if isinstance(contents, str):
        raise OSError(contents)
    return contents


def _put_aside_and_replace(path: Path, file: Path, fresh: Path, now: datetime) -> Copy | None:
    with alone_in(file.parent):
        if not file.exists():
            put_by_logs(file)
            fresh.replace(file)
            return None
    if not file.stat().st_size:  # an empty file is the ruin of a logbook, or nothing
        return _replace_unread(path, file, fresh, now)
    _refuse_no_logbook(path, file)
    try:
        with held(path) as present:
            pending(present.con, path)  # refuses what is not ours
            bring_in_log(present)
            aside = put_aside(present, now)
            if present.view is not None:
                fresh.replace(file)
                return aside
        fresh.replace(file)  # where an open file can't be replaced
    except (DamagedLogbook, duckdb.Error) as error:
        if isinstance(error, duckdb.Error) and not isinstance(explained(error, path), DamagedLogbook):
            raise
        return _replace_unread(path, file, fresh, now)
    return aside


def _replace_unread(path: Path, file: Path, fresh: Path, now: datetime) -> Copy:
    aside = put_aside_unread(path, now)
    for log in logs_of(file):  # set aside with its file; another file must not meet it
        log.unlink()
    fresh.replace(file)
    return aside
