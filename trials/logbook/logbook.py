"""Open, read or write, close: the logbook as the commands use it."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

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
from trials.wording.steps import load_step

if TYPE_CHECKING:  # a listing needs no words, and pydantic takes a while to start
    from schemas import Record, WorthBase
    from trials.logbook.shape import Row

SET_ASIDE = "set_aside"
"""The code remembered of a trial that was set aside; else it is that of its verdict."""
WordsOf = Callable[[Sequence["Record"]], Sequence["Remembered"]]
"""What a listing is to remember of records: handed in, for the store knows no verdicts."""
Change = Callable[[Mapping[str, "Record"]], Sequence["Record"]]
"""What makes of trials as they are stored, by name, those to be stored."""
Portion = tuple[Sequence[str], Change]
"""The names of some trials, and the change of these."""


@dataclass(frozen=True, slots=True)
class Remembered:
    """The word on one trial with its numbers, and the samedirt that reached it: a row of the table `verdicts`.

    estimate, low, high, worth_having: on the measure's scale, more gold positive; level is the coverage of the limits.
    shown, shown_low, shown_high: the same in `unit`, points or %.
    black_sand, minutes: ratios to baseline with their one-sided limits. cleanup_minutes: how many more a run.
    pairs_for_new_trial: pairs, of a graded trial blocks, that a new one would need where it is not settled.
    losses_start: the size at which an audit sees losses begin. costs_over: the costs shown to be over their limits.
    first_session, last_session: as they were written. decided: what the person did in the end.
    Of a graded trial the numbers are those of `level_named`; of a main size class they are of `size_class` alone.
    """

    trial: str
    version: str
    code: str
    sentence: str
    last_word: str | None
    last_word_why: str = ""
    leaning: bool | None = None
    level_named: str | None = None
    size_class: str | None = None
    scale: str | None = None
    estimate: float | None = None
    low: float | None = None
    high: float | None = None
    level: float | None = None
    worth_having: float | None = None
    unit: str | None = None
    shown: float | None = None
    shown_low: float | None = None
    shown_high: float | None = None
    pairs_planned: int | None = None
    pairs: int | None = None
    black_sand: float | None = None
    black_sand_low: float | None = None
    black_sand_high: float | None = None
    minutes: float | None = None
    minutes_low: float | None = None
    minutes_high: float | None = None
    cleanup_minutes: float | None = None
    first_session: str | None = None
    last_session: str | None = None
    decided: str | None = None
    decided_on: date | None = None
    decided_note: str | None = None
    pairs_for_new_trial: int | None = None
    losses_start: str | None = None
    costs_over: Sequence[str] | None = None


@dataclass(frozen=True, slots=True)
class ListedTrial:
    """One trial as the listing shows it.

    trial, measure, gear: its name, main measure and gear.
    variable, baseline, changed: the change, where there is one.
    lots, lot_kinds: the names of its lots, and where their dirt comes from.
    last_session: the last one of its runs.
    word: what is remembered of its verdict; None where nothing is.
    """

    trial: str
    measure: str
    gear: str
    variable: str | None
    baseline: str | None
    changed: Sequence[str] | None
    last_session: str | None
    word: Remembered | None
    lots: Sequence[str] = ()
    lot_kinds: Sequence[str] = ()

    @property
    def code(self) -> str | None:
        """As in the verdict remembered."""
        return None if self.word is None else self.word.code

    @property
    def sentence(self) -> str | None:
        """As in the verdict remembered."""
        return None if self.word is None else self.word.sentence


_TYPES: dict[tuple[str, str], str] = {}
OWN = ("trial", "measure", "gear", "variable", "baseline", "changed", "last_session", "lots", "lot_kinds")
LISTING = """
    SELECT t.name AS own_trial, t.measure AS own_measure, t.gear_kind AS own_gear, t.change_variable AS own_variable,
           t.change_baseline AS own_baseline, t.change_changed AS own_changed, r.last AS own_last_session,
           l.names AS own_lots, l.kinds AS own_lot_kinds, v.*
    FROM trials t
    LEFT JOIN verdicts v ON v.trial = t.name
    LEFT JOIN (SELECT trial, max(session) AS last FROM runs GROUP BY trial) r ON r.trial = t.name
    LEFT JOIN (
        SELECT trial, list(name ORDER BY place) AS names, list(kind ORDER BY place) AS kinds FROM lots GROUP BY trial
    ) l ON l.trial = t.name
    ORDER BY r.last DESC NULLS LAST, t.name DESC
