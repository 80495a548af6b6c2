"""Options that several commands share."""

from pathlib import Path
from typing import Annotated

import typer

DEFAULT_LOGBOOK = Path("logbook.duckdb")
LOGBOOK_VARIABLE = "SAMEDIRT_LOGBOOK"

LogbookOption = Annotated[
    Path, typer.Option("--logbook", envvar=LOGBOOK_VARIABLE, help="The logbook file.", show_default=True)
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print the whole result as JSON.")]
NameArgument = Annotated[str, typer.Argument(help="Name of the trial.", show_default=False)]
