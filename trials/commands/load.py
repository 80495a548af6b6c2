"""`samedirt load`: trial folders, or filled sheets, into the logbook."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from trials.commands.printing import with_progress
from trials.errors import Refused

if TYPE_CHECKING:  # heavy, and needed for its name alone
    from trials.files.folder import Packed


def load(
    paths: Annotated[
        list[Path],
        typer.Argument(
            help="Trial folders, or folders that hold them; our own JSON or Parquet; or filled sheets (.xlsx, .csv).",
            show_default=False,
        ),
    ],
    trial: Annotated[
        str | None, typer.Option("--trial", help="The trial a sheet is of, where it does not say.")
    ] = None,
    sheet: Annotated[str | None, typer.Option("--sheet", help="Which sheet of a workbook.")] = None,
    good_rows: Annotated[
        bool, typer.Option("--good-rows", help="Take the good rows of a sheet, and list those left out.")
    ] = False,
    as_typed: Annotated[bool, typer.Option("--as-typed", help="What is asked about stands as typed.")] = False,
    why: Annotated[str | None, typer.Option("--why", help="The reason that makes changed values corrections.")] = None,
    as_name: Annotated[
        str | None, typer.Option("--as", help="Load a trial under a name of its own.", metavar="NAME")
    ] = None,
    book: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Load trial folders (trial.toml and runs.csv), our own exports, or filled sheets of a trial, into the logbook.

    All problems of all files are listed at once, and nothing is stored then. Loading again adds what is new. A sheet is
    matched by its tags, or by pair and arm; a blank cell changes nothing.

    Example: samedirt load rough-bed, then samedirt load panner.xlsx --trial rough-bed
    """
    from trials.changes.reasons import refuse_no_reason
    from trials.commands.lists.tell_loaded import tell_folders, tell_sheets
    from trials.files.folder import read_folders
    from trials.keeping.storing import load_sheets, sheets_among, store_all
    from trials.logbook.logbook import Logbook
    from trials.logbook.parquet import read_parquet

    if why is not None:
        refuse_no_reason(why)
    files = sheets_among(paths)
    if not files and (trial or sheet or good_rows):
        raise Refused(f"--trial, --sheet and --good-rows are for filled sheets, and {paths[0]} is no file")
    if files:
        from trials.sheets.spreadsheet_in import Taking

        sheets = load_sheets(Logbook(book), files, trial, sheet, Taking(good_rows, why, as_typed), with_progress)
        tell_sheets(book, sheets, as_json=as_json)
        return
    trials = read_folders(paths, lambda folders: with_progress(folders, "Reading trial folders"), read_parquet)
    if as_name is not None:
        trials = _under_a_name(trials, as_name)
    tell_folders(book, store_all(Logbook(book), trials, why, stands=as_typed, shown=with_progress), as_json=as_json)


def _under_a_name(trials: Sequence[Packed], name: str) -> list[Packed]:
    from trials.changes.another import renamed
    from trials.files.folder import packed

    if len(trials) > 1:
        raise Refused(f"--as {name} names one trial, and here are {len(trials)}; load them one by one")
    return [packed(trial.source, renamed(trial.record, name), trial.said) for trial in trials]
