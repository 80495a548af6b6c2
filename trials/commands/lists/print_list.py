"""The list of all trials on the screen."""

from collections.abc import Sequence

from trials.commands.printing import line_width, say, say_table
from trials.listing.lines import COLUMNS, cells_of, columns_that_fit, reason_of
from trials.logbook.logbook import ListedTrial
from trials.wording.lists import count_of


def print_listing(lines: Sequence[ListedTrial], total: int) -> None:
    """Print a line for each trial, as many columns as there is room for, and what was left out."""
    if not total:
        say("The logbook is empty. Next: samedirt load FOLDER")
        return
    if not lines:
        say(f"None of {count_of(total, 'trial')} fits; samedirt logbook lists all of them.")
        return
    rows = [cells_of(line) for line in lines]
    kept = columns_that_fit(rows, line_width())
    say_table([COLUMNS[i].head for i in kept], [[row[i] for i in kept] for row in rows], indent=0)
    say()
    for reason in filter(None, map(reason_of, lines)):
        say(reason)
    if left := ", ".join(COLUMNS[i].head for i in range(len(COLUMNS)) if i not in kept and any(row[i] for row in rows)):
        say(f"No room here for: {left}. --csv and --json have all of it.")
    listed = count_of(len(lines), "trial")
    of_all = "" if len(lines) == total else f" of {total:,}"
    say(f"{listed}{of_all}. Next: samedirt verdict NAME, or samedirt report NAME")
