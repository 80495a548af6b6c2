"""Rows as text in columns, for a screen of a width."""

import textwrap
from collections.abc import Sequence
from itertools import zip_longest

NARROWEST_COLUMN = 12
HARD_SPACE = "\u00a0"
"""A space at which no line is broken."""


def table_lines(table: Sequence[Sequence[str]], width: int) -> list[str]:
    """Set rows in columns as wide as they need.

    Where that is over the width the widest columns give way, and their cells run on below, broken between words.

    >>> table_lines([("pair", "bed"), ("1", "painted twice and dried")], 20)
    ['pair  bed', '1     painted twice', '      and dried']
    """
    widths = [max(map(len, column)) for column in zip(*table, strict=True)]
    while sum(widths) + 2 * (len(widths) - 1) > width and max(widths) > NARROWEST_COLUMN:
        widths[widths.index(max(widths))] -= 1
    lines = []
    for row in table:
        cells = [_wrapped(cell, w) for cell, w in zip(row, widths, strict=True)]
        lines += [
            "  ".join(part.ljust(w) for part, w in zip(parts, widths, strict=True)).rstrip()
            for parts in zip_longest(*cells, fillvalue="")
        ]
    return lines


def _wrapped(cell: str, width: int) -> list[str]:
    """The lines of a cell; most fit, and to wrap takes a hundred times as long as to look."""
    return [cell] if len(cell) <= width else textwrap.wrap(cell, max(width, 1), break_on_hyphens=False)


def folded(line: str, width: int) -> str:
    """Break a line between words, the later ones set in by two; a long word stays whole.

    >>> print(folded("mat: is not a folder; name one", 16))
    mat: is not a
      folder; name
      one
    """
    return textwrap.fill(line, width, subsequent_indent="  ", break_on_hyphens=False, break_long_words=False)
