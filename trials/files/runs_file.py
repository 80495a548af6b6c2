"""`runs.csv`: one row a run."""

import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from itertools import chain
from typing import Any

from schemas import Run, Trial
from trials.errors import Problem, capped
from trials.files.cell_rules import NO, YES, CellError, arm_named
from trials.files.cells import is_blank, take_cell
from trials.files.grid import Cell
from trials.files.number_marks import COMMAS, Marks, marks_of
from trials.files.table import CsvRow, Table, read_table, unguarded
from trials.files.typed_texts import TYPED, typed_of
from trials.records.assemble import GROSS_OR_TARE, built, coarse_to_fine, labels_by_field, net_masses, total_up
from trials.records.columns import KNOWN_COLUMNS, LIKE_NONE, Column, column_named
from trials.records.faults import shown_value
from trials.records.headings import name_meant
from trials.records.keys import RUNS_FILE
from trials.units.columns import convert_exact
from trials.units.quantity import UnitError

NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d{1,3})?")
WHOLE = re.compile(r"\d{1,9}")


def read_runs_file(
    content: bytes, trial: Trial, place: str = RUNS_FILE, said: Callable[[str], None] = lambda _: None
) -> tuple[tuple[Run, ...], list[Problem]]:
    r"""Read the bytes of a `runs.csv`: the runs of this plan in order of pair and arm, and every problem found.

    `said` is called with what was taken in a way that is to be known.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"))
    >>> runs, problems = read_runs_file(b"pair,arm,gold_g\n1,baseline,0.0312\n1,repeat,-2\n", trial)
    >>> runs[0].gold_mg, runs[0].typed
    (31.2, {'gold_mg': '0.0312 g'})
    >>> print(problems[0])
    runs.csv row 3, gold_g: -2 g is under 0 mg; check the value and its unit
    """
    table, problems = read_table(content, place)
    if table is None:
        return (), problems
    columns, problems = _columns(table.header, place)
    heading = _heading(columns, trial, table, place)
    if heading.marks.comma:
        said(f"{place}: {COMMAS}")
    runs: list[Run] = []

    def faults_of_rows() -> Iterator[Problem]:
        for row in table.rows:
            run, faults = _run(row, heading)
            yield from faults
            if run is not None:
                runs.append(run)

    problems = capped(chain(problems, faults_of_rows()))
    return tuple(sorted(runs, key=lambda run: run.key)), problems


def _columns(header: Sequence[str], place: str) -> tuple[list[Column | None], list[Problem]]:
    columns: list[Column | None] = []
    problems = []
    for name in header:
        try:
            columns.append(Column(TYPED, TYPED, "text") if name == TYPED else column_named(name))
        except UnitError as error:
            columns.append(None)
            meant = name_meant(name)
            code = "" if meant else error.code
            problems.append(Problem(f"{place}, column {shown_value(name)}", meant or str(error), code=code))
    if any(problem.code == LIKE_NONE for problem in problems):
        problems.insert(0, Problem(f"{place} line 1", KNOWN_COLUMNS))
    known = [column for column in columns if column is not None]
    lacking = [field for field in ("pair", "arm") if all(column.field != field for column in known)]
    says = "is missing; every run needs its pair and its arm"
    problems += [Problem(f"{place}, column {field}", says) for field in lacking]
    problems += said_twice(known, place)
    return columns, problems


def said_twice(columns: Sequence[Column], place: str) -> list[Problem]:
    """The columns of a table that hold what another holds already."""
    seen: dict[tuple[str, str | None], str] = {}
    problems = []
    for column in columns:
        other = seen.setdefault((column.field, column.label), column.header)
        if other != column.header:
            problems.append(Problem(f"{place}, column {column.header}", f"says the same as {other}; keep one"))
    return problems


_Reading = tuple[Column, Callable[[Column, str], Any] | None, bool]
"""A column, how its plain cells are read, and whether they are in another unit than the stored one."""


@dataclass(frozen=True, slots=True)
class _Heading:
    """What holds for every row of a file, worked out once: what each cell is and how it is read.

    arm_of: what arm a cell names, by the arms of the trial or its own words for them
    marks: what is known of the decimal marks of the file
    """

    readers: Sequence[_Reading | None]
    labels: Sequence[str]
    by_field: Mapping[str, Sequence[str]]
    names: Mapping[str, str]
    arm_of: Callable[[str], str]
    marks: Marks
    place: str


def _heading(columns: Sequence[Column | None], trial: Trial, table: Table, place: str) -> _Heading:
    known = [column for column in columns if column is not None]
    return _Heading(
        readers=[None if c is None else (c, _reader(c, table.sign), not c.in_stored_unit) for c in columns],
        labels=coarse_to_fine(dict.fromkeys(c.label for c in known if c.label is not None), trial),
        by_field=labels_by_field(known),
        names={c.field: c.header for c in known if c.label is None},
        arm_of=cache(lambda text: arm_named(text, trial)),
        marks=_marks(columns, table),
        place=place,
    )


