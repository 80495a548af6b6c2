"""The bytes of a .csv, .tsv or .txt file -> its table, in every way its columns may be split."""

import csv
import io
import re
from collections.abc import Iterator, Sequence

from trials.errors import Problem, Refused
from trials.files.grid import Cell, Grid, GridRow, trial_in
from trials.files.table import MARKS, by_its_mark, told_sign
from trials.records.faults import shown_value
from trials.sheets.check_sum import checked

DELIMITERS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "upright strokes"}
MOST_ROWS = 20_000
# A letter of more than one byte as UTF-8 writes it: where one is found, the file is no code page of one byte.
UTF8_LETTER = re.compile(rb"[\xc2-\xdf][\x80-\xbf]|[\xe0-\xef][\x80-\xbf]{2}|[\xf0-\xf4][\x80-\xbf]{3}")

CP1252_HOLES = re.compile(rb"[\x81\x8d\x8f\x90\x9d]")


def read_text_grids(content: bytes, place: str) -> list[Grid]:
    r"""Read a text file as a table, once for each sign that splits a line of it and keeps its quotes in order.

    The bytes are UTF-8, UTF-16 or the code page of Western Europe. Refused where there is no table, or the check sum
    round it does not fit.

    >>> grids = read_text_grids(b"tag;gold_mg\r\nHTK;31,5\r\n", "a.csv")
    >>> [[cell.text for cell in row.cells] for row in grids[-1].rows]
    [['tag', 'gold_mg'], ['HTK', '31,5']]
    """
    text, said = _decoded(content)
    if text is None:
        raise Refused([Problem(place, said)])
    text, wrong = checked(text)
    if wrong:
        raise Refused([Problem(place, wrong)])
    told = told_sign(text)
    grids: list[Grid] = []
    problems: list[Problem] = []
    for sign in (told,) if told else DELIMITERS:
        if sign not in text:
            continue
        try:
            rows = tuple(_rows(text, sign, place, skip=1 if told else 0))
            _refuse_swallowed(rows, sign, place)
        except Refused as error:
            problems += error.problems
            continue
        told_of = (f"{place}: {said}",) if said else ()
        grids.append(Grid(place, rows, splits_at_commas=sign == ",", trial=trial_in(rows), said=told_of))
    if grids:
        return grids
    says = "has no commas, semicolons or tabs between columns; save it as CSV UTF-8, one row a run"
    raise Refused(problems or [Problem(place, says)])


def _decoded(content: bytes) -> tuple[str | None, str]:
    """The text and what is to be said of how it was read; or None and why it can't be."""
    try:
        text, said = by_its_mark(content) if content.startswith(MARKS) else (content.decode("utf-8-sig"), "")
    except UnicodeDecodeError as error:
        coded = "UTF-16" if content.startswith(MARKS) else "UTF-8"
        if content.startswith(MARKS) or UTF8_LETTER.search(content) or CP1252_HOLES.search(content):
            return None, f"byte {error.start} is not {coded} text; save the file as CSV UTF-8"
        text, said = content.decode("cp1252"), "not UTF-8, read by the code page of Western Europe (cp1252)"
    return (None, "holds a NUL character; save the file as CSV UTF-8") if "\x00" in text else (text, said)


def _rows(text: str, sign: str, place: str, skip: int) -> Iterator[GridRow]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=sign, strict=True)
    try:
        for index, cells in enumerate(reader):
            if index < skip:
                continue
            if index > MOST_ROWS:
                raise _unsplit(
                    place, reader.line_num, f"has more than {MOST_ROWS:,} rows; a trial has 5,000 runs at most"
                )
            yield GridRow(reader.line_num, tuple(Cell(cell.strip()) for cell in cells))
    except csv.Error as error:
        raise _unsplit(place, reader.line_num, f"{error}; check the quotes of that line") from error


def _unsplit(place: str, line: int, says: str) -> Refused:
    return Refused([Problem(f"{place} line {line}", says)])


def _refuse_swallowed(rows: Sequence[GridRow], sign: str, place: str) -> None:
    """Refuse a cell that holds as much as a whole row: a stray quote made it swallow the rows under it."""
    width = max((len(row.cells) for row in rows), default=0)
    for row in rows:
        for cell in row.cells:
            if ("\n" in cell.text or "\r" in cell.text) and cell.text.count(sign) >= max(2, width - 1):
                says = f"one cell holds {shown_value(cell.text)!r}, as much as a row"
                raise _unsplit(place, row.line, f"{says}; take out the stray quote before it")
