"""The tally: every stored change is counted in the logbook itself, and again in a small file beside it.

A log that is cut or deleted takes stored rows with it without an error. The tally in the logbook goes with them; the
file beside it does not, and so shows what is missing. The file is written after the change, so that it may lag behind
after a crash, which is no loss; a logbook that lags behind the file has lost something.
"""

import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Literal, Self

import duckdb

from trials.logbook.migrate import LEDGER

SUFFIX = ".tally"
HEADER = "# Every change stored in the logbook beside this file; samedirt logbook --check compares. Keep both.\n"
WHOLE = "."  # ends a line; one without it was cut off
TAIL_BYTES = 8192
Kind = Literal["stored", "restored"]


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the tally.

    Attributes
    ----------
    kind
        A change that was stored, or the logbook brought back to the change of that number.
    number
        The change, counted from 1. One change may touch several trials.
    at
        When, local time.
    trial, runs, digest
        The trial as it is since: runs made, and a digest of all its rows. Blank where the logbook was brought back.
    logbook
        The moment the logbook began, which tells it from another at the same place.
    """

    kind: Kind
    number: int
    at: datetime
    trial: str
    runs: int
    digest: str
    logbook: str

    def __str__(self) -> str:
        """Write the entry as one line of the file, without its end."""
        parts = (self.kind, self.number, self.at.isoformat(), self.trial, self.runs, self.digest, self.logbook, WHOLE)
        return "\t".join(map(str, parts))

    @classmethod
    def read(cls, line: str) -> Self | None:
        """Read a line of the file; None where it is a remark, or cut off.

        >>> entry = Entry("stored", 3, datetime(2026, 5, 3, 14, 12), "mat", 12, "9f", "20260503")
        >>> Entry.read(str(entry)) == entry, Entry.read(str(entry)[:20])
        (True, None)
        """
        parts = line.split("\t")
        if len(parts) != 8 or parts[0] not in ("stored", "restored") or parts[7] != WHOLE:
            return None
        kind: Kind = "stored" if parts[0] == "stored" else "restored"
        try:
            at = datetime.fromisoformat(parts[2])
            return cls(kind, int(parts[1]), at, parts[3], int(parts[4]), parts[5], parts[6])
        except ValueError:
            return None


def file_of(path: Path) -> Path:
    """Where the tally of a logbook lies.

    >>> file_of(Path("logbook.duckdb")).name
    'logbook.duckdb.tally'
    """
    return path.with_name(path.name + SUFFIX)


def position(con: duckdb.DuckDBPyConnection) -> tuple[str, int]:
    """When a logbook began, and the number of its last change; 0 where none was counted yet."""
    ((begun,),) = con.execute(f"SELECT applied_at FROM {LEDGER} WHERE number = 1").fetchall()  # noqa: S608 - our own table
    try:
        ((last,),) = con.execute("SELECT max(number) FROM tally").fetchall()
    except duckdb.CatalogException:  # a shape before the tally
        last = 0
    return begun.isoformat(), int(last or 0)


def append(path: Path, entries: Sequence[Entry]) -> None:
    """Add entries to the tally beside a logbook, in one write, down to the disk.

    Raises
    ------
    OSError
        No room, or no right to write.
    """
    if not entries:
        return
    text = "".join(f"{entry}\n" for entry in entries)
    file = os.open(file_of(path), os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o666)
    try:
        size = os.fstat(file).st_size
        if size == 0:
            text = HEADER + text
        elif os.lseek(file, -1, os.SEEK_END) >= 0 and os.read(file, 1) != b"\n":
            text = "\n" + text  # the line before was cut off
        rest = text.encode()
        while rest:
            rest = rest[os.write(file, rest) :]
        os.fsync(file)
    finally:
        os.close(file)


def entries_of(path: Path) -> list[Entry] | None:
    """Read the tally beside a logbook, oldest first; None where there is none. Lines cut off are passed over."""
    try:
        text = file_of(path).read_text(encoding="utf-8", errors="replace")
    except OSError:
        return None
    return [entry for line in text.splitlines() if (entry := Entry.read(line)) is not None]


def last_entry(path: Path) -> Entry | None:
    """The last entry of the tally beside a logbook, without reading all of it."""
    try:
        with file_of(path).open("rb") as file:
            file.seek(max(0, file.seek(0, os.SEEK_END) - TAIL_BYTES))
            lines = file.read().decode(errors="replace").splitlines()
    except OSError:
        return None
    return next((entry for line in reversed(lines) if (entry := Entry.read(line)) is not None), None)


def lost(entries: Sequence[Entry], begun: str, last: int) -> list[Entry]:
    """Which stored changes does the tally have that the logbook does not?

    Parameters
    ----------
    entries
        The tally, oldest first; entries of another logbook are passed over.
    begun, last
        Of the logbook: when it began, and the number of its last change.

    Returns
    -------
    list of Entry
        Changes past the last one there, and changes whose number was used again, oldest first. Going back to a copy
        on purpose is no loss, and closes the losses before it.

    Examples
    --------
    >>> at = datetime(2026, 5, 3, 14, 12)
    >>> tally = [Entry("stored", n, at.replace(hour=n), "mat", 2 * n, "", "a") for n in (1, 2, 3)]
    >>> [entry.number for entry in lost(tally, "a", 1)], lost(tally, "a", 3)
    ([2, 3], [])
    >>> lost([*tally, Entry("restored", 1, at, "", 0, "", "a")], "a", 1)
    []
    """
    kept: list[Entry] = []
    gone: list[Entry] = []
    for entry in entries:
        if entry.logbook != begun:
            continue
        if entry.kind == "restored":
            while kept and kept[-1].number > entry.number:
                kept.pop()
            gone.clear()
            continue
        replaced = []
        while kept and kept[-1].number >= entry.number and kept[-1].at != entry.at:
            replaced.append(kept.pop())
        gone += reversed(replaced)
        kept.append(entry)
    return gone + [entry for entry in kept if entry.number > last]
