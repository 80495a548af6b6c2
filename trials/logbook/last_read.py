"""What was read last of a logbook: it need not be read again as long as its file is in the same state."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from trials.logbook.beside import logs_of

if TYPE_CHECKING:
    from schemas import Record

HEAD_BYTES = 3 * 4096  # what every checkpoint writes anew
MOST_TRIALS = 10  # a command asks for one trial again and again; hundreds are read once, and not held in memory
FileState = tuple[int | bytes, ...]
_LAST: dict[FileState, Mapping[str, Record | None]] = {}


def file_state(file: Path, view: int | None) -> FileState | None:
    """What tells the state of a logbook file, opened as `view`, from every other that it had or will have.

    None where it can't be told: the file can't be read by its bytes, or a log beside it may hold more.
    """
    if view is None or logs_of(file):
        return None
    there = os.fstat(view)
    dates = (there.st_mtime_ns, there.st_ctime_ns)
    return there.st_dev, there.st_ino, there.st_size, *dates, os.pread(view, HEAD_BYTES, 0)


def read_before(state: FileState | None, names: Sequence[str]) -> list[Record] | None:
    """The trials of those names that there are in that state, in order of name; None where they are to be read."""
    there = {} if state is None else _LAST.get(state, {})
    if not there.keys() >= set(names):
        return None
    return [record for name in sorted(set(names)) if (record := there[name]) is not None]


def note_read(state: FileState | None, names: Sequence[str], records: Sequence[Record]) -> None:
    """Note what was read in that state of the trials of those names, in place of what was read in an earlier one."""
    if state is not None and len(names) <= MOST_TRIALS:
        found = {record.trial.name: record for record in records}
        before = _LAST.get(state, {})
        there = {**(before if len(before) < MOST_TRIALS else {}), **{name: found.get(name) for name in names}}
        _LAST.clear()
        _LAST[state] = there
