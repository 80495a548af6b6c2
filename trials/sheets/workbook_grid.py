"""The bytes of an .xlsx file -> its sheets. Formulas are never calculated here."""

import io
import re
import warnings
import zipfile
from collections.abc import Iterator
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from trials.errors import Problem, Refused
from trials.files.grid import BLANK, Cell, Grid, GridRow, in_ranges, letters, trial_in
from trials.sheets.workbook import TRIAL_NAME, unescaped, workbook_library

LARGEST = 200_000_000  # bytes, unpacked
MOST_CELLS = 5_000_000
LITERAL = re.compile(r'"([^"]*)"|\\(.)|\[\$([^\]-]*)[^\]]*\]')
BRACKETED = re.compile(r"\[[^\]]*\]")
SPACING = re.compile(r"[_*].")  # as wide as a sign, or filled up with it
EXPONENT = re.compile("E[+-]", re.IGNORECASE)
CURRENCIES = "$€£¥"


def read_workbook_grids(content: bytes, place: str) -> list[Grid]:
    """Read every sheet of an .xlsx or .xlsm with something on it; refused where it can't be read.

    A formula stands for the result that was last calculated; where none is kept, its cell is `not calculated`.
    """
    refused = _no_workbook(content)
    if refused:
        raise Refused([Problem(place, refused)])
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of parts of a workbook that are of no use here
            return _grids(content, place)
    except Refused:
        raise
    except Exception as error:  # a damaged workbook can fail in any part of its reader
        says = "is damaged, or no workbook; open it, save it as .xlsx or CSV, and load that"
        raise Refused([Problem(place, says)]) from error


def _no_workbook(content: bytes) -> str | None:
    """Why the bytes can't be a workbook we read, if so."""
    if content.startswith(b"\xd0\xcf\x11\xe0"):
        return "is an old .xls or has a password; save it as .xlsx without one"
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            parts = packed.infolist()
            names = {part.filename for part in parts}
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError, EOFError):
        return "is not an .xlsx file; save it as .xlsx or CSV UTF-8"
    if "mimetype" in names:
        return "is an OpenDocument sheet; save it as .xlsx or CSV UTF-8"
    if sum(part.file_size for part in parts) > LARGEST or len(parts) > 2000:
        return "unpacks to more than any sheet of runs; is it the right file?"
    return None


def _grids(content: bytes, place: str) -> list[Grid]:
    load = workbook_library(place).load_workbook
    book = load(io.BytesIO(content))
    results = None
    grids: list[Grid] = []
    for sheet in book.worksheets:
        spot = f"{place}, sheet {sheet.title}"
        if sheet.max_row * sheet.max_column > MOST_CELLS:
            far = f"{letters(sheet.max_column - 1)}{sheet.max_row}"
            raise Refused([Problem(spot, f"reaches to {far}; delete the empty rows and columns beyond the table")])
        values = (value for row in sheet.iter_rows(min_row=1, values_only=True) for value in row)
        has_formulas = any(_is_formula(value) for value in values)
        if has_formulas and results is None:
            results = load(io.BytesIO(content), data_only=True)
        rows = _rows(sheet, results[sheet.title] if has_formulas and results is not None else None)
        if rows:
            said = tuple(_said(sheet, rows, spot))
            grids.append(Grid(place, rows, sheet.title, trial=_trial(book) or trial_in(rows), said=said))
    if not grids:
        raise Refused([Problem(place, "is empty; the first row names the columns, as tag, gold_mg")])
    return grids


def _is_formula(value: object) -> bool:
    return (isinstance(value, str) and value.startswith("=")) or hasattr(value, "ref")


def _rows(sheet: Any, results: Any) -> tuple[GridRow, ...]:  # noqa: ANN401 - sheets of a library without types
    covered = _covered(sheet)
    rows = []
    last = 0
    for line, values in enumerate(sheet.iter_rows(min_row=1, values_only=True), start=1):
        cells = []
        for index, value in enumerate(values):
            if value is not None:
                cells.append(_cell(sheet.cell(line, index + 1), results))
            elif (line, index) in covered:
                top, left = covered[line, index]
                shown = _cell(sheet.cell(top, left), results)
                cells.append(Cell(shown.text, shown.sort, shown.by_formula, merged=True))
            else:
                cells.append(BLANK)
        rows.append(GridRow(line, tuple(cells)))
        if not rows[-1].is_blank:
            last = line
    return tuple(rows[:last])


