"""`samedirt sheet`: the papers to take to the water; printing them locks the plan."""

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption, NameArgument, refusing_unwritable
from trials.commands.printing import say, say_json
from trials.errors import Refused

if TYPE_CHECKING:  # --help pays for no words
    from collections.abc import Callable

    from schemas import Record


def sheet(
    name: NameArgument,
    spreadsheet: Annotated[
        Path | None,
        typer.Option("--spreadsheet", help="Write a sheet to fill instead: .xlsx or .csv.", show_default=False),
    ] = None,
    phone: Annotated[
        bool, typer.Option("--phone", help="Write a file for a phone instead, to type the runs into with no network.")
    ] = False,
    for_panner: Annotated[
        bool, typer.Option("--for-panner", help="With --spreadsheet or --phone: tags only, and what the panner fills.")
    ] = False,
    to: Annotated[Path | None, typer.Option("--to", help="The folder to write to.", show_default="here")] = None,
    book: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Write creek sheet, panner sheet, tags and sealed key as pages to print. The plan locks at the first printing.

    Example: samedirt sheet rough-bed --to papers, or samedirt sheet rough-bed --phone
    """
    from trials.keeping.stored_plans import lock_printed, record_to_print
    from trials.logbook.logbook import Logbook

    if phone and spreadsheet is not None:
        raise Refused("--phone and --spreadsheet are two ways to fill in the runs; ask for one at a time")
    logbook = Logbook(book)
    record, newly = record_to_print(logbook, name, datetime.now().date())
    written = _write(
        record,
        to,
        spreadsheet,
        phone=phone,
        for_panner=for_panner,
        settle=lambda: lock_printed(logbook, record) if newly else None,
    )
    if as_json:
        say_json({"files": [str(path) for path in written], "locked": str(record.trial.locked)})
        return
    for path in written:
        say(f"Wrote {path}")
    if newly:
        say(f"{name} is locked from today. A later change is an amendment, with its reason.")
    if spreadsheet is not None:
        say(f"Fill it, then: samedirt load {spreadsheet}")
        return
    if phone:
        say("Send it to the phone and open it there in a browser. What it hands over: samedirt load FILE")
        return
    say("Print them; fold and seal the key. The panner gets the panner sheet and tagged jars, and nothing else.")
    say(f"Then run it. Next: samedirt enter {name}")


def _write(
    record: "Record",
    to: Path | None,
    spreadsheet: Path | None,
    *,
    phone: bool,
    for_panner: bool,
    settle: "Callable[[], None]",
) -> list[Path]:
    """Write the papers or the sheet; the lock is stored once they are on the disk, so a kill leaves nothing halfway."""
    if spreadsheet is not None:
        from trials.papers.size_boxes import classes_to_type
        from trials.sheets.spreadsheet_out import write_sheet

        classes = classes_to_type(record.trial)
        return [write_sheet(record, spreadsheet, for_panner=for_panner, classes=classes, settle=settle)]
    from trials.page.creek_file import write_creek_file
    from trials.papers.write import write_papers

    folder = to or Path()
    with refusing_unwritable(folder, "name another with --to"):
        if phone:
            return [write_creek_file(record, folder, for_panner=for_panner, settle=settle)]
        return list(write_papers(record, folder, settle))
