"""`samedirt logbook`: every change tried, with its word; what became of one trial; and the safekeeping of the file."""

from pathlib import Path
from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from trials.commands.printing import say, say_json
from trials.errors import Refused, one_line
from trials.listing.choose import Sort, Wanted

WHICH = "With --history: name of the trial. With --restore: number of a copy, newest, or a folder of exported trials."


def logbook(
    name: Annotated[str | None, typer.Argument(help=WHICH, show_default=False)] = None,
    history: Annotated[
        bool, typer.Option("--history", help="What was amended, corrected, struck and attached, by time.")
    ] = False,
    check: Annotated[bool, typer.Option("--check", help="Look whether the file is whole; exit code 1 if not.")] = False,
    restore: Annotated[bool, typer.Option("--restore", help="List the copies kept of the file, or go back.")] = False,
    yes: Annotated[bool, typer.Option("--yes", help="With --restore: go back without asking.")] = False,
    since: Annotated[str | None, typer.Option(help="List those run on that day or later.", show_default=False)] = None,
    gear: Annotated[str | None, typer.Option(help="List those on that gear: sluice.", show_default=False)] = None,
    change: Annotated[
        str | None, typer.Option(help="List those of that change: texture, or 180 grit.", show_default=False)
    ] = None,
    measure: Annotated[str | None, typer.Option(help="List those of that measure.", show_default=False)] = None,
    sort: Annotated[Sort, typer.Option(help="By the last day run, or by the gain.")] = Sort.DATE,
    as_csv: Annotated[bool, typer.Option("--csv", help="Print the list as CSV, with all its numbers.")] = False,
    chart: Annotated[
        Path | None, typer.Option(help="Draw the list as a strip: .html, .svg or .png.", show_default=False)
    ] = None,
    book: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """List every trial on a line, the last day run first; or with NAME --history what became of one.

    Gain with limits, black sand against baseline, minutes of cleaning up more, the last word, and what you decided
    (samedirt decide). Only --since, --gear, --change and --measure leave any out: unsettled, void and worse ones stand
    beside the better. Of a --change that was tried on several lots it says what it comes to over all of them.

    Copies of the file are kept from the first change on. --check reads it and its copies to their end. --restore lists
    the copies; with a number it goes back to one, and with a folder of exported trials it makes the logbook anew. It
    says first what would be dropped. The file before that is set aside, never deleted.

    Example: samedirt logbook --change texture --chart strip.html, or samedirt logbook rough-bed --history
    """
    _refuse_mixed(name, history=history, check=check, restore=restore)
    if check:
        from trials.commands.safekeeping.file_and_copies import check_logbook

        check_logbook(book, as_json=as_json)
    elif restore:
        from trials.commands.safekeeping.file_and_copies import list_copies
        from trials.commands.safekeeping.going_back import restore_logbook

        if name is None:
            list_copies(book, as_json=as_json)
        else:
            restore_logbook(book, name, yes=yes, as_json=as_json)
    elif name is not None:
        _tell_history(book, name, as_json=as_json)
    else:
        from trials.commands.lists.whole_list import list_all

        list_all(book, Wanted(since, gear, change, measure), sort, chart=chart, as_json=as_json, as_csv=as_csv)


def _refuse_mixed(name: str | None, *, history: bool, check: bool, restore: bool) -> None:
    if history + check + restore > 1:
        raise Refused("logbook takes one of --history, --check and --restore at a time")
    if check and name is not None:
        raise Refused("logbook --check looks at the whole file and takes no name; leave the name out")
    if not (check or restore) and history != (name is not None):
        raise Refused("logbook NAME --history tells what became of one trial; logbook alone lists all of them")


def _tell_history(book: Path, name: str, *, as_json: bool) -> None:
    from trials.changes.history import history as history_of
    from trials.logbook.logbook import Logbook

    events = history_of(Logbook(book).read(name))
    if as_json:
        say_json([event.as_dict() for event in events])
        return
    if not events:
        say(f"{name}: nothing was amended, corrected, struck or attached.")
    for event in events:
        say(one_line(f"{event.moment}  {event.sort}: {event.says}"), hanging=4)
