"""`samedirt void`: strike a run, or set a mistaken trial aside, with a reason."""

from datetime import datetime
from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, LogbookOption, NameArgument
from trials.commands.printing import say


def void(
    name: NameArgument,
    tag: Annotated[str | None, typer.Argument(help="Tag of the run.", show_default="the whole trial")] = None,
    why: Annotated[
        str | None,
        typer.Option(
            help="The reason: spill, wrong setting, pump failed, mixed tags, lost jar, interrupted, scale fault, or "
            "your own words.",
            show_default=False,
        ),
    ] = None,
    gold_known: Annotated[
        bool | None,
        typer.Option(
            "--gold-known/--gold-not-known", help="Was its gold known when you struck it?", show_default=False
        ),
    ] = None,
    take_back: Annotated[
        bool, typer.Option("--take-back", help="It was struck or set aside by mistake: let it count again.")
    ] = False,
    book: LogbookOption = DEFAULT_LOGBOOK,
) -> None:
    """Strike a run that went wrong: it stays on record with its reason, its pair leaves the sum, a spare is called in.

    Without a tag the whole trial is set aside; it stays too, and its verdict says so first.

    Example: samedirt void rough-bed HTK --why spill --gold-not-known
    """
    from trials.commands import striking
    from trials.logbook.logbook import Logbook

    now = datetime.now().replace(microsecond=0)
    reason = striking.reason_of(tag, why, take_back=take_back)
    logbook = Logbook(book)
    if take_back:
        say(striking.take_back(logbook, name, tag, reason, now))
    elif tag is None:
        say(striking.set_aside(logbook, name, reason, now))
    else:
        say(striking.strike(logbook, name, tag, reason, gold_known=gold_known, now=now))
