"""`runs.csv`: one row a run."""

import re
from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any

from pydantic import ValidationError

from schemas import Run, SizeCatch, Trial
from schemas.run import COUNTED, WEIGHED
from trials.entry.columns import BY_CLASS, MEASURED, Column, column_named
from trials.entry.faults import problems_of, shown
from trials.entry.table import Row, read_table, unguarded
from trials.errors import Problem
from trials.units.columns import convert_exact
from trials.units.quantity import UnitError
from trials.units.sieves import coarse_first, read_size_class

FILE = "runs.csv"
NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d{1,3})?")
YES = frozenset({"yes", "y", "true"})
NO = frozenset({"no", "n", "false"})
NET_FACTOR = {"gold": 1000, "tails_gold": 1000, "black_sand": 1, "concentrate": 1}
NET_FIELD = {
    "gold": "gold_mg",
    "tails_gold": "tails_gold_mg",
    "black_sand": "black_sand_g",
    "concentrate": "concentrate_g",
}
NEEDED = ("pair", "arm")
UNITS = {field: kind.stored.name for field, (_, kind) in MEASURED.items()}


class CellError(ValueError):
    """A cell can't be taken as it is; the text says why and what to write."""


def read_runs(content: bytes, trial: Trial, place: str = FILE) -> tuple[tuple[Run, ...], list[Problem]]:
    r"""Read the bytes of a `runs.csv`.

    Parameters
    ----------
    content
        The whole file.
    trial
        The plan the runs belong to; its arms are the ones known.
    place
        What to call the file in problems.

    Returns
    -------
    tuple
        The runs in order of pair and arm, and every problem found.

    Examples
    --------
    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),),
    ...               gear=Gear(kind="sluice"))
    >>> runs, problems = read_runs(b"pair,arm,gold_g\n1,baseline,0.0312\n1,repeat,-2\n", trial)
    >>> runs[0].gold_mg, runs[0].typed
    (31.2, {'gold_mg': '0.0312 g'})
    >>> print(problems[0])
    runs.csv row 3, gold_g: -2 g is under 0 mg; check the value and its unit
    """
    table, problems = read_table(content, place)
    if table is None:
        return (), problems
    columns, problems = _columns(table.header, place)
    labels = _coarse_first(columns, trial)
    runs: list[Run] = []
    for row in table.rows:
        run, faults = _run(row, columns, labels, trial, place)
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
            problems.append(Problem(f"{place}, column {shown(name)}", str(error)))
    known = [column for column in columns if column is not None]
    problems += [
        Problem(f"{place}, column {field}", "is missing; every run needs its pair and its arm")
        for field in NEEDED
        if not any(column.field == field for column in known)
    ]
    seen: dict[tuple[str, str | None], str] = {}
    for column in known:
        other = seen.setdefault((column.field, column.label), column.header)
        if other != column.header:
            problems.append(Problem(f"{place}, column {column.header}", f"says the same as {other}; keep one"))
    return columns, problems


def _coarse_first(columns: Sequence[Column | None], trial: Trial) -> list[str]:
    """The size classes of the file, coarse to fine; as they stand where one can't be read."""
    labels = list(dict.fromkeys(c.label for c in columns if c is not None and c.label is not None))
    try:
        read = [read_size_class(label, trial.sizes.series) for label in labels]
    except UnitError:
        return labels
    return [labels[i] for i in sorted(range(len(labels)), key=lambda i: coarse_first(read[i]))]


def _run(
    row: Row, columns: Sequence[Column | None], labels: Sequence[str], trial: Trial, place: str
) -> tuple[Run | None, list[Problem]]:
    spot = f"{place} row {row.line}"
    values: dict[str, Any] = {}
    typed: dict[str, str] = {}
    classes: dict[str, dict[str, Any]] = {}
    numbers: dict[str, Decimal] = {}
    problems: list[Problem] = []
    for column, cell in zip(columns, row.cells, strict=True):
        if column is None or not cell:
            continue
        try:
            value = READERS[column.sort](column, cell, numbers)
        except (CellError, UnitError) as error:
            problems.append(Problem(f"{spot}, {column.header}", str(error)))
            continue
        if column.label is not None:
            classes.setdefault(column.label, {})[column.field] = value
        else:
            values[column.field] = value
        if not column.in_stored_unit:
            key = column.field if column.label is None else f"{column.field} {column.label}"
            typed[key] = f"{cell} {column.ending}"
    values["arm"] = _arm(values.get("arm", ""), trial)
    problems += _net_masses(values, numbers, spot)
    if problems:
        return None, problems
    _total_up(values, classes, [column for column in columns if column is not None])
    classes = {label: classes[label] for label in labels if label in classes}
    return _built(values, typed, classes, {c.field: c.header for c in columns if c and c.label is None}, spot)


