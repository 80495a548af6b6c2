"""`samedirt plan`: design a trial that can answer."""

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from trials.commands.printing import say, say_json
from trials.errors import Problem, Refused

INTERRUPTED = 130


def plan(
    name: Annotated[str | None, typer.Argument(help="Name of the trial.", show_default=False)] = None,
    from_file: Annotated[
        Path | None, typer.Option("--from", help="Plan what a trial.toml says.", show_default=False)
    ] = None,
    blank: Annotated[
        str | None, typer.Option("--blank", help="Make a folder of this name with both files to fill.", metavar="NAME")
    ] = None,
    measure: Annotated[
        str | None, typer.Option(help="The main measure, as gold_mass; a wrong name lists all.", show_default=False)
    ] = None,
    pairs: Annotated[str | None, typer.Option(help="Pairs, 3 to 60.", show_default=False)] = None,
    spares: Annotated[str | None, typer.Option(help="Spare pairs, 0 to 5.", show_default=False)] = None,
    worth_having: Annotated[str | None, typer.Option(help='As "20 %" or "3 points".', show_default=False)] = None,
    look: Annotated[str | None, typer.Option(help="One early look after so many pairs.", show_default=False)] = None,
    seed: Annotated[str | None, typer.Option(help="Seed of the draw.", show_default="a fresh one")] = None,
    settings: Annotated[
        list[str] | None,
        typer.Option("--set", help='Any other key: --set "lot.mass=120 kg". Repeat it.', metavar="KEY=VALUE"),
    ] = None,
    amend: Annotated[
        str | None, typer.Option(help="Change a locked plan: --amend pairs=8 --why ...", metavar="KEY=VALUE")
    ] = None,
    why: Annotated[str | None, typer.Option(help="The reason of an amendment.", show_default=False)] = None,
    ways: Annotated[bool, typer.Option("--ways", help="Compare ways to measure it; store nothing.")] = False,
    tracers: Annotated[
        int | None,
        typer.Option(help="With --ways: tracer grains in hand; 0 none.", min=0, max=5000, show_default=False),
    ] = None,
    charts: Annotated[bool, typer.Option("--charts", help="Write the charts of pairs and noise too.")] = False,
    ask: Annotated[
        bool | None, typer.Option("--ask/--no-ask", help="Ask for what is missing.", show_default="on a terminal")
    ] = None,
    book: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Design a trial: asks what it needs to know, says what could answer, and writes the plan into the logbook.

    With all it needs given (--from, or flags and --set) it asks nothing; flags with the name of a stored plan change
    that plan. It locks when its first sheet is printed.

    Example: samedirt plan rough-bed --from rough-bed/trial.toml
    """
    from trials.commands import plan_doors as doors
    from trials.logbook.logbook import Logbook

    if blank is not None:
        say(f"Wrote {doors.write_blank(blank, measure, pairs)}. Fill it, then: samedirt plan --from {blank}")
        return
    if amend is not None:
        if name is None:
            raise Refused([Problem("plan --amend", "needs the name of the trial: samedirt plan NAME --amend ...")])
        say(doors.amended(Logbook(book), name, amend, why, datetime.now().date()))
        return
    logbook = Logbook(book)
    keys = ("name", "measure", "pairs", "spares", "worth_having", "look_after", "seed")
    flags = dict(zip(keys, (name, measure, pairs, spares, worth_having, look, seed), strict=True))
    answers = doors.answers_of(flags, settings or [])
    if ways:
        doors.show_ways(doors.trial_given(logbook, from_file, answers), tracers=tracers, json=as_json)
        return
    draft = doors.draft_beside(logbook)
    is_asked = from_file is None and doors.is_to_be_asked(logbook, answers, asks=False if as_json else ask)
    try:
        made = (
            doors.talk_over(logbook, answers)
            if is_asked
            else doors.planned(logbook, doors.trial_given(logbook, from_file, answers))
        )
    except doors.Stopped:
        say(f"Stopped. All answers so far are in {draft.path}; samedirt plan goes on from there.")
        raise typer.Exit(INTERRUPTED) from None
    replaced = doors.store_plan(logbook, made)
    if is_asked:
        draft.remove()
    if as_json:
        say_json(doors.plan_as_json(made))
        return
    if not is_asked:
        doors.print_plan(made)
    doors.say_what_is_next(made, book, replaced=replaced)
    for path in doors.write_plan_charts(made) if charts else ():
        say(f"Chart: {path}")
