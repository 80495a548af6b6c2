"""Is a logbook whole? Every table read to its end, its shape, and everything in it held against everything else."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import duckdb

from schemas import Record, is_made
from trials.errors import DamagedLogbook, Problem
from trials.logbook.attached import IN_MEMORY, attached
from trials.logbook.beside import Copy, copies_of, real
from trials.logbook.connect import TURN, close_view, view_of
from trials.logbook.contents import Contents, contents_of, why_not_writable
from trials.logbook.explain import BACK, first_line
from trials.logbook.logbook import Logbook
from trials.logbook.migrate import known_migrations, migrate, tables_in
from trials.logbook.notices import shown_time
from trials.logbook.restore import NO_RECORD, own_mark
from trials.logbook.shape import KEYS, OWN_COSTS, TABLES, Row, by_trial, records_of, rows_of, rows_of_table
from trials.logbook.sql import quoted_name

# Tables whose rows are numbered from 1 within a trial, so that a gap shows.
NUMBERED = ("lots", "amendments", "photos", "corrections", OWN_COSTS)


@dataclass(frozen=True, slots=True)
class Examined:
    """What a look through a logbook found.

    records: those of the trials that could be read.
    copies: the copies, and what each holds or why it can't be read.
    faults: everything found wrong; none where the logbook is whole.
    """

    records: tuple[Record, ...] = ()
    copies: tuple[tuple[Copy, Contents | str], ...] = ()
    faults: tuple[Problem, ...] = ()

    @property
    def runs(self) -> int:
        """How many runs were made."""
        return sum(is_made(run) for record in self.records for run in record.runs)


def examine(book: Logbook) -> Examined:
    """Look through a logbook from end to end. Nothing is changed.

    Raises LogbookError: there is no logbook, or it is in use, not a logbook, or of a newer version.
    """
    copies = tuple(contents_of(copies_of(book.path)))
    faults = [
        Problem(str(copy.path), f"the copy can't be read ({why})", "delete it; the others are not touched by it")
        for copy, why in copies
        if isinstance(why, str) and not copy.is_set_aside  # one set aside may be what was damaged
    ]
    with TURN:
        view = view_of(real(book.path))
        try:
            with book.reading() as pages:
                found = _inside(book.path, pages.con)
                why = "" if view is None or found.faults else why_not_writable(view)
                if why:
                    fault = Problem(str(book.path), f"can't be written to any more ({why})", BACK)
                    found = replace(found, faults=(fault,))
        except DamagedLogbook as error:
            found = Examined(faults=(replace(error.problem, place=str(book.path)),))
        finally:
            close_view(view)
    lost = () if found.faults else tuple(_lost(book.path, found.records, copies))
    return replace(found, copies=copies, faults=(*found.faults, *lost, *faults))


def _lost(path: Path, records: Sequence[Record], copies: Sequence[tuple[Copy, Contents | str]]) -> Iterator[Problem]:
    """Runs that a copy of this logbook holds and the file does not, as where an older file was put in its place.

    Those in copies from before the last going back were given up when that was asked; a trial with a run of no arm of
    its own is told of as that.
    """
    mark = own_mark(path)
    given_up = max((copy.number for copy, _ in copies if copy.is_set_aside), default=0)
    there = {(record.trial.name, *run.key) for record in records for run in record.runs if is_made(run)}
    told = {one.trial.name for one in records if any(run.arm not in one.trial.arms for run in one.runs)}
    emptied = {(record.trial.name, one.pair, one.arm) for record in records for one in record.corrections}
    for copy, held in reversed(copies):
        if isinstance(held, str) or copy.number <= given_up or copy.mark != mark:
            continue
        if lost := {run for run in held.made - there - emptied if run[0] not in told}:
            runs = "a run" if len(lost) == 1 else f"{len(lost)} runs"
            of = ", ".join(sorted({trial for trial, _, _ in lost}))
            what = f"lacks {runs} of {of} that copy {copy.number} ({shown_time(copy.kept_at)}) holds"
            step = f"samedirt logbook --restore {copy.number} goes back to that copy, and sets this file aside"
            yield Problem(str(path), f"{what}; an older file may lie in its place", step)
            return


def _inside(path: Path, con: duckdb.DuckDBPyConnection) -> Examined:
    tables, unread = _read(path, con)
    if unread:
        return Examined(faults=(unread,))
    if faults := list(faults_of_shape(con, path)):
        return Examined(faults=tuple(faults))
    faults = list(_strays(path, tables))
    own = {table: by_trial(tables[table], KEYS[table][0]) for table in TABLES}
    records = []
    for name in own["trials"]:
        record, found = _record(f"{path}, {name}", {table: own[table].get(name, []) for table in TABLES})
        faults += found
        records += [record] if record is not None else []
    return Examined(records=tuple(records), faults=tuple(faults))


def _read(path: Path, con: duckdb.DuckDBPyConnection) -> tuple[dict[str, list[Row]], Problem | None]:
    """Read every table to its end."""
    tables: dict[str, list[Row]] = {}
    for table in sorted(tables_in(con)):
        try:
            if table in TABLES:
                tables[table] = rows_of_table(con, table)
            else:
                tables[table] = rows_of(con.execute(f"SELECT * FROM {quoted_name(table)}"))  # noqa: S608 - a name that is there
        except duckdb.Error as error:
            return {}, Problem(f"{path}, table {table}", f"can't be read to its end ({first_line(error)})", BACK)
    return tables, None


def _strays(path: Path, tables: Mapping[str, Sequence[Row]]) -> Iterator[Problem]:
    """Rows that belong to nothing, and rows missing from a list that is numbered."""
    names = {row["name"] for row in tables["trials"]}
    for table in (*TABLES, "verdicts", OWN_COSTS):
        place = f"{path}, table {table}"
        rows = {} if table == "trials" else by_trial(tables[table])
        for name, own in sorted(rows.items()):
            if name not in names:
                yield Problem(place, f"{_so_many(own)} of {name}, a trial that is not there", BACK)
            elif table in NUMBERED and len(own) != max(row["place"] for row in own):
                whole = max(row["place"] for row in own)
                yield Problem(place, f"{_so_many(own)} of {name} where {whole} were stored", BACK)
    keys = {(row["trial"], row["pair"], row["arm"]) for row in tables["runs"]}
    for table in ("size_classes", "corrections"):
        for row in tables[table]:
            key = (row["trial"], row["pair"], row["arm"] or "")
            if row["pair"] is not None and key not in keys and row["trial"] in names:
                spot = f"pair {row['pair']} {row['arm'] or ''}".rstrip()
                yield Problem(
                    f"{path}, table {table}", f"a row of {row['trial']} {spot}, a run that is not there", BACK
                )


def _record(place: str, own: Mapping[str, Sequence[Row]]) -> tuple[Record | None, list[Problem]]:
    """Make the record of one trial, or say which of its rows makes none."""
    try:
        (record,) = records_of(own)
    except NO_RECORD as error:
        found = list(_bad_rows(place, own))
        return None, found or [Problem(f"{place}, corrections", f"can't be read ({_reason(error)})", BACK)]
    return record, []


def _bad_rows(place: str, own: Mapping[str, Sequence[Row]]) -> Iterator[Problem]:
    """The plan that can't be read, or each run that can't."""
    bare: Mapping[str, Sequence[Row]] = {**own, "runs": [], "size_classes": [], "corrections": []}
    try:
        records_of(bare)
    except NO_RECORD as error:
        yield Problem(place, f"can't be read ({_reason(error)})", BACK)
        return
    for row in own["runs"]:
        key = (row["pair"], row["arm"])
        classes = [part for part in own["size_classes"] if (part["pair"], part["arm"]) == key]
        try:
            records_of({**bare, "runs": [row], "size_classes": classes})
        except NO_RECORD as error:
            spot = f"pair {row['pair']} {row['arm']}".rstrip()
            yield Problem(f"{place} {spot}", f"can't be read ({_reason(error)})", BACK)


def _so_many(rows: Sequence[Row]) -> str:
    return "1 row" if len(rows) == 1 else f"{len(rows):,} rows"


def _reason(error: Exception) -> str:
    """What is wrong with a value, short enough to stand in a line of ours."""
    from pydantic import ValidationError

    if isinstance(error, ValidationError):
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        return f"{where}: {first['msg']}" if where else str(first["msg"])
    return first_line(error)


PARTS = """
    SELECT table_name, 'column ' || column_name, data_type || CASE WHEN is_nullable THEN '' ELSE ' NOT NULL' END
    FROM duckdb_columns() WHERE database_name = current_database()
    UNION ALL
    SELECT table_name, 'rule ' || constraint_text, ''
    FROM duckdb_constraints()
    WHERE database_name = current_database() AND constraint_type IN ('CHECK', 'PRIMARY KEY')
