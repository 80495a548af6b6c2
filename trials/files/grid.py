"""A table as it was handed in: cells and where each stands, before anything is known of them."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Sort = Literal["text", "number", "date", "time", "true/false", "error", "not calculated"]


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell.

    text: what it shows, no white space at the ends: digits with a point, a date as 2026-05-03
    sort: as what the file keeps it; a text file keeps all as text
    by_formula: whether it is the result of a formula, as it was last calculated
    merged: whether it is only covered by a merged cell, whose value it shows
    """

    text: str
    sort: Sort = "text"
    by_formula: bool = False
    merged: bool = False
    formula: str = ""


BLANK = Cell("")
# Before the # may stand what a spreadsheet made of a byte-order mark.
TRIAL_LINE = re.compile(r".{0,3}#\s*trial\s*:\s*(?P<name>[A-Za-z0-9_-]+)")


@dataclass(frozen=True, slots=True)
class GridRow:
    """One row, and the number by which its program or a text editor knows it."""

    line: int
    cells: tuple[Cell, ...]

    @property
    def is_blank(self) -> bool:
        """Whether nothing stands in it."""
        return not any(cell.text or cell.sort == "not calculated" for cell in self.cells)


@dataclass(frozen=True, slots=True)
class Grid:
    """One sheet of a file, down to the last row with something in it.

    sheet: its name in a workbook; None for a text file, in which columns are counted and not lettered
    splits_at_commas: whether a comma ends a cell, so that one within a cell is in doubt
    trial: the trial named in the file; None where none is
    said: what is odd about it and was taken all the same
    """

    file: str
    rows: tuple[GridRow, ...]
    sheet: str | None = None
    splits_at_commas: bool = False
    trial: str | None = None
    said: tuple[str, ...] = ()

    @property
    def is_text(self) -> bool:
        """Whether it comes from a text file."""
        return self.sheet is None

    @property
    def place(self) -> str:
        """What to call it in problems."""
        return self.file if self.sheet is None else f"{self.file}, sheet {self.sheet}"

    def column(self, index: int) -> str:
        """Name a column by its place.

        >>> Grid("a.csv", ()).column(3), Grid("a.xlsx", (), "runs").column(27)
        ('column 4', 'column AB')
        """
        return f"column {index + 1}" if self.is_text else f"column {letters(index)}"

    def address(self, line: int, index: int) -> str:
        """Name a cell as a spreadsheet does; blank in a text file, which has no addresses.

        >>> Grid("a.xlsx", (), "runs").address(4, 3)
        ' (D4)'
        """
        return "" if self.is_text else f" ({letters(index)}{line})"


def letters(index: int) -> str:
    """Name a column as a spreadsheet does, counted from 0.

    >>> letters(0), letters(25), letters(26)
    ('A', 'Z', 'AA')
    """
    name = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        name = chr(65 + rest) + name
    return name


def in_ranges(numbers: Sequence[int]) -> str:
    """Name rows or lines by their numbers, those in a row together.

    >>> in_ranges([3]), in_ranges([3, 4, 5, 9])
    ('3', '3 to 5, 9')
    """
    parts: list[list[int]] = []
    for number in sorted(set(numbers)):
        if parts and number == parts[-1][-1] + 1:
            parts[-1].append(number)
        else:
            parts.append([number])
    words = [f"{p[0]}" if len(p) == 1 else f"{p[0]} to {p[-1]}" for p in parts]
    return ", ".join(words[:7] + ([f"{len(words) - 7} more"] if len(words) > 7 else []))


def trial_in(rows: Sequence[GridRow]) -> str | None:
    """The trial that a line `# trial: NAME` near the head of a sheet names.

    >>> trial_in((GridRow(1, (Cell("# trial: rough-bed"),)),))
    'rough-bed'
    """
    for row in rows[:10]:
        found = TRIAL_LINE.fullmatch(row.cells[0].text) if row.cells else None
        if found:
            return found["name"]
    return None
