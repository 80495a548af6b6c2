"""A filled sheet read in one go, whatever is wrong with it told as problems."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from schemas import Run, Trial
from trials.errors import Refused
from trials.sheets.spreadsheet_in import SheetRuns, Taking, open_sheet, runs_of_sheet


def read_sheet(
    path: Path, trial: Trial, known: Sequence[Run], *, sheet: str | None = None, correcting: bool = False, **how: Any
) -> SheetRuns:
    """Open a sheet and read its rows as runs of a trial."""
    try:
        opened = open_sheet(path, sheet)
    except Refused as error:
        return SheetRuns(problems=error.problems)
    return runs_of_sheet(opened, trial, known, Taking(why="a reason" if correcting else None, **how))
