"""The bytes of a text file -> its text, and the sign that splits its columns."""

import re

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