def _covered(sheet: Any) -> dict[tuple[int, int], tuple[int, int]]:  # noqa: ANN401 - as above
    """Each cell that a merged one covers, by row and index of column, with the row and column of that one."""
    return {
        (row, column - 1): (area.min_row, area.min_col)
        for area in sheet.merged_cells.ranges
        if area.size["rows"] * area.size["columns"] <= MOST_CELLS // 100
        for row in range(area.min_row, area.max_row + 1)
        for column in range(area.min_col, area.max_col + 1)
        if (row, column) != (area.min_row, area.min_col)
    }


def _cell(cell: Any, results: Any) -> Cell:  # noqa: ANN401 - as above
    if cell.data_type != "f":
        return _shown(cell)
    formula = str(getattr(cell.value, "text", cell.value) or "=")
    if results is None:
        return Cell("", "not calculated", formula=formula)
    result = results.cell(cell.row, cell.column)
    if result.value is None and result.data_type != "str":  # a text without letters is a result, no value is none
        return Cell("", "not calculated", formula=formula)
    shown = _shown(result)
    return Cell(shown.text, shown.sort, by_formula=True, formula=formula)


def _shown(cell: Any) -> Cell:  # noqa: ANN401 - as above
    value = cell.value
    if isinstance(value, str) or value is None:
        return Cell(unescaped(value or "").strip(), "error" if cell.data_type == "e" else "text")
    if isinstance(value, bool):
        return Cell("true" if value else "false", "true/false")
    if isinstance(value, int | float):
        return Cell(_number(value, str(cell.number_format)), "number")
    if isinstance(value, datetime):
        at = value.time().replace(microsecond=0)
        return Cell(value.date().isoformat() + (f" {at:%H:%M}" if at != time() else ""), "date")
    return Cell(str(value), "date" if isinstance(value, date) else "time")


def _number(value: float, form: str) -> str:
    """A number as its cell shows it, but with every digit: with the unit or the % sign that its format adds."""
    number = Decimal(repr(value))
    form = SPACING.sub("", form.split(";", maxsplit=1)[0])
    plain = BRACKETED.sub("", LITERAL.sub("", form))
    added = "".join("".join(found) for found in LITERAL.findall(form)) + "".join(c for c in plain if c in CURRENCIES)
    if EXPONENT.search(plain):
        return f"{number.normalize():E}"
    if "%" in plain:
        return f"{_digits(number * 100)} %"
    has_unit = any(char.isalpha() or char in CURRENCIES or char in "%°" for char in added)
    return f"{_digits(number)} {added.strip()}" if has_unit else _digits(number)


def _digits(number: Decimal) -> str:
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _said(sheet: Any, rows: tuple[GridRow, ...], spot: str) -> Iterator[str]:  # noqa: ANN401 - as above
    if sheet.sheet_state != "visible":
        yield f"{spot} is hidden; read all the same"
    filled = {row.line for row in rows if not row.is_blank}
    hidden = [line for line, row in sheet.row_dimensions.items() if line in filled and (row.hidden or row.height == 0)]
    if hidden:
        yield f"{spot}: hidden row{'s' if len(hidden) > 1 else ''} {in_ranges(hidden)} read all the same"
    width = max(len(row.cells) for row in rows)
    columns = sorted(
        {
            index - 1
            for column in sheet.column_dimensions.values()
            if column.hidden or column.width == 0
            for index in range(column.min or 1, min(column.max or 1, width) + 1)
            if any(len(row.cells) >= index and row.cells[index - 1].text for row in rows)
        }
    )
    if columns:
        names = ", ".join(letters(index) for index in columns)
        yield f"{spot}: hidden column{'s' if len(columns) > 1 else ''} {names} read all the same"


def _trial(book: Any) -> str | None:  # noqa: ANN401 - as above
    """The trial that the workbook was written for, by the name it carries."""
    name = book.defined_names.get(TRIAL_NAME)
    found = re.fullmatch(r'"([A-Za-z0-9_-]+)"', name.attr_text or "") if name is not None else None
    return found[1] if found else None
