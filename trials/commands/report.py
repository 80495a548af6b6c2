"""`samedirt report`: one HTML file to keep and to send."""

from pathlib import Path
from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, LogbookOption, NameArgument, refusing_unwritable
from trials.commands.printing import say


def report(
    name: NameArgument,
    to: Annotated[Path | None, typer.Option("--to", help="The file to write.", show_default="report-NAME.html")] = None,
    public: Annotated[
        bool, typer.Option("--public", help="A report to show: no notes, pictures, place labels or lot names.")
    ] = False,
    book: LogbookOption = DEFAULT_LOGBOOK,
) -> None:
    """Write the whole trial as one HTML file: sentence, charts, every run, checks, how to verify by hand.

    Example: samedirt report rough-bed --to rough-bed.html
    """
    from trials.charts.engine import drawing_beside

    with drawing_beside():
        _write(name, to, book, public=public)


def _write(name: str, to: Path | None, book: Path, *, public: bool) -> None:
    from trials.files.pictures import photo_problems
    from trials.files.public import public_copy
    from trials.files.whole import refuse_in_the_way
    from trials.logbook.logbook import Logbook
    from trials.report.page import write_report

    record = Logbook(book).read(name)
    copy = public_copy(record) if public else None
    shown = record if copy is None else copy.record
    path = to or Path(f"report-{shown.trial.name}{'-public' if public else ''}.html")
    with refusing_unwritable(path, "name another with --to"):
        refuse_in_the_way(path, ".html")
        off = {} if public else {problem.place: problem.says for problem in photo_problems(record, book)}
        write_report(shown, path, off)
    say(f"Report: {path}")
    for sentence in () if copy is None else copy.words:
        say(sentence)
