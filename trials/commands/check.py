"""`samedirt check`: was it, and is it still, a fair trial? And what is missing before a verdict."""

import typer

from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption, NameArgument
from trials.commands.printing import say_json


def check(
    name: NameArgument,
    book: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Print all fair-run checks at once, stops first, and what is still missing before a verdict.

    Works from the plan to the last run, and never tells which set-up leads. Exit code 1 when a stop stands.

    Example: samedirt check rough-bed
    """
    from trials.commands import checking
    from trials.logbook.logbook import Logbook

    record = Logbook(book).read(name)
    checked = checking.look_over(record, book)
    if as_json:
        say_json(checking.as_json(checked))
    else:
        checking.print_checked(checked)
    if checked.stops:
        raise typer.Exit(1)
