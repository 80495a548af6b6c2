"""`samedirt logbook`: every change tried, with its word; and what became of one trial since it was planned."""

from pathlib import Path
from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from trials.commands.printing import say_json
from trials.errors import Refused


def logbook(
    name: Annotated[str | None, typer.Argument(help="With --history: name of the trial.", show_default=False)] = None,
    history: Annotated[
        bool, typer.Option("--history", help="What was amended, corrected, struck and attached, by time.")
    ] = False,
    book: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """List every trial with its word, the last day run first; or with NAME --history what became of one.

    Nothing is left out: unsettled, void and worse ones stand beside the better.

    Example: samedirt logbook, or samedirt logbook rough-bed --history
    """
    if history != (name is not None):
        raise Refused("logbook NAME --history tells what became of one trial; logbook alone lists all of them")
    if name is not None:
        _tell_history(book, name, as_json=as_json)
        return
    from trials.commands import listing
    from trials.logbook.logbook import Logbook

    lines = listing.listed(Logbook(book))
    if as_json:
        say_json([listing.as_json(line) for line in lines])
    else:
        listing.print_listing(lines)


def _tell_history(book: Path, name: str, *, as_json: bool) -> None:
    from trials.commands import history as telling
    from trials.logbook.logbook import Logbook

    record = Logbook(book).read(name)
    if as_json:
        say_json(telling.as_json(record))
    else:
        telling.print_history(record)
