"""What a person is told beside the work, where nothing is refused: one line on standard error."""

import sys
from datetime import datetime

from trials.errors import one_line


def notice(text: str) -> None:
    """Write one line to standard error, as the program writes its own."""
    sys.stderr.write(f"samedirt: {one_line(text)}\n")


def shown_time(moment: datetime) -> str:
    """Write a moment as a person reads it.

    >>> shown_time(datetime(2026, 5, 3, 14, 12, 59))
    '2026-05-03 14:12'
    """
    return moment.strftime("%Y-%m-%d %H:%M")
