"""`samedirt decide`: what was done in the end."""

from datetime import datetime
from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, LogbookOption, NameArgument
from trials.commands.printing import say


def decide(
    name: NameArgument,
    word: Annotated[str, typer.Argument(help="keep, revert, retest, or other with a note.", show_default=False)],
    note: Annotated[str | None, typer.Option(help="Why, in a few words.", show_default=False)] = None,
    book: LogbookOption = DEFAULT_LOGBOOK,
) -> None:
    """Record what you did with a change, beside the last word of its verdict; the logbook lists both.

    Decide again when you think better of it: every decision stays on record, and the last one is listed.

    Example: samedirt decide rough-bed keep --note "the sand is worth it"
    """
    from trials.keeping.storing import store_decision
    from trials.logbook.logbook import Logbook

    say(store_decision(Logbook(book), name, word, note, datetime.now().replace(microsecond=0)))
