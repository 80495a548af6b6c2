"""One cell of a sheet -> the value that is kept, with what was typed; what can be read in two ways is asked back."""

import re
from decimal import Decimal

from trials.changes.run_row import Taken
from trials.files.cell_rules import YES, CellError, yes_or_no
from trials.files.grid import Cell
from trials.files.number_marks import GROUPING, Marks, plain_number
from trials.files.session_dates import session_of
from trials.files.table import NOTHING, unguarded
from trials.records.columns import Column
from trials.records.faults import shown_value
from trials.units.columns import convert_exact
from trials.units.quantity import Kind, read_exact

TICKED = YES | {"x", "✓", "✔", "☑", "☒"}
ERRORS = ("#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!", "#SPILL!", "#CALC!")
# Columns whose text is checked against names that are known, so that a number among them is no slip unseen.
NAMED = frozenset({"tag", "run", "arm", "fed_lot"})
UNITS_OF_PLAIN = {"rpm": Kind.SPEED, "wetting_drops_10l": Kind.COUNT}
MERGED_TAKEN = frozenset({"pair", "session", "fed_lot", "feeder", "panner"})
_NUMBER = re.compile(rf"(?P<number>[+-]?(?:[0-9]+(?:[.,{GROUPING}][0-9]+)*\.?|[.,][0-9]+))(?P<rest>.*)", re.DOTALL)
_EXPONENT = re.compile(r"[+-]?[0-9.,]+[eE][+-]?[0-9]+")
_SPACED = re.compile(r"(?P<whole>[+-]?[0-9]{1,3}(?: [0-9]{3})+)(?![0-9])")
_THOUSANDS = re.compile(r"[0-9]{1,3}[.,][0-9]{3}")
_CLOCK = re.compile(r"[0-9]{1,2}:[0-9]{2}(:[0-9]{2})?")
# The months as the spreadsheets of some countries shorten them, to know a date made of what was typed.
_MONTH = (
    "(?:jan|ene|gen|feb|fev|fév|mar|mär|mrz|apr|abr|avr|may|mai|mag|jun|giu|jui|jul|lug|aug|ago|aoû|sep|set|oct|okt|ott"
    "|nov|dec|dez|déc|dic)[a-zéûä]*"
)
_DAY = re.compile(
    r"[0-9]{1,4}[-/.][0-9]{1,2}[-/.][0-9]{1,4}|"
    rf"[0-9]{{1,2}}[-. ]+{_MONTH}\.?(?:[- ]?[0-9]{{2,4}})?|{_MONTH}\.?[- ][0-9]{{2,4}}",
    re.IGNORECASE,
)


def is_blank(column: Column, text: str) -> bool:
    """Whether a cell says that nothing was measured: empty, or one of the words that programs write there.

    >>> from trials.records.headings import heading
    >>> is_blank(heading("grains"), "NaN"), is_blank(heading("grains"), "0"), is_blank(heading("tag"), "NA")
    (True, False, False)
    """
    return not text or (text.casefold() in NOTHING and column.field not in ("tag", "run", "arm"))


def take_cell(column: Column, cell: Cell, marks: Marks) -> Taken:
    """Read one cell that is not blank; a CellError or UnitError says why it can't be taken, or is in doubt.

    >>> from trials.records.headings import heading
    >>> take_cell(heading("gold"), Cell("0.031 g"), Marks())
    Taken(value=31.0, typed='0.031 g', exact=Decimal('31'))
    >>> take_cell(heading("Stripped?"), Cell("x"), Marks()).value
    True
    """
    _refuse_no_value(column, cell)
    match column.sort:
        case "number":
            return _number(column, cell, marks)
        case "whole":
            return _whole(cell, marks)
        case "yes/no":
            return Taken(yes_or_no(cell.text, TICKED))
        case _:
            return _text(column, cell)


