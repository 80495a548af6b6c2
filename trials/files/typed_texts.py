"""What was typed, beside the stored values in one column of `runs.csv`: "fed_g=20.1 lb | minutes=9:12 9:21"."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from trials.files.cell_rules import CellError
from trials.files.cells import take_cell
from trials.files.grid import Cell
from trials.files.number_marks import Marks
from trials.records.columns import Column, column_named
from trials.records.faults import shown_value
from trials.units.clock import read_clocks
from trials.units.columns import column_units
from trials.units.unit_error import UnitError

TYPED = "typed"
_BETWEEN = " | "


def typed_text(typed: Mapping[str, str]) -> str | None:
    """All that was typed for a run, in one cell; None where it is the stored values as they are written."""
    return _BETWEEN.join(f"{name}={text}" for name, text in typed.items()) or None


def typed_of(cell: str, values: Mapping[str, Any]) -> dict[str, str]:
    """What was typed, by column, as far as it still is the value stored; that of a value changed since is let go.

    `values` are by the same names. CellError where a part of the cell names no column.

    >>> typed_of("fed_g=20.1 lb | minutes=9:12 9:21", {"fed_g": 9117.206637, "minutes": 12.0})
    {'fed_g': '20.1 lb'}
    """
    found: dict[str, str] = {}
    for part in cell.split(_BETWEEN.strip()) if cell else ():
        name, equals, text = (one.strip() for one in part.partition("="))
        if not equals:
            says = f"{shown_value(part)} tells no column and what was typed for it"
            raise CellError(f"{says}; write it as fed_g=20.1 lb, or empty the cell")
        if name in values and _reads_as(name, text, values[name]):
            found[name] = text
    return found


def _reads_as(name: str, text: str, value: object) -> bool:
    """Whether a text that was typed still is a value, by whichever sign marks its decimals."""
    try:
        clocks = read_clocks(text) if name in ("minutes", "cleanup_minutes") else None
        if clocks is not None:
            return round(clocks.minutes, 6) == value
        return value in [_value(column_named(name), text, marks) for marks in (Marks(), Marks(comma=True))]
    except (CellError, UnitError):
        return False


def _value(column: Column, text: str, marks: Marks) -> object:
    number, _, ending = text.rpartition(" ")
    if column.kind is not None and ending in column_units(column.kind):
        return take_cell(replace(column, ending=ending), Cell(number), marks).value
    return take_cell(column, Cell(text), marks).value
