"""The part that reads and writes .xlsx files, which not everyone has installed, and how texts stand in such a file."""

import re
from importlib import import_module
from typing import Any

from trials.errors import Problem, Refused

TRIAL_NAME = "samedirt_trial"
"""The name, within a workbook, of the trial it belongs to."""
ESCAPED = re.compile("_x([0-9A-Fa-f]{4})_")
UNWRITABLE = re.compile("[\ufffe\uffff]")


def workbook_library(path: object) -> Any:  # noqa: ANN401 - a library without types
    """Fetch the library; refused where it is not installed."""
    try:
        return import_module("openpyxl")
    except ImportError as error:
        says = "needs the part that reads and writes .xlsx: pip install 'samedirt[sheets]'; or use a .csv instead"
        raise Refused([Problem(str(path), says)]) from error


def escaped_text(text: str) -> str:
    r"""Write a text as it stands in a workbook, whose readers take `_x000D_` for a character.

    >>> escaped_text("plain"), escaped_text("_x000D_"), unescaped(escaped_text("_x000D_\uffff")) == "_x000D_\uffff"
    ('plain', '_x005F_x000D_', True)
    """
    text = ESCAPED.sub(lambda found: f"_x005F{found[0]}", text)
    return UNWRITABLE.sub(lambda found: f"_x{ord(found[0]):04X}_", text)


def unescaped(text: str) -> str:
    """Take back what `escaped_text`, or a spreadsheet, wrote for a character; halves of a pair stay as they are."""
    return ESCAPED.sub(_character, text)


def _character(found: re.Match[str]) -> str:
    code = int(found[1], 16)
    return found[0] if 0xD800 <= code <= 0xDFFF else chr(code)
