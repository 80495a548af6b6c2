"""The strip of the logbook into a file."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from trials.commands.options import refusing_unwritable
from trials.errors import Refused
from trials.logbook.pages import ListedTrial

if TYPE_CHECKING:  # a list without a chart pays for no statistics
    from trials.listing.joint_words import ToldChange


def draw_strip(path: Path, lines: Sequence[ListedTrial], told: Sequence[ToldChange]) -> None:
    """Draw the trials that are listed, the newest first.

    Raises Refused: no trial is listed, or the file can't be written.
    """
    from trials.charts.files import save_chart
    from trials.charts.strip.strip_chart import strip_chart
    from trials.listing.strip import strip_panels, strip_said, strip_title

    if not lines:
        raise Refused("no trial is listed, so there is nothing to draw; samedirt logbook lists all of them")
    title, panels, said = strip_title(lines, told), strip_panels(lines, told), strip_said(told)
    try:
        with refusing_unwritable(path, "name another with --chart"):
            wide = strip_chart(title, panels, said)
            is_page = path.suffix.lower() == ".html"
            save_chart(wide, path, narrow=strip_chart(title, panels, said, narrow=True) if is_page else None)
    except ValueError as error:
        raise Refused(str(error)) from error
