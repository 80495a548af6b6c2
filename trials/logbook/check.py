"""Is a logbook whole? Every table read to its end, and everything in it held against everything else."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import duckdb

from schemas import Record
from trials.errors import DamagedLogbook
from trials.logbook.compare import State, against_file, against_itself, last_counted
from trials.logbook.connect import TURN, close_view, first_line, logs_of, real, view_of
from trials.logbook.contents import Contents
from trials.logbook.copies import Copy, copies_of
from trials.logbook.counted import digest_of, made_runs
from trials.logbook.expected import faults_of_shape
from trials.logbook.fault import BACK, Fault
from trials.logbook.logbook import Logbook
from trials.logbook.migrate import applied
from trials.logbook.notices import count_of
from trials.logbook.rehearsal import faults_of_writing
from trials.logbook.restore import looked_into
from trials.logbook.rows import Row, by_trial, quoted_name, rows_of_table
from trials.logbook.shape import TABLES, records_of
from trials.logbook.tally import entries_of, position

# Tables whose rows are numbered from 1 within a trial, so that a gap shows.
NUMBERED = ("lots", "amendments", "photos", "corrections")
# What pydantic, JSON and a missing column raise when rows make no record.
NO_RECORD = (ValueError, KeyError, TypeError)


@dataclass(frozen=True, slots=True)
class Checked:
    """What a look through a logbook found.

    Attributes
    ----------
    records
        Every trial that could be read.
    runs
        How many runs were made in them.
    changes
        How many changes the logbook has counted.
    in_file
        How many of them the tally beside it has; None where there is no tally to compare with.
    in_log
        Whether the last change is still in the write-ahead log beside the file.
    copies
        The copies, and what each holds or why it can't be read.
    faults
        Everything found wrong; none where the logbook is whole.
    """

    records: tuple[Record, ...] = ()
    runs: int = 0
    changes: int = 0
    in_file: int | None = None
    in_log: bool = False
    copies: tuple[tuple[Copy, Contents | str], ...] = ()
    faults: tuple[Fault, ...] = ()


def check(book: Logbook) -> Checked:
    """Look through a logbook from end to end. Nothing is changed.

    Raises
    ------
    LogbookError
        There is no logbook, or it is in use, not a logbook, or of a newer version.
    """
    copies = tuple(looked_into(copies_of(book.path)))
    faults = [
        Fault(str(copy.path), f"the copy can't be read ({why})", "delete it; the others are not touched by it")
        for copy, why in copies
        if isinstance(why, str) and not copy.is_set_aside  # one set aside may be what was damaged
    ]
    in_log = bool(logs_of(real(book.path)))
    with TURN:
        view = view_of(real(book.path))
        try:
            with book.reading(quiet=True) as pages:
                found = _inside(book.path, pages.con, copies)
                if not found.faults:
                    found = replace(found, faults=tuple(faults_of_writing(book.path, view)))
        except DamagedLogbook as error:
            what, _, step = str(error).removeprefix(f"{book.path} ").partition("; ")
            found = Checked(faults=(Fault(str(book.path), what, step),))
        finally:
            close_view(view)
    return replace(found, in_log=in_log, copies=copies, faults=(*found.faults, *faults))


def _inside(path: Path, con: duckdb.DuckDBPyConnection, copies: Sequence[tuple[Copy, Contents | str]]) -> Checked:
    tables, unread = _read(path, con)
    if unread:
        return Checked(faults=tuple(unread))
    faults = list(faults_of_shape(con, path))
    if faults:
        return Checked(faults=tuple(faults))
    faults += _strays(path, tables)
    by_name = {table: by_trial(table, tables[table]) for table in TABLES}
    trials = {name: {table: by_name[table].get(name, []) for table in TABLES} for name in by_name["trials"]}
    records = []
    for name, own in trials.items():
        record, found = _record(f"{path}, {name}", own)
        faults += found
        records += [record] if record is not None else []
    states = {name: State(made_runs(own), digest_of(own)) for name, own in trials.items()}
    begun, last = position(con)
    faults += against_itself(path, states, last_counted(con), max(applied(con)))
    entries = entries_of(real(path))
    faults += against_file(path, entries or [], (begun, last), states, copies)
    own_numbers = {entry.number for entry in entries or [] if entry.logbook == begun and entry.kind == "stored"}
    return Checked(
        records=tuple(records),
        runs=sum(state.runs for state in states.values()),
        changes=last,
        in_file=None if entries is None else len({number for number in own_numbers if number <= last}),
        faults=tuple(faults),
    )


def _read(path: Path, con: duckdb.DuckDBPyConnection) -> tuple[dict[str, list[Row]], list[Fault]]:
    """Read every table to its end."""
    tables: dict[str, list[Row]] = {}
    there = [name for (name,) in con.execute("SELECT table_name FROM duckdb_tables() ORDER BY 1").fetchall()]
    for table in there:
        try:
            if table in TABLES:
                tables[table] = rows_of_table(con, table)
            else:
                cursor = con.execute(f"SELECT * FROM {quoted_name(table)}")  # noqa: S608 - a name that is there
                columns = [part[0] for part in cursor.description]
                tables[table] = [dict(zip(columns, row, strict=True)) for row in cursor.fetchall()]
        except duckdb.Error as error:
            fault = Fault(f"{path}, table {table}", f"can't be read to its end ({first_line(error)})", BACK)
            return {}, [fault]
    return tables, []


def _strays(path: Path, tables: Mapping[str, Sequence[Row]]) -> Iterator[Fault]:
    """Rows that belong to nothing, and rows missing from a list that is numbered."""
    names = {row["name"] for row in tables["trials"]}
    for table in (*TABLES, "verdicts"):
        place = f"{path}, table {table}"
        rows = {} if table == "trials" else _of_trials(tables[table])
        for name, own in sorted(rows.items()):
            if name not in names:
                yield Fault(place, f"{count_of(len(own), 'row')} of {name}, a trial that is not there", BACK)
            elif table in NUMBERED and len(own) != max(row["place"] for row in own):
                whole = max(row["place"] for row in own)
                yield Fault(place, f"{count_of(len(own), 'row')} of {name} where {whole} were stored", BACK)
    keys = {(row["trial"], row["pair"], row["arm"]) for row in tables["runs"]}
    for table in ("size_classes", "corrections"):
        for row in tables[table]:
            key = (row["trial"], row["pair"], row["arm"] or "")
            if row["pair"] is not None and key not in keys and row["trial"] in names:
                spot = f"pair {row['pair']} {row['arm'] or ''}".rstrip()
                yield Fault(f"{path}, table {table}", f"a row of {row['trial']} {spot}, a run that is not there", BACK)


def _of_trials(rows: Sequence[Row]) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {}
    for row in rows:
        found.setdefault(row["trial"], []).append(row)
    return found


def _record(place: str, own: Mapping[str, Sequence[Row]]) -> tuple[Record | None, list[Fault]]:
    """Make the record of one trial, or say which of its rows makes none."""
    try:
        (record,) = records_of(own)
    except NO_RECORD as error:
        found = list(_bad_rows(place, own))
        return None, found or [Fault(f"{place}, corrections", f"can't be read ({_reason(error)})", BACK)]
    return record, []


def _bad_rows(place: str, own: Mapping[str, Sequence[Row]]) -> Iterator[Fault]:
    """The plan that can't be read, or each run that can't."""
    bare: Mapping[str, Sequence[Row]] = {**own, "runs": [], "size_classes": [], "corrections": []}
    try:
        records_of(bare)
    except NO_RECORD as error:
        yield Fault(place, f"can't be read ({_reason(error)})", BACK)
        return
    for row in own["runs"]:
        key = (row["pair"], row["arm"])
        classes = [part for part in own["size_classes"] if (part["pair"], part["arm"]) == key]
        try:
            records_of({**bare, "runs": [row], "size_classes": classes})
        except NO_RECORD as error:
            spot = f"pair {row['pair']} {row['arm']}".rstrip()
            yield Fault(f"{place} {spot}", f"can't be read ({_reason(error)})", BACK)


def _reason(error: Exception) -> str:
    """What is wrong with a value, short enough to stand in a line of ours."""
    from pydantic import ValidationError

    if isinstance(error, ValidationError):
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        return f"{where}: {first['msg']}" if where else str(first["msg"])
    return (str(error).splitlines() or ["no reason given"])[0][:160]
