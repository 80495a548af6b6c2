"""`samedirt load`: trial folders, or filled sheets, into the logbook."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from trials.commands.printing import say, say_json, with_progress
from trials.errors import Refused

if TYPE_CHECKING:  # heavy, and needed for their names alone
    from trials.changes.merge_all import Loaded
    from trials.sheets.into_trials import LoadedSheet

LISTED_ONE_BY_ONE = 20


def load(
    paths: Annotated[
        list[Path],
        typer.Argument(
            help="Trial folders, or folders that hold them; or filled sheets (.xlsx, .csv).", show_default=False
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
    book: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Load trial folders (trial.toml and runs.csv), or filled sheets of a trial, into the logbook.

    All problems of all files are listed at once, and nothing is stored then. Loading again adds what is new. A sheet is
    matched by its tags, or by pair and arm; a blank cell changes nothing.

    Example: samedirt load rough-bed, then samedirt load panner.xlsx --trial rough-bed
    """
    from trials.changes.reasons import refuse_no_reason
    from trials.commands.storing import load_sheets, store_all
    from trials.files.folder import read_folders
    from trials.logbook.logbook import Logbook

    if why is not None:
        refuse_no_reason(why)
    files = [path for path in paths if path.is_file()]
    _refuse_mixed(paths, files, for_sheets=bool(trial or sheet or good_rows))
    if files:
        from trials.sheets.spreadsheet_in import Taking

        sheets = load_sheets(Logbook(book), files, trial, sheet, Taking(good_rows, why, as_typed))
        _tell_sheets(book, sheets, as_json=as_json)
        return
    records = read_folders(paths, lambda folders: with_progress(folders, "Reading trial folders"))
    _tell_folders(book, store_all(Logbook(book), records, why, stands=as_typed), as_json=as_json)


def _refuse_mixed(paths: Sequence[Path], files: Sequence[Path], *, for_sheets: bool) -> None:
    if files and len(files) < len(paths):
        other = next(path for path in paths if path not in files)
        raise Refused(f"{files[0]} is a sheet and {other} is not; load folders and sheets in two goes")
    if for_sheets and not files:
        raise Refused(f"--trial, --sheet and --good-rows are for filled sheets, and {paths[0]} is no file")


def _tell_folders(book: Path, done: Sequence[Loaded], *, as_json: bool) -> None:
    from trials.wording.lists import count_of

    if as_json:
        say_json([{"trial": one.name, "new": one.is_new, "done": one.words} for one in done])
        return
    if len(done) <= LISTED_ONE_BY_ONE:
        for one in done:
            say(f"{one.name}: {one.words}.")
    else:
        new, changed = sum(one.is_new for one in done), sum(one.is_changed for one in done)
        as_before = len(done) - new - changed
        say(f"{count_of(len(done), 'trial')}: {new:,} new, {changed:,} changed, {as_before:,} as they were.")
    _say_next(book, [one.name for one in done])


def _say_next(book: Path, names: Sequence[str]) -> None:
    say(f"In {book}. Next: samedirt {'verdict ' + names[0] if len(names) == 1 else 'logbook'}")


def _tell_sheets(book: Path, done: Sequence[LoadedSheet], *, as_json: bool) -> None:
    from trials.wording.lists import count_of

    if as_json:
        say_json(
            [
                {
                    "file": str(one.path),
                    "trial": one.loaded.name,
                    "done": one.loaded.words,
                    "rows": one.loaded.runs,
                    "said": list(one.said),
                    "left": [str(problem) for problem in one.left],
                }
                for one in done
            ]
        )
        return
    for one in done:
        say(f"{one.path} into {one.loaded.name}: {count_of(one.loaded.runs, 'row')} read; {one.loaded.words}.")
        for text in one.said:
            say(f"{text}.", indent=2)
        for problem in one.left:
            say(f"Left out: {problem}", indent=2)
    _say_next(book, list(dict.fromkeys(one.loaded.name for one in done)))
