"""`samedirt page`: the same round in a browser, on this machine alone."""

from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, LogbookOption
from trials.commands.printing import say


def page(
    port: Annotated[
        int | None, typer.Option(help="Where it listens.", min=1, max=65535, show_default="8467, or the next free")
    ] = None,
    no_open: Annotated[bool, typer.Option("--no-open", help="Print the address, and open no browser.")] = False,
    book: LogbookOption = DEFAULT_LOGBOOK,
) -> None:
    """Serve the logbook as a page in your browser: the same questions, words and charts. Ctrl-C ends it.

    Only this machine can reach it, and it asks for nothing from anywhere else.

    Example: samedirt page, or samedirt page --no-open --port 8500
    """
    import webbrowser

    from trials.logbook.logbook import Logbook
    from trials.page.desk import Desk
    from trials.page.serve import serve

    def opened(address: str) -> None:
        say(f"The page is at {address} on this machine alone. Ctrl-C ends it.")
        if not no_open:
            webbrowser.open(address)

    serve(Desk(Logbook(book)), port, opened)
    say(f"Closed. All that was confirmed is in {book}.")
