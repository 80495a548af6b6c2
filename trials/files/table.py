"""The text of a CSV file -> its header and rows, each row with its line number; and back."""

import csv
import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from trials.errors import Problem
from trials.records.faults import shown_value

GUARDED = ("=", "+", "-", "@", "'")


@dataclass(frozen=True, slots=True)
class CsvRow:
    """One row of a table, and the line of the file it ends on."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A header and the rows under it."""

    header: tuple[str, ...]
    rows: tuple[CsvRow, ...]


def read_table(content: bytes, place: str) -> tuple[Table | None, list[Problem]]:
    r"""Read a comma-separated file in UTF-8, passing over rows with nothing in them; None with every problem otherwise.

    >>> table, problems = read_table(b"pair,arm\n1,baseline\n", "runs.csv")
    >>> table.rows[0].line, table.rows[0].cells
    (2, ('1', 'baseline'))
    """
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        return None, [Problem(place, f"byte {error.start} is not UTF-8 text; save the file as CSV UTF-8")]
    if "\x00" in text:
        return None, [Problem(place, "holds a NUL character; save the file as CSV UTF-8")]
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        rows = [CsvRow(reader.line_num, tuple(map(str.strip, cells))) for cells in reader]
    except csv.Error as error:
        return None, [Problem(f"{place} line {reader.line_num}", f"{error}; check the quotes of that line")]
    rows = [row for row in rows if any(row.cells)]
    if not rows:
        return None, [Problem(place, "is empty; the first line names the columns, as pair,arm,turn")]
    header, body = rows[0].cells, rows[1:]
    problems = [*_header_problems(header, place), *_width_problems(header, body, place)]
    return (None, problems) if problems else (Table(header, tuple(body)), [])


def _header_problems(header: tuple[str, ...], place: str) -> Iterator[Problem]:
    if len(header) == 1 and (";" in header[0] or "\t" in header[0]):
        mark = "semicolons" if ";" in header[0] else "tabs"
        yield Problem(f"{place} line 1", f"columns are split by {mark}; save the file as comma-separated CSV")
    for name in sorted({name for name in header if header.count(name) > 1}):
        what = f"column {name!r} stands" if name else "a column without a name stands"
        yield Problem(f"{place} line 1", f"{what} {header.count(name)} times; keep one")


def _width_problems(header: tuple[str, ...], rows: list[CsvRow], place: str) -> Iterator[Problem]:
    for row in rows:
        if len(row.cells) != len(header):
            last = shown_value(row.cells[-1])
            hint = "a comma inside a value needs quotes round it" if len(row.cells) > len(header) else "fill it up"
            yield Problem(
                f"{place} row {row.line}",
                f"{len(row.cells)} values for {len(header)} columns, the last {last!r}; {hint}",
            )


def csv_text(header: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    """Write a table as the text of a comma-separated file."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([header, *rows])
    return out.getvalue()


def guarded(text: str) -> str:
    """Write text so that a spreadsheet takes it as text and runs nothing.

    >>> guarded("=1+1"), guarded("lost a jar"), unguarded(guarded("'tis")) == "'tis"
    ("'=1+1", 'lost a jar', True)
    """
    return f"'{text}" if text.startswith(GUARDED) else text


def unguarded(text: str) -> str:
    """Take back what `guarded` put before a text."""
    return text[1:] if len(text) > 1 and text[0] == "'" and text[1] in GUARDED else text