def _marks(columns: Sequence[Column | None], table: Table) -> Marks:
    if table.sign == ",":
        return Marks(splits_at_commas=True)
    numbers = [at for at, column in enumerate(columns) if column is not None and column.sort == "number"]
    return marks_of((row.cells[at] for row in table.rows for at in numbers), splits_at_commas=False)


def _reader(column: Column, sign: str) -> Callable[[Column, str], Any] | None:
    """How plain cells of a column are read, the most usual way the fastest; None where a point may part thousands."""
    if column.sort == "number" and sign != ",":
        return None
    if column.field in GROSS_OR_TARE:
        return _exact
    return _stored if column.kind is not None and column.in_stored_unit else READERS[column.sort]


def _run(row: CsvRow, heading: _Heading) -> tuple[Run | None, Sequence[Problem]]:
    spot = f"{heading.place} row {row.line}"
    values: dict[str, Any] = {}
    typed: dict[str, str] = {}
    classes: dict[str, dict[str, Any]] = {}
    numbers: dict[str, Decimal] = {}
    problems: list[Problem] = []
    for reading, cell in zip(heading.readers, row.cells, strict=True):
        if reading is None or not cell:
            continue
        column = reading[0]
        try:
            value, text = _value(cell, reading, heading.marks)
        except (CellError, UnitError) as error:
            problems.append(Problem(f"{spot}, {column.header}", str(error)))
            continue
        if value is None:
            continue
        at = values if column.label is None else classes.setdefault(column.label, {})
        if column.field in GROSS_OR_TARE:
            numbers[column.field] = value
            value = float(value) + 0.0
        at[column.field] = value
        if text is not None:
            typed[column.field if column.label is None else f"{column.field} {column.label}"] = text
    with suppress(CellError):  # what is no arm is told with all that must hold between the runs
        values["arm"] = heading.arm_of(values.setdefault("arm", ""))
    problems += net_masses(values, numbers, spot)
    try:
        typed = {**typed_of(values.pop(TYPED, ""), _by_name(values, classes)), **typed}
    except CellError as error:
        problems.append(Problem(f"{spot}, {TYPED}", str(error)))
    if problems:
        return None, problems
    if heading.by_field:
        total_up(values, classes, heading.by_field)
        classes = {label: classes[label] for label in heading.labels if label in classes}
    return built(values, typed, classes, heading.names, spot)


def _value(cell: str, reading: _Reading, marks: Marks) -> tuple[Any, str | None]:
    """What a cell holds, None where nothing was measured; and what was typed, where it reads otherwise."""
    column, read, converted = reading
    value = None if read is None else read(column, cell)
    if value is not None:
        return value, f"{cell} {column.ending}" if converted else None
    if is_blank(column, cell):
        return None, None
    taken = take_cell(column, Cell(cell), marks)
    return (taken.exact if column.field in GROSS_OR_TARE else taken.value), taken.typed


def _by_name(values: Mapping[str, Any], classes: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    by_class = {f"{field} {label}": value for label, found in classes.items() for field, value in found.items()}
    return {**values, **by_class}


# Readers of plain cells: None where a cell is not plain, so that it is read as a cell of a sheet is.


def _exact(column: Column, cell: str) -> Decimal | None:
    """A quantity in its stored unit, with every digit kept."""
    if not NUMBER.fullmatch(cell):
        return None
    assert column.kind is not None  # noqa: S101 - asked of quantities alone
    assert column.ending is not None  # noqa: S101 - as above
    return convert_exact(Decimal(cell), column.ending, column.kind)


def _stored(column: Column, cell: str) -> float | None:
    """A quantity that needs no converting; what a float may hold badly is looked at with every digit."""
    if NUMBER.fullmatch(cell):
        value = float(cell)
        if 0 < value < math.inf:
            return value
    return _number(column, cell)


def _number(column: Column, cell: str) -> float | None:
    if not NUMBER.fullmatch(cell):
        return None
    if column.kind is None:
        return float(cell) + 0.0  # a zero has no sign
    exact = _exact(column, cell)
    return None if exact is None else float(exact) + 0.0


def _yes_or_no(cell: str) -> bool | None:
    word = cell.casefold()
    return word in YES if word in YES or word in NO else None


def _words(column: Column, cell: str) -> str | None:
    return None if column.field == "session" or is_blank(column, cell) else unguarded(cell)


READERS: Mapping[str, Callable[[Column, str], Any]] = {
    "number": _number,
    "whole": lambda _, cell: int(cell) if WHOLE.fullmatch(cell) else None,
    "yes/no": lambda _, cell: _yes_or_no(cell),
    "text": _words,
}
