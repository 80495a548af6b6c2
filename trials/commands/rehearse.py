"""`samedirt rehearse`: try a plan on simulated dirt before digging."""

from enum import StrEnum
from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption, NameArgument
from trials.commands.printing import say, say_json

TIMES = 20_000


class HabitOption(StrEnum):
    """The habits of comparing that can be rehearsed."""

    ONE_EACH = "one-each"
    NO_UNCHANGED = "no-unchanged"
    TWO_DAYS = "two-days"
    LOOKING = "looking"
    STOP_AHEAD = "stop-ahead"
    DROP_WORST = "drop-worst"
    BEST_OF = "best-of"
    ALL = "all"


def rehearse(
    name: NameArgument,
    times: Annotated[int, typer.Option(help="How many trials to simulate.", min=100, max=1_000_000)] = TIMES,
    seed: Annotated[int, typer.Option(help="Seed of the rehearsal.", min=0)] = 1,
    habit: Annotated[
        HabitOption | None,
        typer.Option("--habit", help="How often a habit would cry gain with nothing changed.", show_default=False),
    ] = None,
    chart: Annotated[bool, typer.Option("--chart/--no-chart", help="Write the charts.")] = True,
    book: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Run a plan thousands of times on simulated dirt, through the very rule of the verdict.

    Once with nothing changed and once with a change just worth having: how often each outcome would come. Or, with
    --habit, how often another way of comparing would cry gain there with nothing changed.

    Example: samedirt rehearse rough-bed --times 20000, then samedirt rehearse rough-bed --habit all
    """
    from trials.commands import rehearsing
    from trials.logbook.logbook import Logbook

    if habit is not None:
        from trials.commands import rehearsing_habits

        shown = rehearsing_habits.play(Logbook(book).read(name), habit.value, times, seed)
        rehearsing_habits.tell(shown, as_json=as_json, chart=chart)
        return
    played = rehearsing.play(Logbook(book).read(name), times, seed)
    if as_json:
        say_json(rehearsing.as_json(played))
        return
    rehearsing.print_played(played)
    for path in rehearsing.write_charts(played) if chart else ():
        say(f"Chart: {path}")
