"""`changes.csv`: every correction made since a value was stored."""

import re
from datetime import datetime
from typing import Any

from pydantic import ValidationError

from schemas import Correction
from trials.errors import Problem
from trials.files.table import read_table, unguarded
from trials.records.faults import problems_of, shown_value
from trials.records.keys import CHANGES_FILE

COLUMNS = tuple(Correction.model_fields)


def read_changes(content: bytes, place: str = CHANGES_FILE) -> tuple[tuple[Correction, ...], list[Problem]]:
    r"""Read the bytes of a `changes.csv`.

    >>> line = b"2026-05-09T10:30:00,2,changed,grains,47,74,digits swapped on the sheet\n"
    >>> found, problems = read_changes(b"when,pair,arm,field,old,new,why\n" + line)
    >>> found[0].new, problems
    ('74', [])
    """
    table, problems = read_table(content, place)
    if table is None:
        return (), problems
    unknown = [name for name in table.header if name not in COLUMNS]
    missing = [name for name in COLUMNS if name not in table.header]
    if unknown or missing:
        off = f"unknown: {', '.join(unknown) or 'none'}, missing: {', '.join(missing) or 'none'}"
        says = f"columns are {', '.join(COLUMNS)}; {off}"
        return (), [Problem(f"{place} line 1", says)]
    found = []
    for row in table.rows:
        cells = {name: cell for name, cell in zip(table.header, row.cells, strict=True) if cell}
        try:
            found.append(Correction(**_values(cells)))
        except ValidationError as error:
            problems += problems_of(error, lambda loc, line=row.line: f"{place} row {line}, {loc[0] if loc else ''}")  # type: ignore[misc]
        except ValueError:
            stand = f"{shown_value(cells.get('when', ''))} or {shown_value(cells.get('pair', ''))}"
            says = f"{stand} can't be read; when is a moment as 2026-05-09T10:30, pair a whole number"
            problems.append(Problem(f"{place} row {row.line}", says))
    return tuple(found), problems


def _values(cells: dict[str, str]) -> dict[str, Any]:
    values: dict[str, Any] = {name: unguarded(cell) for name, cell in cells.items()}
    if "when" in values:
        values["when"] = datetime.fromisoformat(values["when"])
    if "pair" in values:
        if not re.fullmatch("[0-9]{1,9}", values["pair"]):
            raise ValueError(values["pair"])
        values["pair"] = int(values["pair"])
    return values
