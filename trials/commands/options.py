"""What commands share: options, how a place that can't be written is refused, and what is said where none is given."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

from trials.errors import Problem, Refused
from trials.wording.lists import count_of

DEFAULT_LOGBOOK = Path("logbook.duckdb")
LOGBOOK_VARIABLE = "SAMEDIRT_LOGBOOK"

LogbookOption = Annotated[
    Path, typer.Option("--logbook", envvar=LOGBOOK_VARIABLE, help="The logbook file.", show_default=True)
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print the whole result as JSON.")]
NameArgument = Annotated[str, typer.Argument(help="Name of the trial.", show_default=False)]


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
