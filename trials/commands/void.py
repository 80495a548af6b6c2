"""`samedirt void`: strike a run, or set a mistaken trial aside, with a reason."""

from datetime import datetime
from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, LogbookOption, NameArgument
from trials.commands.printing import say
from trials.errors import Problem, Refused


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
    from trials.keeping.striking import store_aside, store_counting_again, store_strike, store_taking_back
    from trials.logbook.logbook import Logbook

    now = datetime.now().replace(microsecond=0)
    reason, logbook = _reason(tag, why, take_back=take_back), Logbook(book)
    if tag is None:
        say((store_taking_back if take_back else store_aside)(logbook, name, reason, now))
    elif take_back:
        say(store_counting_again(logbook, name, tag, reason, now))
    else:
        say(store_strike(logbook, name, tag, reason, gold_known=gold_known, now=now))


def _reason(tag: str | None, why: str | None, *, take_back: bool) -> str:
    from trials.changes.reasons import VOID_REASONS, void_reason

    if why is not None and why.strip():
        return void_reason(why)
    if take_back:
        says = "is needed: why it counts again"
    elif tag is None:
        says = "is needed: why the whole trial is set aside. To strike one run, write its tag behind the name"
    else:
        says = f"is needed: one of {', '.join(VOID_REASONS)}, or your own words"
    raise Refused([Problem("--why", says)])