def _built(
    values: dict[str, Any],
    typed: dict[str, str],
    classes: Mapping[str, dict[str, Any]],
    headers: Mapping[str, str],
    spot: str,
) -> tuple[Run | None, list[Problem]]:
    parts: list[SizeCatch] = []
    problems: list[Problem] = []
    for label, found in classes.items():
        try:
            parts.append(SizeCatch(label=label, **found))
        except ValidationError as error:
            class_typed = {field: typed[key] for field in found if (key := f"{field} {label}") in typed}
            problems += problems_of(
                error,
                lambda loc, label=label: f"{spot}, {loc[0] if loc else 'class'} {label}",  # type: ignore[misc]
                class_typed,
                UNITS,
            )
    try:
        run = Run(**values, classes=tuple(parts), typed=typed)
    except ValidationError as error:
        problems += problems_of(
            error, lambda loc: f"{spot}, {headers.get(str(loc[0]), loc[0])}" if loc else spot, typed, UNITS
        )
        return None, problems
    return (None, problems) if problems else (run, [])


def _arm(text: str, trial: Trial) -> str:
    """The baseline of a graded trial may be called by its own text."""
    is_its_text = trial.kind == "graded" and trial.change is not None and text == trial.change.baseline
    return "baseline" if is_its_text else text


def _total_up(values: dict[str, Any], classes: Mapping[str, Mapping[str, Any]], columns: Sequence[Column]) -> None:
    """Where only classes were measured, the total is their sum; unknown if one is blank."""
    for field in BY_CLASS:
        labels = [column.label for column in columns if column.field == field and column.label is not None]
        found = [classes.get(label, {}).get(field) for label in labels]
        if values.get(field) is None and found and None not in found:
            values[field] = sum(found) if field in COUNTED else float(sum(Decimal(repr(value)) for value in found))


def _net_masses(values: dict[str, Any], numbers: Mapping[str, Decimal], spot: str) -> list[Problem]:
    """Gross less tare, where both were weighed; what is wrong with them otherwise."""
    problems = []
    tag = f" ({values['tag']})" if "tag" in values else ""
    for base in WEIGHED:
        gross, tare = (numbers.get(f"{base}_{side}_g") for side in ("gross", "tare"))
        field = NET_FIELD[base]
        if (gross is None) != (tare is None):
            has, lacks = ("gross", "tare") if tare is None else ("tare", "gross")
            says = f"{base} has a {has} mass and no {lacks}; write both, or {field} alone"
            problems.append(Problem(f"{spot}{tag}", says))
        elif gross is not None and tare is not None:
            problems += _net_mass(values, base, gross, tare, f"{spot}{tag}")
    return problems


def _net_mass(values: dict[str, Any], base: str, gross: Decimal, tare: Decimal, spot: str) -> list[Problem]:
    field = NET_FIELD[base]
    if gross < tare:
        return [Problem(spot, f"{base} gross {gross} is under tare {tare}; swapped?")]
    net = float((gross - tare) * NET_FACTOR[base])
    given = values.get(field)
    if given is None:
        values[field] = net
    elif abs(given - net) > 1e-9 * max(given, net):
        return [Problem(spot, f"{field} {given:g} is not gross less tare, {net:g}; leave one of them out")]
    return []


def _number(column: Column, cell: str, numbers: dict[str, Decimal]) -> float:
    if not NUMBER.fullmatch(cell):
        raise CellError(_not_a_number(cell))
    try:
        number = Decimal(cell)
    except InvalidOperation as error:  # pragma: no cover - the pattern lets none through
        raise CellError(_not_a_number(cell)) from error
    if column.kind is None or column.ending is None:
        return float(number) + 0.0  # a zero has no sign
    exact = convert_exact(number, column.ending, column.kind)
    if column.label is None:
        numbers[column.field] = exact
    return float(exact) + 0.0


def _not_a_number(cell: str) -> str:
    if re.fullmatch(r"[+-]?\d{1,3},\d+", cell):
        says = f"{shown(cell)} has a comma, which could mark decimals or thousands"
        return f"{says}; write {cell.replace(',', '.')} or leave the comma out"
    return f"{shown(cell)} is not a number; write digits with a point, and the unit in the name of the column"


def _whole(column: Column, cell: str, numbers: dict[str, Decimal]) -> int:  # noqa: ARG001 - all readers are called alike
    if not re.fullmatch(r"\d{1,9}", cell):
        raise CellError(f"{shown(cell)} is not a whole number; write digits only, as 31")
    return int(cell)


def _yes_no(column: Column, cell: str, numbers: dict[str, Decimal]) -> bool:  # noqa: ARG001 - all readers are called alike
    word = cell.lower()
    if word not in YES | NO:
        raise CellError(f"{shown(cell)} is neither yes nor no; write one of them, or leave it blank")
    return word in YES


def _text(column: Column, cell: str, numbers: dict[str, Decimal]) -> str:  # noqa: ARG001 - all readers are called alike
    return unguarded(cell)


READERS: Mapping[str, Callable[[Column, str, dict[str, Decimal]], Any]] = {
    "number": _number,
    "whole": _whole,
    "yes/no": _yes_no,
    "text": _text,
}
