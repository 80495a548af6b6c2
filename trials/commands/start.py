"""No command given: what this is, whether a logbook is here, and the usual round."""

from pathlib import Path

import typer

from trials.wording.lists import count_of


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
