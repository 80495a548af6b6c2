"""An open logbook: what is read of its pages and written into them, and the rows of its listing."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

import duckdb

from trials.logbook.last_read import FileState

if TYPE_CHECKING:  # a listing needs no words, and pydantic takes a while to start
    from schemas import Record, WorthBase
    from trials.logbook.shape import Row

SET_ASIDE = "set_aside"
"""The code remembered of a trial that was set aside; else it is that of its verdict."""


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


def _listed(row: dict[str, Any]) -> ListedTrial:
    own = {name: row.pop(f"own_{name}") for name in OWN}
    return ListedTrial(**own, word=None if row["trial"] is None else Remembered(**row))
