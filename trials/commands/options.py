"""What commands share: options, how an interrupt or an unwritable place ends them, what is said where none is given."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Any

import typer

from trials.errors import Interrupted, Problem, Refused
from trials.wording.lists import count_of

DEFAULT_LOGBOOK = Path("logbook.duckdb")
LOGBOOK_VARIABLE = "SAMEDIRT_LOGBOOK"

INTERRUPTED_IN_A_QUERY = "Query interrupted"  # a RuntimeError of DuckDB

LogbookOption = Annotated[
    Path, typer.Option("--logbook", envvar=LOGBOOK_VARIABLE, help="The logbook file.", show_default=True)
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print the whole result as JSON.")]
NameArgument = Annotated[str, typer.Argument(help="Name of the trial.", show_default=False)]


@contextmanager
def _telling_of_interrupts() -> Iterator[None]:
    try:
        yield
    except (KeyboardInterrupt, RuntimeError) as error:
        if isinstance(error, RuntimeError) and str(error) != INTERRUPTED_IN_A_QUERY:
            raise
        if sys.stderr.isatty():
            typer.echo(err=True)  # behind the ^C
        raise Interrupted from error


class Commands(typer.core.TyperGroup):
    """All commands; an interrupt in the middle of one leaves as all that goes wrong does. Typer ends without a word."""

    def make_context(self, *args: Any, **others: Any) -> Any:  # noqa: ANN401 - as Typer has it, which hides its types
        """Read what was typed."""
        with _telling_of_interrupts():
            return super().make_context(*args, **others)

    def invoke(self, ctx: Any) -> Any:  # noqa: ANN401 - as above
        """Run the command that was named."""
        with _telling_of_interrupts():
            return super().invoke(ctx)


@contextmanager
def refusing_unwritable(place: Path, instead: str) -> Iterator[None]:
    """Refuse a place that can't be written, and say what to do instead."""
    try:
        yield
    except OSError as error:
        raise Refused([Problem(str(place), f"can't be written ({error.strerror})", instead)]) from error


def start(book: Path) -> None:
    """Print three lines for a person who just typed the name."""
    typer.echo("samedirt: did the change catch more gold, or was it luck?")
    typer.echo(_logbook_line(book))
    typer.echo("The usual round: plan > sheet > (go run it) > enter > check > verdict     (each with --help)")


def _logbook_line(book: Path) -> str:
    if not book.is_file():
        return "No logbook here yet.   See finished trials: samedirt demo"
    from trials.logbook.logbook import Logbook

    with Logbook(book).reading() as pages:
        count = len(pages.names())
    return f"Logbook {book}: {count_of(count, 'trial')}.   See them: samedirt logbook"
