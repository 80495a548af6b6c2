"""The whole list: trials chosen and in order, the same change over its lots, and what is next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from trials.commands.lists.draw_strip import draw_strip
from trials.commands.lists.print_list import print_listing, print_lots, print_next
from trials.commands.printing import say, say_json, with_progress
from trials.keeping.remembered import listed
from trials.listing.choose import Sort, Wanted, chosen
from trials.listing.lines import csv_of_listing, rows_of_listing
from trials.listing.same_change import SameChange, same_changes
from trials.listing.what_next import what_next
from trials.logbook.logbook import Logbook
from trials.logbook.pages import ListedTrial

if TYPE_CHECKING:  # a list that asks for no change pays for no statistics
    from trials.listing.joint_words import ToldChange


def list_all(path: Path, wanted: Wanted, sort: Sort, *, chart: Path | None, as_json: bool, as_csv: bool) -> None:
    """Print the list, and draw it; a change that was asked for over all its lots, whatever day the list begins with."""
    book = Logbook(path)
    lines = listed(book, with_progress)
    shown = chosen(lines, wanted, sort)
    changes = same_changes(lines)
    told = _over_lots(book, lines, changes, wanted) if wanted.change else []
    if chart is not None:
        draw_strip(chart, chosen(lines, wanted, Sort.DATE), told)
    if as_csv:
        typer.echo(csv_of_listing(shown), nl=False)
        return
    following = what_next(chosen(lines, wanted, Sort.DATE), changes)
    if as_json:
        say_json(
            {
                "trials": rows_of_listing(shown),
                "same_change": _joint_rows(told),
                "what_next": [{"trial": one.trial, "why": one.why, "said": one.said} for one in following],
            }
        )
        return
    print_listing(shown, len(lines))
    print_lots(told)
    print_next(following)
    if chart is not None:
        say(f"Chart: {chart}")


def _over_lots(
    book: Logbook, lines: Sequence[ListedTrial], changes: Sequence[SameChange], wanted: Wanted
) -> list[ToldChange]:
    from trials.keeping.lots import told_over_lots

    asked = {line.trial for line in chosen(lines, replace(wanted, since=None), Sort.DATE)}
    return told_over_lots(book, [same for same in changes if same.newest.trial in asked])


def _joint_rows(told: Sequence[ToldChange]) -> list[dict[str, Any]]:
    if not told:
        return []
    from trials.listing.joint_words import joint_row

    return [joint_row(one) for one in told]
