"""What is stored, against the tally in the logbook and the one in the file beside it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import duckdb

from trials.logbook.contents import Contents
from trials.logbook.copies import Copy
from trials.logbook.counted import digest_of
from trials.logbook.fault import Fault
from trials.logbook.notices import count_of, shown_time
from trials.logbook.tally import Entry, file_of, lost

CHANGED_BY_OTHERS = "something other than samedirt changed it; compare with a copy: samedirt logbook --restore"


NOTHING = digest_of({})


@dataclass(frozen=True, slots=True)
class State:
    """A trial as it is stored now: runs made, and a digest of all its rows."""

    runs: int
    digest: str


@dataclass(frozen=True, slots=True)
class Counted:
    """The last change of a trial that the logbook counted, and the shape the logbook had then."""

    at: datetime
    runs: int
    digest: str
    shape: int


def last_counted(con: duckdb.DuckDBPyConnection) -> dict[str, Counted]:
    """The last change of each trial, as the tally in the logbook has it."""
    query = "SELECT trial, stored_at, runs, digest, shape FROM tally ORDER BY number"
    return {trial: Counted(*rest) for trial, *rest in con.execute(query).fetchall()}


def against_itself(
    path: Path, states: Mapping[str, State], counted: Mapping[str, Counted], shape: int
) -> Iterator[Fault]:
    """Is every trial as it was when its last change was counted?

    A digest taken at another shape of the logbook is not compared, the number of runs is.
    """
    for name, last in counted.items():
        place, when, now = f"{path}, {name}", shown_time(last.at), states.get(name)
        if now is None:
            if last.digest != NOTHING:
                what = f"was stored with {count_of(last.runs, 'run')}, {when}, and is not there"
                yield Fault(place, what, CHANGED_BY_OTHERS)
        elif now.runs != last.runs:
            yield Fault(place, f"{count_of(last.runs, 'run')} stored, {when}, and {now.runs} there", CHANGED_BY_OTHERS)
        elif now.digest != last.digest and last.shape == shape:
            yield Fault(place, f"its values are not those stored, {when}", CHANGED_BY_OTHERS)
    if counted:
        for name in sorted(states.keys() - counted.keys()):
            yield Fault(f"{path}, {name}", "is not among the stored changes", CHANGED_BY_OTHERS)


def against_file(
    path: Path,
    entries: Sequence[Entry],
    position: tuple[str, int],
    states: Mapping[str, State],
    copies: Sequence[tuple[Copy, Contents | str]],
) -> Iterator[Fault]:
    """Is everything there that the tally beside the logbook has?

    A change that is missing is told once a trial, with what is missing now. It is mended once the trial was stored
    again with as many runs.
    """
    begun, last = position
    if entries and not any(entry.logbook == begun for entry in entries):
        newest = entries[-1]
        what = (
            f"belongs to an earlier logbook ({count_of(newest.number, 'change')}, the last on {shown_time(newest.at)})"
        )
        yield Fault(
            str(file_of(path)),
            what,
            "samedirt logbook --restore lists the copies of that one; or delete it",
        )
        return
    place_of = {id(entry): place for place, entry in enumerate(entries)}
    missing = {entry.trial: entry for entry in lost(entries, begun, last)}
    gone = {id(entry) for entry in lost(entries, begun, last)}
    for name, entry in sorted(missing.items()):
        now = states.get(name)
        since = entries[place_of[id(entry)] + 1 :]
        mended = any(
            other.trial == name and other.logbook == begun and other.runs >= entry.runs and id(other) not in gone
            for other in since
        )
        if mended or (now is not None and now.digest == entry.digest):
            continue
        yield Fault(f"{path}, {name}", _what_is_missing(entry, now), _who_has_it(path, entry, copies))


def _what_is_missing(entry: Entry, now: State | None) -> str:
    when = f"stored {shown_time(entry.at)}"
    if now is None:
        return f"the trial with its {count_of(entry.runs, 'run')}, {when}, is not there"
    if now.runs < entry.runs:
        few = entry.runs - now.runs
        return f"{count_of(few, 'run')} of {entry.runs:,}, {when}, {'is' if few == 1 else 'are'} not there"
    return f"a change {when} is not there"


def _who_has_it(path: Path, entry: Entry, copies: Sequence[tuple[Copy, Contents | str]]) -> str:
    for copy, contents in reversed(copies):
        if not isinstance(contents, str) and (entry.trial, entry.digest) in contents.states:
            return f"copy {copy.number} has all of it: samedirt logbook --restore {copy.number}"
    return f"no copy has it: load it again, or delete {file_of(path).name} to let it be"
