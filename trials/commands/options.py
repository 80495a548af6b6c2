"""Options that several commands share."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

from trials.errors import Problem, Refused

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
