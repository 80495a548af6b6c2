"""`samedirt report`: one HTML file to keep and to send."""

from pathlib import Path
from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, LogbookOption, NameArgument, refusing_unwritable
from trials.commands.printing import say


def report(
    name: NameArgument,
    to: Annotated[Path | None, typer.Option("--to", help="The file to write.", show_default="report-NAME.html")] = None,
    book: LogbookOption = DEFAULT_LOGBOOK,
) -> None:
    """Write the whole trial as one HTML file: sentence, charts, every run, checks, how to verify by hand.

    Example: samedirt report rough-bed --to rough-bed.html
    """
    from trials.files.pictures import photo_problems
    from trials.logbook.logbook import Logbook
    from trials.report.page import write_report

    record = Logbook(book).read(name)
    path = to or Path(f"report-{name}.html")
    with refusing_unwritable(path, "name another with --to"):
        write_report(record, path, {problem.place: problem.says for problem in photo_problems(record, book)})
    say(f"Report: {path}")