"""
Parts = dict[str, dict[str, str]]  # table -> its columns with their types, and its rules


def faults_of_shape(con: duckdb.DuckDBPyConnection, path: Path) -> Iterator[Problem]:
    """What differs from a logbook made anew by this version? Tables of others are passed over."""
    found = _parts(con)
    for table, wanted in _wanted(tuple(known_migrations().values())).items():
        place, there = f"{path}, table {table}", found.get(table)
        if there is None:
            yield Problem(place, "is not there", BACK)
            continue
        for part, kind in wanted.items():
            if part not in there:
                yield Problem(place, f"the {part} is not there", BACK)
            elif there[part] != kind:
                yield Problem(place, f"the {part} is {there[part]}, and must be {kind}", BACK)
        for part in there.keys() - wanted.keys():
            yield Problem(place, f"the {part} does not belong there", BACK)


@cache
def _wanted(migrations: tuple[Path, ...]) -> Parts:  # noqa: ARG001 - the parts are kept for these migrations
    with attached(IN_MEMORY) as anew:
        migrate(anew, list(known_migrations()))
        return _parts(anew)


def _parts(con: duckdb.DuckDBPyConnection) -> Parts:
    parts: Parts = {}
    for table, part, kind in sorted(con.execute(PARTS).fetchall(), key=lambda row: row[0]):
        parts.setdefault(table, {})[part] = kind
    return parts
