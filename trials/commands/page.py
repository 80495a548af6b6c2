"""`samedirt page`: the same round in a browser, on this machine alone or for a phone in its network."""

import sys
from collections.abc import Sequence
from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, LogbookOption
from trials.commands.printing import say


def page(
    port: Annotated[
        int | None, typer.Option(help="Where it listens.", min=1, max=65535, show_default="8467, or the next free")
    ] = None,
    phone: Annotated[
        bool, typer.Option("--phone", help="For a phone in the same network too, after a code that is printed.")
    ] = False,
    at: Annotated[
        str | None,
        typer.Option(help="With --phone: this machine's address in that network.", show_default="found by itself"),
    ] = None,
    no_open: Annotated[bool, typer.Option("--no-open", help="Print the address, and open no browser.")] = False,
    book: LogbookOption = DEFAULT_LOGBOOK,
) -> None:
    """Serve the logbook as a page in your browser: the same questions, words and charts. Ctrl-C ends it.

    Only this machine can reach it, and it asks for nothing from anywhere else. With --phone so can whoever is in the
    same network and has the code of this sitting; in a network that strangers share, leave it out.

    Example: samedirt page, or samedirt page --phone, or samedirt page --no-open --port 8500
    """
    import webbrowser

    from trials.errors import Problem, Refused
    from trials.logbook.logbook import Logbook
    from trials.page.desk import Desk
    from trials.page.door import Door
    from trials.page.network import own_address
    from trials.page.serve import serve

    if at is not None and not phone:
        raise Refused([Problem("--at", "is for a phone in the network", "add --phone")])
    door = Door(own_address(at), say) if phone else None

    def opened(addresses: Sequence[str]) -> None:
        here = addresses[0]
        if door is None:
            say(f"The page is at {here} on this machine alone. Ctrl-C ends it.")
        else:
            _say_how_to_come_in(here, addresses[1], door.code, book.name)
        if not no_open:
            webbrowser.open(here)

    serve(Desk(Logbook(book), is_shared=phone), port, opened, door)
    if sys.stdout.isatty():
        typer.echo()  # behind the ^C
    say(f"Closed. All that was confirmed is in {book}.")


def _say_how_to_come_in(here: str, address: str, code: str, book: str) -> None:
    """Print where a phone finds the page, the code, and who may come in by it."""
    from trials.page.door import MOST_WRONG
    from trials.page.network import qr_lines

    say(f"The page is at {here} on this machine, where no code is asked, and for a phone in the same network at")
    say(address, indent=4)
    typer.echo()
    for line in qr_lines(address):
        typer.echo(typer.style(line, fg="bright_white", bg="black"))
    typer.echo()
    say(f"The code of this sitting: {code[:4]} {code[4:]}")
    say(
        f"Whoever is in that network and has the code can read {book} and store in it until this ends. Nothing is "
        "encrypted on its way, so this is for a network of your own, never for an open one: no camp, café or hotel."
    )
    say(
        f"After {MOST_WRONG} wrong codes, from whoever, nobody new is let in until you start it anew here. "
        "Ctrl-C ends it."
    )
