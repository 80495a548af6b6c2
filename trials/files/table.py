"""The text of a CSV file, whatever it is coded in -> its header and rows, each with its line number; and back."""

import csv
import io
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain, islice

from trials.errors import Problem, capped
from trials.records.faults import shown_value

MARKS = (b"\xff\xfe", b"\xfe\xff", b"\x00\x00\xfe\xff")
"""How a file in UTF-16 or UTF-32 begins."""
SIGNS = (",", ";", "\t", "|")
"""What may split columns; a comma before the others."""


def by_its_mark(content: bytes) -> tuple[str, str]:
    """The text of a file that begins with a mark of UTF-16 or UTF-32, and what is said of it; UnicodeDecodeError."""
    coded = "UTF-32" if content.startswith((b"\xff\xfe\x00\x00", b"\x00\x00\xfe\xff")) else "UTF-16"
    return content.decode(coded), f"read as {coded} text"


def told_sign(text: str) -> str | None:
    """The sign that a first line as `sep=;` tells a spreadsheet to split at."""
    first = text[:10].splitlines()[0] if text else ""
    found = re.fullmatch(r'"?sep=(.)"?', first.strip("\r\n"), re.IGNORECASE)
    return found[1] if found else None


def splitting_sign(text: str) -> str:
    """The sign that splits the columns of a text whose first line with something in it names them.

    >>> splitting_sign("pair;arm;gold_mg"), splitting_sign("pair,arm,gold_mg 50/100"), splitting_sign("pair")
    (';', ',', ',')
    """
    first = next((line for line in text.splitlines() if line.strip()), "")
    return max(SIGNS, key=first.count)


MOST_ROWS = 20_000
GUARDED = ("=", "+", "-", "@", "'")
NOTHING = frozenset({"na", "nan", "<na>", "null"})
"""What programs write, in any case, where nothing was measured; "none" and "n/a" could be none found."""
_NEEDS_QUOTES = re.compile('[,;\t|"\r\n]')
# A sign that splits columns elsewhere, and behind it what a spreadsheet would run there.
_FORMULA_BEHIND = re.compile(r"([;\t|]\s*)(?='*(?:[=@]|[+-][A-Za-z(]))")
_GUARDED_BEHIND = re.compile(r"([;\t|]\s*)'(?='*(?:[=@]|[+-][A-Za-z(]))")


@dataclass(frozen=True, slots=True)
class CsvRow:
    """One row of a table, and the line of the file it ends on."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A header and the rows under it; `sign` splits its columns."""

    header: tuple[str, ...]
    rows: tuple[CsvRow, ...]
    sign: str = ","


def read_table(content: bytes, place: str) -> tuple[Table | None, list[Problem]]:
    r"""Read a text file of columns, passing over rows with nothing in them; None with every problem otherwise.

    The bytes are UTF-8, or UTF-16 with its mark; columns are split by commas, semicolons, tabs or upright strokes.

    >>> table, problems = read_table(b"pair,arm\n1,baseline\n", "runs.csv")
    >>> table.rows[0].line, table.rows[0].cells
    (2, ('1', 'baseline'))
    """
    is_marked = content.startswith(MARKS)
    try:
        text = by_its_mark(content)[0] if is_marked else content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        coded = "UTF-16" if is_marked else "UTF-8"
        return None, [Problem(place, f"byte {error.start} is not {coded} text; save the file as CSV UTF-8")]
    if "\x00" in text:
        return None, [Problem(place, "holds a NUL character; save the file as CSV UTF-8")]
    told = told_sign(text)
    sign = told or splitting_sign(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=sign, strict=True)
    rows: list[CsvRow] = []
    try:
        for cells in islice(reader, 1 if told else 0, None):
            row = CsvRow(reader.line_num, tuple(map(str.strip, cells)))
            if any(row.cells):
                rows.append(row)
            if len(rows) > MOST_ROWS:
                says = f"has more than {MOST_ROWS:,} rows; a trial has 5,000 runs at most"
                return None, [Problem(place, says, "is it the right file?")]
    except csv.Error as error:
        return None, [Problem(f"{place} line {reader.line_num}", f"{error}; check the quotes of that line")]
    if not rows:
        return None, [Problem(place, "is empty; the first line names the columns, as pair,arm,turn")]
    header, body = rows[0].cells, rows[1:]
    problems = capped(chain(_header_problems(header, place), _width_problems(header, body, place, sign)))
    return (None, problems) if problems else (Table(header, tuple(body), sign), [])


def _header_problems(header: tuple[str, ...], place: str) -> Iterator[Problem]:
    for name in sorted({name for name in header if header.count(name) > 1}):
        what = f"column {name!r} stands" if name else "a column without a name stands"
        yield Problem(f"{place} line 1", f"{what} {header.count(name)} times; keep one")


def _width_problems(header: tuple[str, ...], rows: list[CsvRow], place: str, sign: str) -> Iterator[Problem]:
    for row in rows:
        if len(row.cells) != len(header):
            last = shown_value(row.cells[-1])
            quotes = "a comma inside a value needs quotes round it" if sign == "," else "take out what is too much"
            hint = quotes if len(row.cells) > len(header) else "fill it up"
            yield Problem(
                f"{place} row {row.line}",
                f"{len(row.cells)} values for {len(header)} columns, the last {last!r}; {hint}",
            )


def csv_text(header: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    """Write a table as the text of a comma-separated file."""
    return "".join(f"{','.join(map(_quoted, cells))}\n" for cells in (header, *rows))


def _quoted(cell: str) -> str:
    """A cell in quotes where any sign that may split columns stands in it."""
    return '"' + cell.replace('"', '""') + '"' if _NEEDS_QUOTES.search(cell) else cell


def guarded(text: str) -> str:
    """Write text so that it is taken as text: no spreadsheet runs it, whichever sign it splits columns at.

    >>> guarded("=1+1"), guarded("lost a jar"), guarded("wet;=A1"), unguarded(guarded("'tis;'=")) == "'tis;'="
    ("'=1+1", 'lost a jar', "wet;'=A1", True)
    >>> guarded("NA")  # a note of those letters, not a blank
    "'NA"
    """
    behind = _FORMULA_BEHIND.sub(r"\1'", text)
    return f"'{behind}" if _needs_guard(text) else behind


def unguarded(text: str) -> str:
    """Take back what `guarded` put before a text, and behind the signs in it."""
    bare = text[1:] if text[:1] == "'" and _needs_guard(text[1:]) else text
    return _GUARDED_BEHIND.sub(r"\1", bare) if "'" in bare else bare


def _needs_guard(text: str) -> bool:
    return text.startswith(GUARDED) or text.casefold() in NOTHING
