"""`samedirt worth`: what a change is worth a year."""

import sys
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption, NameArgument
from trials.commands.printing import say, say_json


def _flag(help_: str) -> typer.models.OptionInfo:
    option: typer.models.OptionInfo = typer.Option(help=help_, show_default=False)
    return option


def worth(
    name: NameArgument,
    cleanups: Annotated[str | None, _flag("Clean-ups a year: 500, or 2x5x50.")] = None,
    gold: Annotated[str | None, _flag('Gold a clean-up gives now: "0.8 g".')] = None,
    charge: Annotated[str | None, _flag('Dirt fed from one clean-up to the next: "40 kg".')] = None,
    feed: Annotated[str | None, _flag('Dirt fed a year, in the stead of clean-ups: "90 t".')] = None,
    grade: Annotated[str | None, _flag('Gold in that dirt: "0.4 mg/kg".')] = None,
    tails_gold: Annotated[str | None, _flag('For tails_gold: gold lost to the tails a year, "12 g".')] = None,
    price: Annotated[str | None, _flag('Of a troy ounce of pure gold: "2400 EUR". Never fetched.')] = None,
    price_date: Annotated[str | None, _flag("The day of that price; today where a price is typed.")] = None,
    fineness: Annotated[str | None, _flag("Of your gold, in parts of a thousand: 850.")] = None,
    payout: Annotated[str | None, _flag("What the buyer pays of it, in %: 85.")] = None,
    wage: Annotated[str | None, _flag("What an hour of work is worth; 0 where it is a pleasure.")] = None,
    run_wage: Annotated[str | None, _flag("An hour of running, where that is worth less.")] = None,
    sand: Annotated[str | None, _flag('What a kg more of black sand costs: 0.5, or "10 min".')] = None,
    once: Annotated[str | None, _flag("What this change cost, once.")] = None,
    running: Annotated[str | None, _flag("What it costs a year beside that.")] = None,
    minutes: Annotated[str | None, _flag("More minutes a year, in the stead of those measured: -200.")] = None,
    chart: Annotated[Path | None, _flag("Where the chart goes: .html, .svg or .png.")] = None,
    no_chart: Annotated[bool, typer.Option("--no-chart", help="Print the words alone.")] = False,
    ask: Annotated[
        bool | None, typer.Option("--ask/--no-ask", help="Ask for what is missing.", show_default="on a terminal")
    ] = None,
    book: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Say what a change is worth a year: low, middle and high, in grams and money, after what it costs.

    What a year is reckoned with is typed once and remembered for all trials; a flag types it anew, and "" takes it out.
    --once, --running and --minutes are of this change alone, and are remembered with its trial. Where the gain could be
    zero no money is told, and the gain at which it would pay is told instead. Exit code 1 as of samedirt verdict.

    Example: samedirt worth two-mats --cleanups 2x5x50 --gold "0.8 g" --price "2400 EUR" --fineness 850 --payout 85
    --wage 12 --once 90
    """
    from trials.commands.terminal import INTERRUPTED, Stopped
    from trials.commands.worth_reckoning import asking, write_worth_chart
    from trials.keeping.pricing import priced
    from trials.logbook.logbook import Logbook
    from trials.verdicts.reach import reach_verdict
    from trials.worth.sentences import worth_json

    now = datetime.now().replace(microsecond=0)
    flags = {
        "cleanups": cleanups,
        "gold": gold,
        "charge": charge,
        "feed": feed,
        "grade": grade,
        "tails_gold": tails_gold,
        "price": price,
        "price_date": price_date,
        "fineness": fineness,
        "payout": payout,
        "wage": wage,
        "run_wage": run_wage,
        "sand": sand,
        "once": once,
        "running": running,
        "minutes": minutes,
    }
    try:
        asks = not as_json and (sys.stdin.isatty() if ask is None else ask)
        logbook = Logbook(book)
        record = logbook.read(name)
        verdict = reach_verdict(record.trial, record.runs, record.corrections)
        found = priced(logbook, record, verdict, flags, now, asking(now) if asks else None)
    except Stopped:
        say("Stopped. Nothing was stored.")
        raise typer.Exit(INTERRUPTED) from None
    if as_json:
        say_json(worth_json(found.worth, found.verdict, found.base))
    else:
        say(found.sentence)
        say(found.verdict.sentence)
        for line in found.details(now):
            say(line)
        if found.is_new:
            say("Clean-ups, gold, price and wage are remembered: the next trial asks for none of them.")
    if chart is not None or not (no_chart or as_json):
        path = write_worth_chart(found, chart or Path(f"worth-{name}.html"), now)
        if not as_json:
            say(f"Chart: {path}")
    if found.verdict.answer.kind == "gate" or found.worth.refused == "set aside":
        raise typer.Exit(1)
