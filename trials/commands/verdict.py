"""`samedirt verdict`: the sentence and the chart."""

from pathlib import Path
from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from trials.commands.printing import say, say_json
from trials.errors import Refused


def verdict(
    name: Annotated[str | None, typer.Argument(help="Name of the trial.", show_default=False)] = None,
    chart: Annotated[
        Path | None, typer.Option("--chart", help="Where the chart goes: .html, .svg or .png.", show_default=False)
    ] = None,
    no_chart: Annotated[bool, typer.Option("--no-chart", help="Print the words alone.")] = False,
    everything: Annotated[bool, typer.Option("--all", help="Name every check, the ones that passed too.")] = False,
    schema: Annotated[bool, typer.Option("--schema", help="Print the JSON Schema of what --json prints.")] = False,
    book: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Say whether the change beat luck, by how much and at what cost; write the chart.

    Exit code 1 where there is no verdict (blocked, incomplete, too few pairs, or the trial was set aside).

    Example: samedirt verdict rough-bed --chart rough-bed.png
    """
    if schema:
        from trials.commands.show_verdict import verdict_schema

        say_json(verdict_schema())
        return
    if name is None:
        raise Refused("verdict: no trial is named; name one, or write --schema for the form of --json")
    path = chart or (None if no_chart or as_json else Path(f"verdict-{name}.html"))
    if path is None:
        _judge(name, None, book, everything=everything, as_json=as_json)
        return
    from trials.charts.engine import drawing_beside

    with drawing_beside():
        _judge(name, path, book, everything=everything, as_json=as_json)


def _judge(name: str, chart: Path | None, book: Path, *, everything: bool, as_json: bool) -> None:
    """Print the verdict, and draw its chart where one is asked for."""
    from trials.commands.show_verdict import print_verdict, say_again, write_verdict_chart
    from trials.logbook.logbook import Logbook
    from trials.verdicts.reach import reach_verdict

    record = Logbook(book).read(name)
    reached = reach_verdict(record.trial, record.runs, record.corrections)
    lines = 0
    if as_json:
        say_json(reached.model_dump(mode="json"))
    else:
        lines = print_verdict(reached, everything=everything)
    if chart is not None:
        path = write_verdict_chart(reached, record, chart)
        if not as_json:
            lines += say(f"Chart: {path}")
    if not as_json:
        say_again(reached, lines)
    if reached.answer.kind == "gate" or record.trial.set_aside is not None:
        raise typer.Exit(1)
