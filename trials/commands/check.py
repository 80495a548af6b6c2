"""`samedirt check`: was it, and is it still, a fair trial? And what is missing before a verdict."""

from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from trials.commands.printing import say_json
from trials.errors import Refused


def check(
    name: Annotated[str | None, typer.Argument(help="Name of the trial.", show_default=False)] = None,
    pitfalls: Annotated[
        bool, typer.Option("--pitfalls", help="The ways to see a gain that is none, and what stands against each.")
    ] = False,
    book: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Print all fair-run checks at once, stops first, and what is still missing before a verdict.

    Works from the plan to the last run, and never tells which set-up leads. Exit code 1 when a stop stands.

    Example: samedirt check rough-bed, or samedirt check --pitfalls
    """
    if pitfalls:
        _print_pitfalls(name, as_json=as_json)
        return
    if name is None:
        raise Refused("check: no trial is named; name one, or write --pitfalls for the map of what fakes a gain")
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


def _print_pitfalls(name: str | None, *, as_json: bool) -> None:
    from trials.fairness.pitfall_page import pitfall_dicts, pitfall_page

    if name is not None:
        raise Refused(f"check: --pitfalls is about every trial, not {name} alone; leave one of the two out")
    if as_json:
        say_json(pitfall_dicts())
    else:
        typer.echo(pitfall_page(), nl=False)
