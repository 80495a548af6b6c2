"""The list of all trials on the screen, one change over its lots under it, and what is next."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from trials.commands.printing import line_width, say, say_table
from trials.listing.lines import COLUMNS, cells_of, columns_that_fit, reason_of
from trials.logbook.pages import ListedTrial
from trials.wording.lists import and_list, count_of

if TYPE_CHECKING:  # a list that asks for no change pays for no statistics
    from trials.listing.joint_words import ToldChange
    from trials.listing.what_next import OpenQuestion

MOST_CHANGES, MOST_NAMED = 5, 12
NEXT = "What next: "


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


def print_lots(told: Sequence[ToldChange]) -> None:
    """Print what each change comes to over its lots; of several, those on one lot are named together."""
    if not told:
        return
    from trials.listing.joint_words import change_title, joint_lines

    several = [one for one in told if len(one.same.lots) > 1 or len(told) == 1]
    for one in several[:MOST_CHANGES]:
        say()
        say(f"{change_title(one.same)}:")
        for line in joint_lines(one):
            say(line, indent=2)
    say()
    if len(several) > MOST_CHANGES:
        more = count_of(len(several) - MOST_CHANGES, "more change")
        say(f"{more} on several lots; ask for one more closely, or take --json.")
    alone = [trial.trial for one in told if one not in several for trial in one.same.trials]
    if alone and len(alone) <= MOST_NAMED:
        say(f"On one lot alone, of which each speaks: {and_list(alone)}.")


def print_next(following: Sequence[OpenQuestion]) -> None:
    """Print what the record leaves open."""
    for place, one in enumerate(following):
        say(f"{NEXT if not place else ' ' * len(NEXT)}{one.said}", hanging=len(NEXT))
