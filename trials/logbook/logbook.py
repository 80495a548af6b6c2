"""Open, read or write, close: the logbook as the commands use it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import duckdb

from trials.errors import Problem, Refused, capped
from trials.logbook.attached import close_file
from trials.logbook.beside import folder_of, real, remove
from trials.logbook.connect import (
    TURN,
    HeldFile,
    bring_in_log,
    close_view,
    connect,
    held,
    is_free,
    settle,
    transaction,
    view_of,
)
from trials.logbook.copies import keep, thin
from trials.logbook.explain import damaged, explained
from trials.logbook.last_read import FileState, file_state, note_read, read_before
from trials.logbook.migrate import begins, migrate, pending, take_steps
from trials.logbook.notices import notice
from trials.logbook.pages import Pages, Remembered
from trials.wording.steps import load_step

if TYPE_CHECKING:  # a listing needs no words, and pydantic takes a while to start
    from schemas import Record

WordsOf = Callable[[Sequence["Record"]], Sequence["Remembered"]]
"""What a listing is to remember of records: handed in, for the store knows no verdicts."""
Change = Callable[[Mapping[str, "Record"]], Sequence["Record"]]
"""What makes of trials as they are stored, by name, those to be stored."""
Portion = tuple[Sequence[str], Change]
"""The names of some trials, and the change of these."""


class _NoTrialError(Exception):
    """There is no trial of the name; raised where the file is held, and told when it is not."""


@dataclass(frozen=True, slots=True)
class _Tried:
    """A change that was tried: the trials as they were stored, those to be stored, and the state of the file."""

    stored: Sequence[Record]
    changed: Sequence[Record]
    state: FileState | None


@dataclass(frozen=True, slots=True)
class Logbook:
    """A logbook file, closed. Opened for one piece of work at a time.

    clock: what says the local time.
    keeps: whether copies are kept beside the file.

    >>> from tempfile import mkdtemp
    >>> from schemas import Gear, Lot, Record, Trial
    >>> book = Logbook(Path(mkdtemp()) / "logbook.duckdb")
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=6, lots=(Lot(kind="natural"),),
    ...               gear=Gear(kind="sluice"))
    >>> with book.writing() as pages:
    ...     pages.store([Record(trial=trial)])
    >>> book.read("mat").trial == trial
    True
    """

    path: Path
    clock: Callable[[], datetime] = datetime.now
    keeps: bool = True

    def __init__(self, path: str | Path, clock: Callable[[], datetime] = datetime.now, *, keeps: bool = True) -> None:
        for name, value in (("path", Path(path)), ("clock", clock), ("keeps", keeps)):
            object.__setattr__(self, name, value)

    @property
    def exists(self) -> bool:
        """Whether there is a file."""
        return self.path.is_file()

    @property
    def state(self) -> FileState | None:
        """What tells the state of the file from every other that it had or will have; None where it can't be told."""
        with TURN:
            file = real(self.path)
            view = view_of(file)
            try:
                return file_state(file, view)
            finally:
                close_view(view)

    @property
    def is_free(self) -> bool:
        """Whether no other program seems to have the file open."""
        with TURN:
            return is_free(real(self.path), read_only=False)

    @contextmanager
    def writing(self) -> Iterator[Pages]:
        """Open for reading and writing: all that is written inside is kept, or none of it.

        The file is held until the end, so what is read inside can't change before it is written. A copy is kept before,
        of a new logbook after its first change; where there is no room for it the change is stored all the same, and a
        line on standard error says so. When this returns the change lies in the main file, down to the disk, and no
        other file holds anything of it.

        Raises LogbookError: it can't be used, or there is no room: nothing was stored.
        Raises DamagedLogbook: the file can't be read to its end; it is not written on.
        """
        with held(self.path) as file:
            try:
                todo = pending(file.con, self.path)  # refuses what is not ours before anything is written
                is_first = begins(todo)
                why = self._made_ready(file, todo)
                with transaction(file.con):
                    if is_first:
                        take_steps(file.con, todo)
                    yield Pages(file.con, file_state(file.path, file.view))
                settle(file, self.path)
                if self.keeps and why is None:
                    why = self._copied(file) if is_first else None
                    thin(file)
            except duckdb.Error as error:
                raise explained(error, self.path) from error
            if why is not None:
                when = "of it" if is_first else "before it"
                notice(f"the change is stored; no copy was kept {when} ({why}): make room, or check the folder")

    def _made_ready(self, file: HeldFile, todo: Sequence[int]) -> str | None:
        """Keep a copy and bring the file to the shape of this version; why there is no copy, if there should be one.

        A blank file needs no copy, and gets its shape with its first change.
        """
        bring_in_log(file)
        why = None
        if not begins(todo):
            why = self._copied(file) if self.keeps else None
            migrate(file.con, todo)
        if todo:
            remove(file.path.with_name(f"{file.path.name}.tally"))  # what 0.1.0 counted its changes in
        return why

    def _copied(self, file: HeldFile) -> str | None:
        """Keep a copy of the file as it is; why there is none, if so."""
        try:
            keep(file, self.clock())
        except OSError as error:
            return f"{folder_of(self.path).name}: {error.strerror or error}"
        except duckdb.Error as error:
            raise damaged(error, self.path) from error
        return None

    @contextmanager
    def reading(self) -> Iterator[Pages]:
        """Open for reading."""
        with TURN:
            con = connect(self.path, read_only=True)
            try:
                if pending(con, self.path):
                    close_file(con)
                    con = self._brought_up_to_date()
                yield Pages(con)
            except duckdb.Error as error:
                raise explained(error, self.path) from error
            finally:
                close_file(con)

    def _brought_up_to_date(self) -> duckdb.DuckDBPyConnection:
        with self.writing():
            pass
        return connect(self.path, read_only=True)

    def read(self, name: str) -> Record:
        """Read one trial.

        Raises Refused: there is no trial of that name; the names there are stand in the message.
        """
        found, _ = self._read([name])
        return found[0] if found else self._refuse(name)

    def holds(self, name: str) -> bool:
        """Whether there is a trial of that name."""
        found, _ = self._stored([name])
        return bool(found)

    def _read(self, names: Sequence[str]) -> tuple[list[Record], FileState | None]:
        """The trials of those names that there are, and the state of the file they were read in, if it can be told."""
        with TURN:
            state = self.state
            if (found := read_before(state, names)) is None:
                with self.reading() as pages:
                    found = pages.records(names)
                note_read(state, names, found)
            return found, state

    def _refuse(self, name: str) -> NoReturn:
        """Refuse the name of a trial that is not there, with the names of those that are."""
        with self.reading() as pages:
            names = pages.names()
        there = f"there are: {', '.join(names[:20])}" if names else f"it is empty; {load_step()}"
        raise Refused(f"no trial named {name!r} in {self.path}; {there}")

    def apply(self, name: str, change: Callable[[Record], Record], words_of: WordsOf) -> tuple[Record, Record]:
        """Apply a change to one trial, in one transaction.

        `change` makes of the record as it is the one to be stored. It is pure: it may be called again, should the trial
        have been changed in between. What it refuses is not stored, and the file is not written to where it changes
        nothing. `words_of` is what the listing is to remember of records that changed. The record before is handed
        back, and that after.

        Raises Refused: there is no trial of that name, or the change refuses it.
        """
        seen: list[Record] = []

        def of_one(stored: Mapping[str, Record]) -> list[Record]:
            if name not in stored:
                raise _NoTrialError
            seen[:] = stored[name], change(stored[name])
            return seen[1:]

        try:
            self.apply_all([name], of_one, words_of)
        except _NoTrialError:
            self._refuse(name)
        before, after = seen
        return before, after

    def apply_all(self, names: Sequence[str], change: Change, words_of: WordsOf) -> None:
        """Apply a change to several trials, stored ones and new ones: all of it is stored or nothing; see `apply`."""
        self.apply_portions([(names, change)], words_of)

    def apply_portions(self, portions: Sequence[Portion], words_of: WordsOf) -> None:
        """Apply changes to many trials, one portion of them in memory at a time: all of it is stored or nothing.

        Each portion is the names of its trials, none of them in two, and the change of these; see `apply`. All
        changes are tried before the file is held, and refused with the problems of all; each is made again of what is
        stored by then, unless it is the only one and the file is in the state in which it was tried.
        """
        is_changed, tried = self._tried(portions)
        if not is_changed:
            return
        with self.writing() as pages:
            for names, change in portions:
                if len(portions) > 1 or tried is None or tried.state is None or tried.state != pages.state:
                    tried = _try(change, pages.records(names))
                if tried.changed:
                    pages.store(tried.changed, words_of(tried.changed), was=tried.stored)

    def _tried(self, portions: Sequence[Portion]) -> tuple[bool, _Tried | None]:
        """Whether any of the changes stores anything, and the last one; Refused with the problems of all that are."""
        is_changed, tried = False, None
        problems: list[Problem] = []
        for names, change in portions:
            try:
                tried = _try(change, *self._stored(names))
                is_changed |= bool(tried.changed)
            except Refused as refused:
                if not refused.problems:
                    raise
                problems = capped([*problems, *refused.problems])
        if problems:
            raise Refused(problems)
        return is_changed, tried

    def _stored(self, names: Sequence[str]) -> tuple[list[Record], FileState | None]:
        return self._read(names) if self.exists else ([], None)


def _try(change: Change, records: Sequence[Record], state: FileState | None = None) -> _Tried:
    """What a change makes of records as they are stored, those that it leaves as they are left out."""
    stored = {record.trial.name: record for record in records}
    found = ((record, stored.get(record.trial.name)) for record in change(stored))
    return _Tried(records, [record for record, was in found if record is not was and record != was], state)
