"""Copies of a logbook: one of its first state and one before each change, in a folder beside it, thinned with time."""

import os
import time
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from trials.logbook.beside import ASIDE, Copy, copies_of, folder_of, logs_of, named_copy, real, remove
from trials.logbook.connect import HeldFile
from trials.logbook.contents import read_to_end
from trials.logbook.copying import copy_bytes, copy_held
from trials.logbook.last_read import HEAD_BYTES
from trials.logbook.migrate import mark_of

# How many copies stay. Our defaults: the newest ones, and beyond them the newest of each earlier day.
NEWEST_KEPT = 5
EARLIER_DAYS_KEPT = 5
STALE_S = 3600.0
DAY = "%Y-%m-%d"
PART = ".part"


def keep(file: HeldFile, now: datetime) -> Copy:
    """Keep a copy of a logbook that is held, unless one of this very state is there.

    OSError: no room, or no right to write. duckdb.Error: the copy can't be read to its end, so neither can the logbook.
    """
    there = copies_of(file.path)
    for copy in reversed(there):
        if _is_of_this_state(copy, file):
            return copy
    part = part_for(file.path, "copy")
    try:
        copy_held(file, part)
        read_to_end(part)
        copy = named_copy(file.path, _next(there), now, mark_of(file.con), aside=False)
        part.rename(copy.path)
        return copy
    finally:
        remove(part)


def thin(file: HeldFile) -> None:
    """Take away the copies of a logbook that may go. Only once a change is stored: one that fails costs no copy."""
    there = copies_of(file.path)
    mark = mark_of(file.con) if thinned(there) else ""  # few copies stay, whatever they are of
    for old in thinned([one for one in there if one.mark == mark]):
        remove(old.path)


def put_aside(file: HeldFile, now: datetime) -> Copy:
    """Keep a copy of a logbook that is held before another takes its place; it is never thinned.

    Raises OSError, duckdb.Error: as `keep`.
    """
    copy = keep(file, now)
    if copy.is_set_aside:
        return copy
    path = copy.path.with_name(f"{copy.path.stem}{ASIDE}{copy.path.suffix}")
    return replace(copy, path=copy.path.rename(path), is_set_aside=True)


def put_aside_unread(path: Path, now: datetime) -> Copy:
    """Keep the bytes of a logbook that can't be read, and those of its log, before another takes its place.

    Raises OSError: no room, or no right to read or write.
    """
    file, part = real(path), part_for(path, "copy")
    try:
        copy_bytes(file, part)
        copy = named_copy(path, _next(copies_of(path)), now, "", aside=True)
        part.rename(copy.path)
    finally:
        remove(part)
    for log in logs_of(file):
        copy_bytes(log, copy.path.with_name(copy.path.name + log.name.removeprefix(file.name)))
    return copy


def part_for(path: Path, what: str) -> Path:
    """A name to write a file under until it is whole, in the folder of copies; parts that were left there go.

    A part may have the date of what it is a copy of, so its age is that of its place in the folder.
    """
    file, folder = real(path), folder_of(path)
    folder.mkdir(exist_ok=True)
    for old in folder.glob(f"*{PART}*"):
        if time.time() - old.stat().st_ctime > STALE_S:
            remove(old)
    return folder / f"{file.stem}-{what}-{os.getpid()}{PART}"


def _next(there: Sequence[Copy]) -> int:
    return max((copy.number for copy in there), default=0) + 1


def _is_of_this_state(copy: Copy, file: HeldFile) -> bool:
    try:
        kept, held = copy.path.stat(), file.path.stat()
        same = (kept.st_size, kept.st_mtime_ns) == (held.st_size, held.st_mtime_ns)
        if not same or file.view is None:
            return False
        with copy.path.open("rb") as head:
            return head.read(HEAD_BYTES) == os.pread(file.view, HEAD_BYTES, 0)
    except OSError:
        return False


def thinned(copies: Sequence[Copy]) -> list[Copy]:
    """Which copies of one logbook, oldest first, may go?

    All but the newest `NEWEST_KEPT`, and beyond them the newest of each of `EARLIER_DAYS_KEPT` other days, so that at
    most ten stay. Later means a higher number: a clock that was set back moves none.

    >>> noon = datetime(2026, 5, 3, 12)
    >>> copies = [Copy(n, noon, Path(f"{n}"), "", is_set_aside=False) for n in range(1, 8)]
    >>> [copy.number for copy in thinned(copies)]
    [1, 2]
    """
    ordinary = [copy for copy in copies if not copy.is_set_aside]
    newest, earlier = ordinary[-NEWEST_KEPT:], ordinary[:-NEWEST_KEPT]
    seen = {copy.kept_at.strftime(DAY) for copy in newest}
    most = len(seen) + EARLIER_DAYS_KEPT
    go = []
    for copy in reversed(earlier):
        day = copy.kept_at.strftime(DAY)
        if day in seen or len(seen) >= most:
            go.append(copy)
        else:
            seen.add(day)
    return go[::-1]
