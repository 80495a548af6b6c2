"""The `samedirt` command: all commands, and the one door through which errors leave."""

import io
import os
import sys
from pathlib import Path
from typing import Annotated

import typer

from trials import __version__
from trials.commands import (
    check,
    demo,
    enter,
    export,
    load,
    logbook,
    plan,
    rehearse,
    report,
    sheet,
    start,
    verdict,
    void,
)
from trials.commands.options import DEFAULT_LOGBOOK, LOGBOOK_VARIABLE
from trials.errors import TrialsError, one_line

MOST_SHOWN = 60

app = typer.Typer(
    name="samedirt",
    help="Did the change to the gear catch more gold, or was it luck?",
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    invoke_without_command=True,
)
app.command("demo")(demo.demo)
app.command("plan")(plan.plan)
app.command("rehearse")(rehearse.rehearse_plan)
app.command("sheet")(sheet.sheet)
app.command("enter")(enter.enter)
app.command("void")(void.void)
app.command("load")(load.load)
app.command("check")(check.check)
app.command("verdict")(verdict.verdict)
app.command("report")(report.report)
app.command("logbook")(logbook.logbook)
app.command("export")(export.export)


def _say_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"samedirt {__version__}")
        raise typer.Exit


@app.callback()
def top(
    context: typer.Context,
    version: Annotated[  # noqa: ARG001 - the callback acts on it
        bool, typer.Option("--version", callback=_say_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Say what samedirt is and what usually comes next, where no command is given."""
    if context.invoked_subcommand is None:
        start.start(Path(os.environ.get(LOGBOOK_VARIABLE, DEFAULT_LOGBOOK)))


def main() -> None:
    """Run the command; a problem leaves as one clear line each on stderr, with its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="replace")
    try:
        app()
    except TrialsError as error:
        for line in error.lines:
            typer.echo(f"samedirt: {line}", err=True)
        sys.exit(error.exit_code)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
    except OSError as error:  # what no command saw coming: a name too long, a loop of links, a disk gone
        place = one_line(str(error.filename or "a file")[:MOST_SHOWN])
        typer.echo(f"samedirt: {place}: {error.strerror or error}; check the path", err=True)
        sys.exit(2)
