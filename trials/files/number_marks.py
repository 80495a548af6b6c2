"""Which sign marks the decimals of a sheet, and what a number written with signs inside is."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from trials.files.cell_rules import CellError
from trials.records.faults import shown_value

GROUPING = "'’\u00a0\u202f\u2009"  # noqa: RUF001 - the signs that spreadsheets put between thousands
COMMAS = "commas read as decimal marks"
_SIGN = r"(?P<sign>[+-]?)"
_ONE_COMMA = re.compile(_SIGN + r"(?P<left>[0-9]*),(?P<right>[0-9]+)")
_ONE_POINT = re.compile(_SIGN + r"(?P<left>[0-9]*)\.(?P<right>[0-9]*)")
_POINT_GROUPS = re.compile(_SIGN + r"[1-9][0-9]{0,2}(?:\.[0-9]{3}){2,}")
_COMMA_GROUPS = re.compile(_SIGN + r"[1-9][0-9]{0,2}(?:,[0-9]{3}){2,}")
_POINTS_THEN_COMMA = re.compile(_SIGN + r"[1-9][0-9]{0,2}(?:\.[0-9]{3})+,[0-9]+")
_COMMAS_THEN_POINT = re.compile(_SIGN + r"[1-9][0-9]{0,2}(?:,[0-9]{3})+\.[0-9]+")
_GROUPS = re.compile(_SIGN + rf"[1-9][0-9]{{0,2}}(?P<mark>[{GROUPING}])[0-9]{{3}}(?:(?P=mark)[0-9]{{3}})*(?P<rest>.*)")


@dataclass(frozen=True, slots=True)
class Marks:
    """What is known of the decimal marks of one sheet.

    splits_at_commas: a comma ends a cell of the file, so that one within a number is in doubt.
    comma, point: a number of the sheet can only be read with this as its decimal mark.
    points_in_doubt: a point may part thousands too, as in a file not split at commas; never in what is typed.
    """

    splits_at_commas: bool = False
    comma: bool = False
    point: bool = False
    points_in_doubt: bool = False


def marks_of(texts: Iterable[str], *, splits_at_commas: bool) -> Marks:
    """Tell the decimal marks of a sheet from its numbers.

    >>> marks_of(["31,5", "1,234"], splits_at_commas=False)
    Marks(splits_at_commas=False, comma=True, point=False, points_in_doubt=True)
    """
    comma = point = False
    for text in texts:
        if found := _ONE_COMMA.match(text):
            comma = comma or not _could_be_thousands(found)
        elif found := _ONE_POINT.match(text):
            point = point or not _could_be_thousands(found)
    return Marks(splits_at_commas, comma and not splits_at_commas, point, points_in_doubt=not splits_at_commas)


def plain_number(text: str, marks: Marks) -> str:
    """Write a number with a point for its decimals and nothing between its thousands.

    `text` is digits with a sign before and marks inside: no unit, exponent or common space. A CellError says that a
    mark could be of decimals or of thousands, or that the marks fit neither.

    >>> german = Marks(comma=True)
    >>> plain_number("31,5", german), plain_number("1.234,5", Marks()), plain_number("1,234", german)
    ('31.5', '1234.5', '1.234')
    >>> plain_number("1,234", Marks())
    Traceback (most recent call last):
    trials.files.cell_rules.CellError: 1,234 could be 1.234 or 1234; write one of these
    """
    if "," not in text and not any(mark in text for mark in GROUPING):
        return _with_points(text, marks)
    if _POINTS_THEN_COMMA.fullmatch(text):
        return text.replace(".", "").replace(",", ".")
    if _COMMAS_THEN_POINT.fullmatch(text) or _COMMA_GROUPS.fullmatch(text):
        return text.replace(",", "")
    if found := _GROUPS.fullmatch(text):
        whole = text[: found.start("rest")].replace(found["mark"], "")
        return plain_number(whole + found["rest"], marks)
    if found := _ONE_COMMA.fullmatch(text):
        return _with_one_comma(text, found, marks)
    raise _several(text)


def _with_points(text: str, marks: Marks) -> str:
    if text.count(".") <= 1:
        found = _ONE_POINT.fullmatch(text)
        in_doubt = marks.comma or (marks.points_in_doubt and not marks.point)
        if found and in_doubt and _could_be_thousands(found):
            raise _in_doubt(text, found)
        return text
    if _POINT_GROUPS.fullmatch(text):
        return text.replace(".", "")
    raise _several(text)


def _several(text: str) -> CellError:
    return CellError(f"{shown_value(text)} is not one number; write its digits alone, with at most one point")


def _with_one_comma(text: str, found: re.Match[str], marks: Marks) -> str:
    if marks.splits_at_commas:
        if not _could_be_thousands(found):
            says = "has a comma, which could mark decimals or thousands, in a file split by commas"
            raise CellError(f"{shown_value(text)} {says}; write {text.replace(',', '.')}")
        raise _in_doubt(text, found)
    if _could_be_thousands(found) and not (marks.comma and not marks.point):
        raise _in_doubt(text, found)
    return text.replace(",", ".")


def _could_be_thousands(found: re.Match[str]) -> bool:
    return len(found["right"]) == 3 and 1 <= len(found["left"]) <= 3 and found["left"][0] != "0"


def _in_doubt(text: str, found: re.Match[str]) -> CellError:
    sign = found["sign"].replace("+", "")
    decimal, thousands = f"{sign}{found['left']}.{found['right']}", f"{sign}{found['left']}{found['right']}"
    return CellError(f"{shown_value(text)} could be {decimal} or {thousands}; write one of these")
