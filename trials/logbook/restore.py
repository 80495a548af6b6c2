"""Going back to a copy, or to a logbook made anew from plain files. The present file is set aside first, never lost."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import duckdb

from trials.errors import DamagedLogbook, LogbookError, Refused
from trials.logbook.connect import (
    CONFIG,
    TURN,
    explained,
    explained_by_system,
    first_line,
    held,
    is_a_store,
    leave_logs,
    logs_of,
    real,
    remove,
    settle,
)
from trials.logbook.contents import Contents, look_into, looking
from trials.logbook.copies import (
    Copy,
    copies_of,
    folder_of,
    part_for,
    set_aside,
    set_aside_unread,
)
from trials.logbook.copying import copy_bytes
from trials.logbook.logbook import Logbook
from trials.logbook.migrate import pending
from trials.logbook.tally import Entry, append, position

NEWEST = "newest"


@dataclass(frozen=True, slots=True)
class Restored:
    """What going back did.

    Attributes
    ----------
    contents
        What the logbook holds now.
    aside
        The copy that the file before it became; None where there was none.
    """

    contents: Contents
    aside: Copy | None


def looked_into(copies: list[Copy]) -> list[tuple[Copy, Contents | str]]:
    """What each copy holds, or why it can't be read."""
    with looking() as look:
        return [(copy, _seen(look, copy.path)) for copy in copies]


def _seen(look: Callable[[Path], Contents], path: Path) -> Contents | str:
    try:
        return look(path)
    except duckdb.Error as error:
        return first_line(error)
    except OSError as error:
        return error.strerror or str(error)


def choose(path: Path, which: str) -> Copy:
    """Which copy of a logbook is meant by a number, or by `newest`, the newest that can be read?

    Raises
    ------
    Refused
        There is none of that number, or it can't be read.
    """
    copies = copies_of(path)
    if not copies:
        raise Refused(f"there are no copies of {path} in {folder_of(path)}; name a folder of exported trials instead")
    wanted = copies[::-1] if which == NEWEST else [copy for copy in copies if str(copy.number) == which.lstrip("0")]
    if not wanted:
        numbers = ", ".join(str(copy.number) for copy in copies)
        raise Refused(f"no copy {which} of {path}; there are {numbers}, and {NEWEST}")
    for copy in wanted:
        ((_, contents),) = looked_into([copy])
        if not isinstance(contents, str):
            return copy
    raise Refused(f"copy {wanted[0].number} of {path} can't be read ({contents}); nothing was changed. Choose another")


def bring_back(book: Logbook, copy: Copy) -> Restored:
    """Put a copy in the place of a logbook; the copy stays as well.

    Raises
    ------
    LogbookError
        The logbook is in use or of a newer version, or there is no room; nothing was changed then.
    """
    with TURN:
        try:
            part = part_for(book.path, "back")
            try:
                copy_bytes(copy.path, part)
                return put_in_place(book, part)
            finally:
                remove(part)
        except OSError as error:
            raise explained_by_system(error, book.path) from error


def put_in_place(book: Logbook, fresh: Path) -> Restored:
    """Put a whole logbook file in the place of a logbook, at once or not at all.

    Parameters
    ----------
    book
        The logbook.
    fresh
        A closed logbook file on the same disk. It is moved.

    Raises
    ------
    LogbookError
        As `bring_back`.
    OSError
        No room, or no right to write; nothing was changed.
    """
    now = book.clock()
    file, contents = real(book.path), look_into(fresh)
    back = _entry(fresh, now)
    if not file.exists():
        leave_logs(file)
        append(file, [back])
        fresh.replace(file)
        return Restored(contents, None)
    try:
        with held(book.path) as present:
            pending(present.con, book.path)  # refuses what is not ours
            if logs_of(file):
                settle(present.con)
            aside = set_aside(present, now)
            append(file, [back])
            if present.view is not None:
                fresh.replace(file)
                return Restored(contents, aside)
        fresh.replace(file)  # where an open file can't be replaced
    except (LogbookError, duckdb.Error) as error:
        if not _is_damage(error, book.path):
            raise error if isinstance(error, LogbookError) else explained(error, book.path) from error
        aside = set_aside_unread(book.path, now)
        append(file, [back])
        for log in logs_of(file):  # set aside with its file; another file must not meet it
            log.unlink()
        fresh.replace(file)
    return Restored(contents, aside)


def _is_damage(error: LogbookError | duckdb.Error, path: Path) -> bool:
    """Whether the present file can't be opened because it is broken, rather than in use or not ours."""
    told = error if isinstance(error, LogbookError) else explained(error, path)
    return isinstance(told, DamagedLogbook) or not is_a_store(path)


def _entry(fresh: Path, now: datetime) -> Entry:
    con = duckdb.connect(str(fresh), read_only=True, config=CONFIG)
    try:
        begun, last = position(con)
    finally:
        con.close()
    return Entry("restored", last, now, "-", 0, "-", begun)