"""


@dataclass(frozen=True, slots=True)
class Pages:
    """An open logbook. Everything read and written inside belongs together.

    state: that of the file it was opened in, if it is open for writing and its state can be told.
    """

    con: duckdb.DuckDBPyConnection
    state: FileState | None = None

    def names(self) -> list[str]:
        """The names of all trials, in order."""
        return [name for (name,) in self.con.execute("SELECT name FROM trials ORDER BY name").fetchall()]

    def records(self, names: Sequence[str] | None = None) -> list[Record]:
        """Read trials with their runs and corrections: all of them, or those named that exist."""
        from trials.logbook.shape import TABLES, records_of, rows_of_table

        trials, *parts = TABLES
        rows = {trials: rows_of_table(self.con, trials, names)}
        return records_of(rows | {part: rows_of_table(self.con, part, names) for part in parts}) if rows[trials] else []

    def store(
        self, records: Sequence[Record], words: Sequence[Remembered] = (), *, was: Sequence[Record] | None = None
    ) -> None:
        """Store records whole, new ones and those that changed; the words remembered of them give way to these.

        was: the trials of those names as they are stored, where they were read already. A table in which nothing of
        theirs changed is not written to.
        """
        from trials.logbook.shape import KEYS, TABLES, rows_of_records

        names = [record.trial.name for record in records]
        stored = [record for record in (self.records(names) if was is None else was) if record.trial.name in names]
        known = [record.trial.name for record in stored]
        then, now = rows_of_records(stored), rows_of_records(records)
        changed = {table: now[table] for table in TABLES if then[table] != now[table]}
        for table in (*changed, "verdicts") if known else ():
            self._forget(table, KEYS.get(table, ("trial",))[0], known)
        self._insert(changed | {"verdicts": [asdict(word) for word in words]})

    def _forget(self, table: str, key: str, names: Sequence[str]) -> None:
        self.con.execute(f"DELETE FROM {table} WHERE list_contains(?, {key})", [names])  # noqa: S608 - names of our own

    def _insert(self, rows: Mapping[str, Sequence[Row]]) -> None:
        """Insert the rows of each table, after what was there is deleted: `INSERT OR REPLACE` takes thrice as long."""
        from trials.logbook.sql import quoted_names

        types = self._types()
        for table, found in rows.items():
            if found:
                # A column that no row fills is left out: to plan for it takes the store longer than to write one.
                columns = [name for name in found[0] if any(row[name] is not None for row in found)]
                values = ", ".join(f"unnest(?::{types[table, column]}[])" for column in columns)
                self.con.execute(
                    f"INSERT INTO {table} ({quoted_names(columns)}) SELECT {values}",
                    [[row[column] for row in found] for column in columns],
                )

    def _types(self) -> Mapping[tuple[str, str], str]:
        """The type of each column of each table: the same in every logbook of this version, so that one is asked."""
        if not _TYPES:
            query = "SELECT table_name, column_name, data_type FROM duckdb_columns()"
            query += " WHERE database_name = current_database()"
            _TYPES.update({(table, column): kind for table, column, kind in self.con.execute(query).fetchall()})
        return _TYPES

    def listing(self) -> list[ListedTrial]:
        """Every trial with the word remembered of it, the last session first."""
        answer = self.con.execute(LISTING)
        names = [part[0] for part in answer.description]
        return [_listed(dict(zip(names, row, strict=True))) for row in answer.fetchall()]

    def worth_base(self) -> WorthBase | None:
        """What a year was last reckoned with; None where nothing was typed yet."""
        from trials.logbook.shape import WORTH_BASES, rows_of, worth_base_of_row

        rows = rows_of(self.con.execute(f"SELECT * FROM {WORTH_BASES} ORDER BY place DESC LIMIT 1"))  # noqa: S608 - our own table
        return worth_base_of_row(rows[0]) if rows else None

    def keep_worth_base(self, base: WorthBase, when: datetime) -> None:
        """Keep what a year is reckoned with from now on; the one before stays on record."""
        from trials.logbook.shape import WORTH_BASES, row_of_worth_base

        ((last,),) = self.con.execute(f"SELECT coalesce(max(place), 0) FROM {WORTH_BASES}").fetchall()  # noqa: S608 - our own table
        self._insert({WORTH_BASES: [{"place": last + 1, "when": when, **row_of_worth_base(base)}]})

    def own_costs(self) -> dict[str, dict[str, str]]:
        """What each change was last told to cost of its own, as typed, by the name of its trial."""
        from trials.logbook.shape import OWN_COSTS

        rows = self.con.execute(f"SELECT trial, typed FROM {OWN_COSTS} ORDER BY trial, place").fetchall()  # noqa: S608 - our own table
        last = {trial: json.loads(typed) for trial, typed in rows}
        return {trial: typed for trial, typed in last.items() if typed}

    def keep_own_costs(self, trial: str, typed: Mapping[str, str], when: datetime) -> None:
        """Keep what a change costs of its own from now on; what was typed before stays on record."""
        from trials.logbook.shape import OWN_COSTS

        query = f"SELECT coalesce(max(place), 0) FROM {OWN_COSTS} WHERE trial = ?"  # noqa: S608 - our own table
        ((last,),) = self.con.execute(query, [trial]).fetchall()
        text = json.dumps(dict(typed), ensure_ascii=False)
        self._insert({OWN_COSTS: [{"trial": trial, "place": last + 1, "when": when, "typed": text}]})

    def remember(self, words: Sequence[Remembered]) -> None:
        """Remember the words on trials, so that a listing need not compute them."""
        self._forget("verdicts", "trial", [word.trial for word in words])
        self._insert({"verdicts": [asdict(word) for word in words]})


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


def _listed(row: dict[str, Any]) -> ListedTrial:
    own = {name: row.pop(f"own_{name}") for name in OWN}
    return ListedTrial(**own, word=None if row["trial"] is None else Remembered(**row))


def _try(change: Change, records: Sequence[Record], state: FileState | None = None) -> _Tried:
    """What a change makes of records as they are stored, those that it leaves as they are left out."""
    stored = {record.trial.name: record for record in records}
    found = ((record, stored.get(record.trial.name)) for record in change(stored))
    return _Tried(records, [record for record, was in found if record is not was and record != was], state)
