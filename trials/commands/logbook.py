"""`samedirt logbook`: every change tried, with its word."""

from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from trials.commands.printing import say_json


def logbook(book: LogbookOption = DEFAULT_LOGBOOK, as_json: JsonOption = False) -> None:
    """List every trial with its word, the last day run first.

    Nothing is left out: unsettled, void and worse ones stand beside the better.

    Example: samedirt logbook
    """
    from trials.commands import listing
    from trials.logbook.logbook import Logbook

    lines = listing.listed(Logbook(book))
    if as_json:
        say_json([listing.as_json(line) for line in lines])
    else:
        listing.print_listing(lines)
