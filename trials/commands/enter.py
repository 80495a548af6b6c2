"""`samedirt enter`: type a run from its tag, at a dry table."""

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, LogbookOption, NameArgument
from trials.commands.printing import say


def enter(
    name: NameArgument,
    tag: Annotated[str | None, typer.Argument(help="Tag of one run.", show_default="the next one")] = None,
    settings: Annotated[
        list[str] | None,
        typer.Option(
            "--set", help="Give an answer and ask nothing: --set minutes=9.5. Repeat it.", metavar="KEY=VALUE"
        ),
    ] = None,
    as_typed: Annotated[bool, typer.Option("--as-typed", help="What is asked about stands as typed.")] = False,
    again: Annotated[bool, typer.Option("--again", help="Correct a run that was entered already.")] = False,
    why: Annotated[str | None, typer.Option(help="The reason of a correction.", show_default=False)] = None,
    photo: Annotated[Path | None, typer.Option(help="Attach a picture, by its path.", show_default=False)] = None,
    shows: Annotated[
        str | None, typer.Option(help="What it shows: sheet, bed, gold, tails or scale.", show_default="sheet")
    ] = None,
    book: LogbookOption = DEFAULT_LOGBOOK,
) -> None:
    """Type runs from their papers, one tag after another; each is stored as soon as you confirm it.

    Which set-up a jar came from is not shown. Ctrl-C costs at most the answer being typed. A run that was entered is
    changed with --again and its reason; the old value stays on record.

    Example: samedirt enter rough-bed, or samedirt enter rough-bed HTK --set minutes=9.5 --set grains=31
    """
    from trials.changes.reasons import refuse_no_reason
    from trials.commands import run_making
    from trials.commands.terminal import INTERRUPTED, Stopped
    from trials.keeping.attaching import store_picture
    from trials.logbook.logbook import Logbook
    from trials.talk.run_given import refuse_half_asked

    logbook = Logbook(book)
    now = datetime.now().replace(microsecond=0)
    shows_nothing = photo is None and shows is not None
    refuse_half_asked(tag, settings, again=again, why=why, shows_nothing=shows_nothing, stands=as_typed)
    if why is not None:
        refuse_no_reason(why)
    if photo is not None:
        say(store_picture(logbook, name, photo, shows or "sheet", tag, now))
        if not settings and not again:
            return
    if settings or as_typed:
        say(run_making.enter_given(logbook, name, tag or "", settings or (), why=why, now=now, stands=as_typed))
        return
    try:
        run_making.enter_by_asking(logbook, name, tag, why=why, now=now)
    except Stopped:
        say("Stopped. Every confirmed run is stored, and the answers to one begun are kept.")
        say("The same command goes on from here.")
        raise typer.Exit(INTERRUPTED) from None
