"""`samedirt demo`: finished trials to look at, in a folder of their own."""

from pathlib import Path
from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, refusing_unwritable
from trials.commands.printing import say
from trials.errors import LogbookError

SHOWN = "rough-bed"
LINES_AROUND = 11  # what stands above and below the verdict
CHART, REPORT = f"verdict-{SHOWN}.html", f"report-{SHOWN}.html"


def demo(
    folder: Annotated[
        Path, typer.Argument(help="Where the demo goes; made if it does not exist.", show_default=True)
    ] = Path("cinder-bend"),
) -> None:
    """Make a folder of finished trials with a logbook, and show one verdict with its chart and report.

    Run twice it changes nothing.

    Example: samedirt demo
    """
    from trials.charts.engine import drawing_beside

    with drawing_beside():
        _show(folder)


def _show(folder: Path) -> None:
    import demo_trials
    from trials.commands.show_verdict import print_verdict, say_again, write_verdict_chart
    from trials.files.folder import read_folders
    from trials.keeping.storing import store_all
    from trials.logbook.logbook import Logbook
    from trials.report.page import write_report
    from trials.verdicts.reach import reach_verdict

    book = Logbook(folder / DEFAULT_LOGBOOK)
    shipped = demo_trials.folders()
    if book.exists:
        with book.reading() as pages:
            others = sorted(set(pages.names()) - {path.name for path in shipped})
        if others:
            named = ", ".join(others[:3])
            raise LogbookError(
                f"{book.path} holds trials of your own ({named}); name another folder: samedirt demo FOLDER"
            )
    with refusing_unwritable(folder, "name another folder"):
        copied = _copied(shipped, folder)
    done = store_all(book, read_folders([folder / path.name for path in shipped]), why=None, stands=None)
    record = book.read(SHOWN)
    reached = reach_verdict(record.trial, record.runs, record.corrections)
    say(f"{len(done)} finished trials from Cinder Bend, Ossel Creek (invented) are in {folder}. One of them:")
    say()
    lines = print_verdict(reached)
    write_verdict_chart(reached, record, folder / CHART)
    write_report(record, folder / REPORT)
    say()
    say(f"Chart:  {folder / CHART}")
    say(f"Report: {folder / REPORT}")
    say("Next:")
    say(f"cd {folder}", indent=2)
    say("samedirt logbook                   every change tried, with its word", indent=2)
    say("samedirt verdict two-mats          another verdict", indent=2)
    say("samedirt logbook --change screen   one change on three lots, and what a fourth may show", indent=2)
    say("Then plan your own: samedirt plan. Or copy a folder, put your numbers into its files, and samedirt load it.")
    if not copied:
        say("The demo was here already; nothing was changed.")
    say_again(reached, lines + LINES_AROUND)


def _copied(shipped: tuple[Path, ...], folder: Path) -> int:
    """Copy the files that are not there yet, each whole; how many were."""
    from trials.files.whole import write_all

    files = {folder / source.name / file.name: file for source in shipped for file in sorted(source.iterdir())}
    lacking = {target: file.read_bytes() for target, file in files.items() if file.is_file() and not target.exists()}
    for target in lacking:
        target.parent.mkdir(parents=True, exist_ok=True)
    return len(write_all(lacking))
