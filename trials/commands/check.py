"""`samedirt check`: was it, and is it still, a fair trial? And what is missing before a verdict."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from trials.commands.printing import say, say_json
from trials.errors import Refused

if TYPE_CHECKING:
    from schemas import Finding
    from trials.fairness.overview import Overview


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
    from trials.fairness.overview import look_over
    from trials.files.pictures import photo_problems
    from trials.logbook.logbook import Logbook

    record = Logbook(book).read(name)
    seen = look_over(record, [str(problem) for problem in photo_problems(record, book)])
    if as_json:
        say_json(seen.as_dict())
    else:
        _print_overview(seen)
    if seen.stops:
        raise typer.Exit(1)


def _print_overview(seen: "Overview") -> None:
    from trials.fairness.checklist import SEVERITY_HEADS

    say(seen.first_line())
    if seen.set_aside is not None:
        say(f"Set aside: {seen.set_aside}. Nothing of it counts.")
    for severity, head in SEVERITY_HEADS.items():
        for finding in seen.of(severity):
            say(f"{head} ({finding.check}): {finding.message}")
    if seen.runs_made:
        _print_quiet(seen)
    for text in seen.pictures:
        say(f"Picture {text}.")
    for text in seen.missing:
        say(f"Missing: {text}")
    say(seen.next_line())


def _print_quiet(seen: "Overview") -> None:
    unknown = seen.of("not recorded")
    if unknown and not seen.pairs:
        say(f"Too early to check: {', '.join(finding.check for finding in unknown)}.")
        unknown = ()
    say_quiet(unknown, [finding.check for finding in seen.of("ok")])


def say_quiet(unknown: "Sequence[Finding]", passed: Sequence[str]) -> int:
    """What could not be checked, and why; and what was found good. How many lines that took."""
    lines = say("Not recorded, so not checked:") if unknown else 0
    for finding in unknown:
        message = finding.message.rstrip(".")
        lines += say(f"{finding.check}: {message[:1].lower()}{message[1:]}", indent=4, hanging=2)
    return lines + (say(f"Found good: {', '.join(passed)}.") if passed else 0)


def _print_pitfalls(name: str | None, *, as_json: bool) -> None:
    from trials.report.pitfalls import pitfall_dicts, pitfall_page

    if name is not None:
        raise Refused(f"check: --pitfalls is about every trial, not {name} alone; leave one of the two out")
    if as_json:
        say_json(pitfall_dicts())
    else:
        typer.echo(pitfall_page(), nl=False)
