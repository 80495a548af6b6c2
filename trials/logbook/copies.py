"""Copies of a logbook: one is kept before each change, in a folder beside it, and they are thinned with time."""

import os
import re
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from trials.logbook.connect import Held, logs_of, real, remove
from trials.logbook.copying import copy_bytes, copy_held

# How many copies stay. Our defaults: the newest ones, and beyond them the newest of each earlier day.
NEWEST_KEPT = 5
EARLIER_DAYS_KEPT = 5
HEAD_BYTES = 3 * 4096  # what every checkpoint writes anew
STALE_S = 3600.0
DAY, MOMENT = "%Y-%m-%d", "%Y-%m-%dT%H%M"
ASIDE = "-set-aside"
PART = ".part"


@dataclass(frozen=True, slots=True)
class Copy:
    """A copy of a logbook.

    Attributes
    ----------
    number
        Its number, higher for a later one whatever the clock said.
    kept_at
        When it was kept, local time by the clock of that moment.
    path
        The file.
    is_set_aside
        Whether it is the file that going back to another copy set aside; these are never thinned.
    """

    number: int
    kept_at: datetime
    path: Path
    is_set_aside: bool


def folder_of(path: Path) -> Path:
    """Where the copies of a logbook lie.

    >>> folder_of(Path("logbook.duckdb")).name
    'logbook-copies'
    """
    file = real(path)
    return file.with_name(f"{file.stem}-copies")


def copies_of(path: Path) -> list[Copy]:
    """The copies of a logbook, oldest first. Files of other names in their folder are passed over."""
    return sorted(_found(path), key=lambda copy: copy.number)


def _found(path: Path) -> Iterator[Copy]:
    file = real(path)
    pattern = re.compile(
        rf"{re.escape(file.stem)}-(\d{{4,}})-(\d{{4}}-\d\d-\d\dT\d{{4}})({ASIDE})?{re.escape(file.suffix)}"
    )
    try:
        there = list(folder_of(path).iterdir())
    except OSError:
        return
    for one in there:
        match = pattern.fullmatch(one.name)
        if match is None:
            continue
        try:
            kept_at = datetime.strptime(match[2], MOMENT)
        except ValueError:
            continue
        yield Copy(int(match[1]), kept_at, one, is_set_aside=match[3] is not None)


def keep(file: Held, now: datetime) -> Copy:
    """Keep a copy of a logbook that is held, unless one of this very state is there, and thin the rest.

    Raises
    ------
    OSError
        No room, or no right to write.
    """
    there = copies_of(file.path)
    for copy in reversed(there):
        if _is_of_this_state(copy, file):
            return copy
    part = part_for(file.path, "copy")
    try:
        copy_held(file, part)
        copy = _named(file.path, part, there, now, aside=False)
    finally:
        remove(part)
    for old in thinned([*there, copy]):
        remove(old.path)
    return copy


def set_aside(file: Held, now: datetime) -> Copy:
    """Keep a copy of a logbook that is held before another takes its place; it is never thinned.

    Raises
    ------
    OSError
        No room, or no right to write.
    """
    copy = keep(file, now)
    if copy.is_set_aside:
        return copy
    path = copy.path.with_name(f"{copy.path.stem}{ASIDE}{copy.path.suffix}")
    return Copy(copy.number, copy.kept_at, copy.path.rename(path), is_set_aside=True)


def set_aside_unread(path: Path, now: datetime) -> Copy:
    """Keep the bytes of a logbook that can't be opened, and those of its log, before another takes its place.

    Raises
    ------
    OSError
        No room, or no right to read or write.
    """
    file, part = real(path), part_for(path, "copy")
    try:
        copy_bytes(file, part)
        copy = _named(path, part, copies_of(path), now, aside=True)
    finally:
        remove(part)
    for log in logs_of(file):
        copy_bytes(log, copy.path.with_name(copy.path.name + log.name.removeprefix(file.name)))
    return copy


def part_for(path: Path, what: str) -> Path:
    """A name to write a file under until it is whole, in the folder of copies; parts that were left there go."""
    file, folder = real(path), folder_of(path)
    folder.mkdir(exist_ok=True)
    for old in folder.glob(f"*{PART}*"):
        if time.time() - old.stat().st_mtime > STALE_S:
            remove(old)
    return folder / f"{file.stem}-{what}-{os.getpid()}{PART}"


def _named(path: Path, part: Path, there: Sequence[Copy], now: datetime, *, aside: bool) -> Copy:
    """Give a copy that is whole its name; none that is there is written over."""
    file = real(path)
    number = max((copy.number for copy in there), default=0) + 1
    while True:
        name = f"{file.stem}-{number:04}-{now.strftime(MOMENT)}{ASIDE if aside else ''}{file.suffix}"
        target = folder_of(path) / name
        if not target.exists():
            break
        number += 1
    return Copy(number, now.replace(second=0, microsecond=0), part.rename(target), is_set_aside=aside)


def _is_of_this_state(copy: Copy, file: Held) -> bool:
    try:
        kept, held = copy.path.stat(), file.path.stat()
        same = (kept.st_size, kept.st_mtime_ns) == (held.st_size, held.st_mtime_ns)
        return same and file.view is not None and _head(copy.path) == os.pread(file.view, HEAD_BYTES, 0)
    except OSError:
        return False


def _head(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(HEAD_BYTES)


def thinned(copies: Sequence[Copy]) -> list[Copy]:
    """Which copies may go?

    Parameters
    ----------
    copies
        Oldest first.

    Returns
    -------
    list of Copy
        All but the newest `NEWEST_KEPT`, and beyond them the newest of each of `EARLIER_DAYS_KEPT` other days, so that
        at most ten stay. Later means a higher number: a clock that was set back moves none.

    Examples
    --------
    >>> noon = datetime(2026, 5, 3, 12)
    >>> copies = [Copy(n, noon, Path(f"{n}"), is_set_aside=False) for n in range(1, 8)]
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
