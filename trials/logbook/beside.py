"""What lies where a logbook lies: the file itself, its write-ahead log, and the dated copies of it."""

import os
import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from trials.logbook.notices import shown_time

MAGIC, MAGIC_AT = b"DUCK", 8
LOG_ENDS = (".wal", ".wal.checkpoint", ".wal.recovery")
LEFT_OVER = ".left-over"
MOMENT = "%Y-%m-%dT%H%M"
ASIDE = "-set-aside"
NEWEST = "newest"


@dataclass(frozen=True, slots=True)
class Copy:
    """A copy of a logbook.

    number: its number, higher for a later one whatever the clock said.
    kept_at: when it was kept, local time by the clock of that moment.
    path: the file.
    mark: which logbook it is a copy of, as `migrate.mark_of` tells; blank where that is not known.
    is_set_aside: whether it is the file that going back to another copy set aside; these are never thinned.
    """

    number: int
    kept_at: datetime
    path: Path
    mark: str
    is_set_aside: bool


def real(path: Path) -> Path:
    """Where the file itself lies, if the path is a link: its log and copies lie beside it."""
    return Path(os.path.realpath(path)) if path.is_symlink() else path


def is_a_store(path: Path) -> bool:
    """Whether a file begins as those of DuckDB do."""
    with path.open("rb") as file:
        return file.read(MAGIC_AT + len(MAGIC))[MAGIC_AT:] == MAGIC


def logs_of(file: Path) -> list[Path]:
    """The write-ahead log of a logbook file, where there is one, and what a checkpoint may leave beside it."""
    return [log for end in LOG_ENDS if (log := file.with_name(file.name + end)).exists()]


def put_by_logs(file: Path) -> list[Path]:
    """Put by the log of a logbook file that must not meet it; where it lies now."""
    return [log.replace(log.with_name(log.name + LEFT_OVER)) for log in logs_of(file)]


def remove(path: Path) -> None:
    """Take away a file that is of no use, if it is there and may be taken: one too many does no harm."""
    with suppress(OSError):
        path.unlink(missing_ok=True)


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
        rf"{re.escape(file.stem)}-(\d{{4,}})-(\d{{4}}-\d\d-\d\dT\d{{4}})(?:-([0-9a-f]{{6}}))?({ASIDE})?"
        rf"{re.escape(file.suffix)}"
    )
    try:
        there = list(folder_of(path).iterdir())
    except OSError:
        return
    for one in there:
        match = pattern.fullmatch(one.name)
        if match is None:
            continue
        with suppress(ValueError):
            kept_at = datetime.strptime(match[2], MOMENT)
            yield Copy(int(match[1]), kept_at, one, match[3] or "", is_set_aside=match[4] is not None)


def named_copy(path: Path, number: int, now: datetime, mark: str, *, aside: bool) -> Copy:
    """A copy under the next name that is free: none that is there is written over."""
    file, kept_at = real(path), now.replace(second=0, microsecond=0)
    moment, tail = f"{kept_at:{MOMENT}}", (f"-{mark}" if mark else "") + (ASIDE if aside else "")
    while True:
        target = folder_of(path) / f"{file.stem}-{number:04}-{moment}{tail}{file.suffix}"
        if not target.exists():
            return Copy(number, kept_at, target, mark, is_set_aside=aside)
        number += 1


def way_back(path: Path) -> str:
    """The copies that lie beside a logbook which can't be used, and how to bring one back; blank without any."""
    copies = copies_of(path)
    if not copies:
        return ""
    are = "1 copy is" if len(copies) == 1 else f"{len(copies)} copies are"
    newest = shown_time(copies[-1].kept_at)
    return f"{are} in {folder_of(path)}, the newest of {newest}: samedirt logbook --restore {NEWEST} brings it back"
