"""`samedirt rehearse`: try a plan on simulated dirt before digging."""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption, NameArgument
from trials.commands.printing import progress, say, say_json, say_table

if TYPE_CHECKING:  # heavy, and needed for their names alone
    from trials.rehearsal.plan_rehearsed import HabitsPlayed, Played
    from trials.talk.rehearsal_words import Told

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


def rehearse_plan(
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

    Example: samedirt rehearse steeper-pitch --times 20000, then samedirt rehearse steeper-pitch --habit all
    """
    from trials.files.plan_json import habits_as_json, rehearsal_as_json
    from trials.logbook.logbook import Logbook
    from trials.rehearsal.plan_rehearsed import rehearse_both, rehearse_habits
    from trials.talk.rehearsal_words import tell_both, tell_habits

    trial = Logbook(book).read(name).trial
    if habit is not None:
        with progress() as said:
            habits = rehearse_habits(trial, habit.value, times, seed, said)
        if as_json:
            say_json(habits_as_json(habits))
            return
        _print(tell_habits(habits), habits if chart else None)
        return
    with progress() as said:
        played = rehearse_both(trial, times, seed, said)
    if as_json:
        say_json(rehearsal_as_json(played))
        return
    _print(tell_both(played), played if chart else None)


def _print(told: "Told", charted: "Played | HabitsPlayed | None") -> None:
    say(told.heading)
    say_table(told.header, told.rows)
    for sentence in told.sentences:
        say(sentence)
    if charted is None:
        return
    from trials.charts.files import save_chart
    from trials.report.rehearsal_charts import rehearsal_charts

    charts = rehearsal_charts(charted)
    if charts.left_out:
        say(charts.left_out)
    for which, drawn in charts.drawn.items():
        path = Path(f"{which}-{charted.trial.name}.html")
        save_chart(drawn("wide"), path, narrow=drawn("narrow"))
        say(f"Chart: {path}")
