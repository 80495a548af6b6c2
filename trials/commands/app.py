"""All commands as one program, and how what goes wrong leaves it."""

import io
import os
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict
from functools import cache
from pathlib import Path
from typing import Annotated, Final, NoReturn

import typer

from trials import __version__
from trials.commands import (
    check,
    decide,
    demo,
    enter,
    export,
    load,
    logbook,
    page,
    plan,
    rehearse,
    report,
    sheet,
    verdict,
    void,
    worth,
)
from trials.commands.options import DEFAULT_LOGBOOK, LOGBOOK_VARIABLE, Commands, start
from trials.commands.printing import json_text, say_error
from trials.errors import Problem, TrialsError, one_line

LONGEST_SHOWN = 60
QUESTION = "Did the change to the gear catch more gold, or was it luck?"

COMMANDS: Final[Mapping[str, Callable[..., None]]] = {
    "demo": demo.demo,
    "plan": plan.plan,
    "rehearse": rehearse.rehearse_plan,
    "sheet": sheet.sheet,
    "enter": enter.enter,
    "void": void.void,
    "load": load.load,
    "check": check.check,
    "verdict": verdict.verdict,
    "worth": worth.worth,
    "decide": decide.decide,
    "report": report.report,
    "logbook": logbook.logbook,
    "export": export.export,
    "page": page.page,
}
"""Every command by its name, in the order they are listed."""


def _say_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"samedirt {__version__}")
        raise typer.Exit


def top(
    context: typer.Context,
    version: Annotated[  # noqa: ARG001 - the callback acts on it
        bool, typer.Option("--version", callback=_say_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Say what samedirt is and what usually comes next, where no command is given."""
    if context.invoked_subcommand is None:
        start(Path(os.environ.get(LOGBOOK_VARIABLE, DEFAULT_LOGBOOK)))


@cache
def _program(first: str) -> typer.core.TyperGroup:
    """All commands as one program, or that one alone which the first word names: to make all takes a while."""
    app = typer.Typer(cls=Commands, help=QUESTION, add_completion=False, rich_markup_mode=None)
    app.callback(invoke_without_command=True)(top)
    for name, command in COMMANDS.items():
        if first == name or first not in COMMANDS:
            app.command(name)(command)
    return typer.main.get_group(app)


def run() -> None:
    """Run the command; a problem leaves as one clear line each on stderr, under --json as JSON, with its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="replace")
    as_json = "--json" in sys.argv[1:]
    try:
        sys.exit(_program("".join(sys.argv[1:2]))(standalone_mode=not as_json))
    except TrialsError as error:
        _leave(error.exit_code, error.lines, getattr(error, "problems", ()), as_json=as_json)
    except typer.TyperException as error:  # typed wrong; without --json Typer says so itself
        _leave(2, [getattr(error, "message", str(error))], as_json=as_json)
    except typer.Abort:
        _leave(1, ["stopped"], as_json=as_json)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
    except OSError as error:  # what no command saw coming: a name too long, a loop of links, a disk gone
        place = one_line(str(error.filename or "a file")[:LONGEST_SHOWN])
        problem = Problem(place, str(error.strerror or error), "check the path")
        _leave(2, [str(problem)], [problem], as_json=as_json)


def _leave(exit_code: int, lines: Sequence[str], problems: Sequence[Problem] = (), *, as_json: bool) -> NoReturn:
    """End with an exit code and what went wrong: one line each, or JSON with every problem as its parts."""
    if as_json:
        found = problems or [Problem("", line) for line in lines]
        errors = [{name: value for name, value in asdict(one).items() if name != "times"} for one in found]
        typer.echo(json_text({"format": 1, "exit_code": exit_code, "errors": errors}), err=True)
    else:
        for line in lines:
            say_error(f"samedirt: {line}")
    sys.exit(exit_code)
