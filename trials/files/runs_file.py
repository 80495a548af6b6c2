"""`runs.csv`: one row a run."""

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from schemas import Run, Trial
from trials.errors import Problem
from trials.files.cell_rules import CellError, not_whole, yes_or_no
from trials.files.table import CsvRow, read_table, unguarded
from trials.records.assemble import GROSS_OR_TARE, built, coarse_to_fine, labels_by_field, net_masses, total_up
from trials.records.columns import Column, column_named
from trials.records.faults import shown_value
from trials.records.keys import RUNS_FILE
from trials.units.columns import convert_exact
from trials.units.quantity import UnitError

NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d{1,3})?")
WHOLE = re.compile(r"\d{1,9}")


def read_runs_file(content: bytes, trial: Trial, place: str = RUNS_FILE) -> tuple[tuple[Run, ...], list[Problem]]:
    r"""Read the bytes of a `runs.csv`: the runs of this plan in order of pair and arm, and every problem found.

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
    heading = _heading(columns, trial, place)
    runs: list[Run] = []
    for row in table.rows:
        run, faults = _run(row, heading)
        problems += faults
        if run is not None:
            runs.append(run)
    return tuple(sorted(runs, key=lambda run: run.key)), problems


def _columns(header: Sequence[str], place: str) -> tuple[list[Column | None], list[Problem]]:
    columns: list[Column | None] = []
    problems = []
    for name in header:
        try:
            columns.append(column_named(name))
        except UnitError as error:
            columns.append(None)
            problems.append(Problem(f"{place}, column {shown_value(name)}", str(error)))
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


@dataclass(frozen=True, slots=True)
class _Heading:
    """What holds for every row of a file, worked out once: what each cell is and how it is read.

    baseline: the text of the baseline of a graded trial, by which that may be called too
    """

    readers: Sequence[tuple[Column, Callable[[Column, str], Any], bool] | None]
    labels: Sequence[str]
    by_field: Mapping[str, Sequence[str]]
    names: Mapping[str, str]
    baseline: str | None
    place: str


def _heading(columns: Sequence[Column | None], trial: Trial, place: str) -> _Heading:
    known = [column for column in columns if column is not None]
    return _Heading(
        readers=[None if c is None else (c, _reader(c), not c.in_stored_unit) for c in columns],
        labels=coarse_to_fine(dict.fromkeys(c.label for c in known if c.label is not None), trial),
        by_field=labels_by_field(known),
        names={c.field: c.header for c in known if c.label is None},
        baseline=trial.change.baseline if trial.kind == "graded" and trial.change is not None else None,
        place=place,
    )


def _reader(column: Column) -> Callable[[Column, str], Any]:
    """How the cells of a column are read; the most usual way is the fastest."""
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
        column, read, converted = reading
        try:
            value = read(column, cell)
        except (CellError, UnitError) as error:
            problems.append(Problem(f"{spot}, {column.header}", str(error)))
            continue
        at = values if column.label is None else classes.setdefault(column.label, {})
        if read is _exact:
            numbers[column.field] = value
            value = float(value) + 0.0
        at[column.field] = value
        if converted:
            key = column.field if column.label is None else f"{column.field} {column.label}"
            typed[key] = f"{cell} {column.ending}"
    arm = values.setdefault("arm", "")
    if arm == heading.baseline:
        values["arm"] = "baseline"
    problems += net_masses(values, numbers, spot)
    if problems:
        return None, problems
    if heading.by_field:
        total_up(values, classes, heading.by_field)
        classes = {label: classes[label] for label in heading.labels if label in classes}
    return built(values, typed, classes, heading.names, spot)


def _exact(column: Column, cell: str) -> Decimal:
    """A quantity in its stored unit, with every digit kept."""
    if not NUMBER.fullmatch(cell):
        raise CellError(_not_a_number(cell))
    assert column.kind is not None  # noqa: S101 - asked of quantities alone
    assert column.ending is not None  # noqa: S101 - as above
    return convert_exact(Decimal(cell), column.ending, column.kind)


def _stored(column: Column, cell: str) -> float:
    """A quantity that needs no converting; what a float may hold badly is looked at with every digit."""
    if NUMBER.fullmatch(cell):
        value = float(cell)
        if 0 < value < math.inf:
            return value
    return _number(column, cell)


def _number(column: Column, cell: str) -> float:
    if not NUMBER.fullmatch(cell):
        raise CellError(_not_a_number(cell))
    if column.kind is None:
        return float(cell) + 0.0  # a zero has no sign
    return float(_exact(column, cell)) + 0.0


def _not_a_number(cell: str) -> str:
    if re.fullmatch(r"[+-]?\d{1,3},\d+", cell):
        says = f"{shown_value(cell)} has a comma, which could mark decimals or thousands"
        return f"{says}; write {cell.replace(',', '.')} or leave the comma out"
    return f"{shown_value(cell)} is not a number; write digits with a point, and the unit in the name of the column"


def _whole(cell: str) -> int:
    if not WHOLE.fullmatch(cell):
        raise not_whole(cell)
    return int(cell)


READERS: Mapping[str, Callable[[Column, str], Any]] = {
    "number": _number,
    "whole": lambda _, cell: _whole(cell),
    "yes/no": lambda _, cell: yes_or_no(cell),
    "text": lambda _, cell: unguarded(cell),
}