def _refuse_no_value(column: Column, cell: Cell) -> None:
    if cell.sort == "not calculated":
        says = f"holds the formula {shown_value(cell.formula)!r}, and no result is kept with it"
        raise CellError(f"{says}; open and save the file in a spreadsheet, or type the value")
    if cell.sort == "error" or cell.text.upper() in ERRORS:
        raise CellError(f"shows the error {shown_value(cell.text)}; type the value")
    if cell.merged and column.field not in MERGED_TAKEN:
        raise CellError(
            f"{shown_value(cell.text)} is merged over several cells; unmerge them and write each run its own value"
        )
    is_told_as_day = column.field == "session" and cell.sort == "date"
    if cell.sort in ("date", "time") and not is_told_as_day:
        what = "a date" if cell.sort == "date" else "a clock time"
        says = f"holds {what}, {cell.text}, which a spreadsheet may have made of what was typed"
        raise CellError(f"{says}; set the cell to {'text' if column.sort == 'text' else 'number'} and type it again")
    if column.sort != "text" and cell.sort == "text" and cell.text.startswith("=") and not cell.by_formula:
        raise CellError(f"{shown_value(cell.text)} is a formula, and a text file keeps no results; type the value")


def _number(column: Column, cell: Cell, marks: Marks) -> Taken:
    text = cell.text.replace("−", "-").replace("⁄", "/")  # noqa: RUF001 - the minus and fraction signs of typesetting
    number, rest = _parted(text, cell, marks)
    kind = column.kind or UNITS_OF_PLAIN.get(column.field)
    if rest:
        if kind is None:
            raise CellError(_not_a_number(text))
        exact = read_exact(f"{number}{rest}", kind)
    elif column.kind is None:
        exact = Decimal(number)
    elif column.ending is None:
        exact = read_exact(number, column.kind)  # asks for the unit
    else:
        exact = convert_exact(Decimal(number), column.ending, column.kind)
    as_kept = not rest and column.in_stored_unit and number == cell.text
    unit = "" if rest or column.ending is None or column.kind is None else f" {column.ending}"
    return Taken(float(exact) + 0.0, None if as_kept else f"{cell.text}{unit}", exact)


def _parted(text: str, cell: Cell, marks: Marks) -> tuple[str, str]:
    """The number at the head of a text, plainly written, and what follows it."""
    if _EXPONENT.match(text):
        says = "is written with an exponent, which a spreadsheet may have made of something else"
        raise CellError(f"{shown_value(text)} {says}; write all digits")
    if found := _SPACED.match(text):
        joined = found["whole"].replace(" ", "")
        raise CellError(f"{shown_value(text)} could be {joined} or several numbers; write {joined}, or one of them")
    found = None if _CLOCK.match(text) or _DAY.fullmatch(text) else _NUMBER.fullmatch(text)
    if found is None:
        raise CellError(_not_a_number(text))
    number, rest = found["number"], found["rest"]
    if rest[:1] in ("/", "-", "½", "¼", "¾"):
        return number, rest  # a fraction, or no single number: told by whoever reads quantities
    return (number if cell.sort == "number" else plain_number(number, marks)), rest.rstrip()


def _not_a_number(text: str) -> str:
    says = f"{shown_value(text)} is not a number"
    if _CLOCK.fullmatch(text):
        return f"{shown_value(text)} could be minutes and seconds, or hours and minutes; write minutes, as 9.5"
    if _DAY.fullmatch(text):
        return f"{says}; a spreadsheet may have made a date of it; type the number again"
    if text in ('"', "''", "〃", "do", "do."):
        return f"{says}; write the value itself in every row"
    return f"{says}; write digits with a point. Leave it blank if it was not measured; 0 is looked and found none"


def _whole(cell: Cell, marks: Marks) -> Taken:
    if cell.sort == "text" and _THOUSANDS.fullmatch(cell.text):
        raise CellError(f"{shown_value(cell.text)} could be thousands or decimals; write a whole number, digits only")
    number, rest = _parted(cell.text, cell, marks)
    if rest or len(number) > 20 or Decimal(number) % 1 != 0 or Decimal(number) < 0:
        raise CellError(f"{shown_value(cell.text)} is not a whole number; write digits only, as 31")
    return Taken(int(Decimal(number)), None if number == cell.text else cell.text)


def _text(column: Column, cell: Cell) -> Taken:
    if cell.sort in ("number", "true/false") and column.field not in NAMED:
        says = f"{shown_value(cell.text)} is kept as {'a number' if cell.sort == 'number' else 'a yes or no'}"
        hint = "set the cell to text and type it again, so that nothing that was typed is lost"
        raise CellError(f"{says} in a column of text; {hint}")
    text = unguarded(cell.text)
    if column.field != "session":
        return Taken(text)
    session = session_of(text)
    return Taken(session, None if session == text else text)
