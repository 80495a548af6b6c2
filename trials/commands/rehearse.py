"""`samedirt rehearse`: try a plan on simulated dirt before digging."""

from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption, NameArgument
from trials.commands.printing import say, say_json

TIMES = 20_000


def rehearse(
    name: NameArgument,
    times: Annotated[int, typer.Option(help="How many trials to simulate.", min=100, max=1_000_000)] = TIMES,
    seed: Annotated[int, typer.Option(help="Seed of the rehearsal.", min=0)] = 1,
    chart: Annotated[bool, typer.Option("--chart/--no-chart", help="Write the charts.")] = True,
    book: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Run a plan thousands of times on simulated dirt, through the very rule of the verdict.

    Once with nothing changed and once with a change just worth having: how often each outcome would come.

    Example: samedirt rehearse rough-bed --times 20000
    """
    from trials.commands import rehearsing
    from trials.logbook.logbook import Logbook

    played = rehearsing.play(Logbook(book).read(name), times, seed)
    if as_json:
        say_json(rehearsing.as_json(played))
        return
    rehearsing.print_played(played)
    for path in rehearsing.write_charts(played) if chart else ():
        say(f"Chart: {path}")
