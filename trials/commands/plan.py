"""`samedirt plan`: design a trial that can answer."""

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from trials.commands.printing import say, say_json


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
    like: Annotated[
        str | None,
        typer.Option(help="Take over what an earlier trial says of gear, dirt, scales, hands.", metavar="NAME"),
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
    from trials.commands import plan_making
    from trials.commands.terminal import INTERRUPTED, Stopped, show
    from trials.files.plan_given import plan_answers, trial_given
    from trials.files.plan_json import plan_as_json
    from trials.keeping.drafts import plan_draft
    from trials.keeping.stored_plans import store_plan
    from trials.logbook.logbook import Logbook
    from trials.rehearsal.proposal import refuse_unsound
    from trials.sheets.blank import write_blank_folder
    from trials.talk.plan_words import words_of_plan, words_of_what_is_next
    from trials.talk.way_words import ways_of

    if blank is not None:
        say(f"Wrote {write_blank_folder(Path(blank), measure, pairs)}. Fill it, then: samedirt plan --from {blank}")
        return
    logbook = Logbook(book)
    if amend is not None:
        say(plan_making.amended_plan(logbook, name, amend, why, datetime.now().date()))
        return
    keys = ("name", "measure", "pairs", "spares", "worth_having", "look_after", "seed")
    flags = dict(zip(keys, (name, measure, pairs, spares, worth_having, look, seed), strict=True))
    answers = plan_answers(flags, settings or [])
    taken = plan_making.taken_over(logbook, like, answers)
    answers = {**taken, **answers}
    show(() if as_json else plan_making.taken_over_words(like, taken))
    stored = plan_making.stored_under(logbook, answers.get("name"))
    if ways:
        words, as_values = ways_of(trial_given(from_file, stored, answers), tracers)
        say_json(as_values) if as_json else show(words)
        return
    is_asked = from_file is None and plan_making.is_to_be_asked(answers, stored, asks=False if as_json else ask)
    draft = plan_draft(logbook)
    try:
        if is_asked:
            made = plan_making.talked_over(logbook, answers, draft)
        else:
            made = plan_making.of_what_is_given(logbook, lambda: trial_given(from_file, stored, answers))
            refuse_unsound(made)
    except Stopped:
        say(f"Stopped. All answers so far are in {draft.path}; samedirt plan goes on from there.")
        raise typer.Exit(INTERRUPTED) from None
    replaced = store_plan(logbook, made)
    if is_asked:
        draft.remove()
    if as_json:
        say_json(plan_as_json(made))
        return
    show(() if is_asked else words_of_plan(made))
    show(words_of_what_is_next(made, str(book), replaced=replaced))
    if charts:
        from trials.report.plan_charts import write_plan_charts

        for path in write_plan_charts(made.trial, made.outlook):
            say(f"Chart: {path}")
