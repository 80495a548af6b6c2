"""What loading did to each trial, or with each sheet."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from trials.commands.printing import say, say_json
from trials.errors import MOST_TOLD
from trials.wording.lists import count_of

if TYPE_CHECKING:  # heavy, and needed for their names alone
    from trials.keeping.storing import Stored
    from trials.sheets.into_trials import LoadedSheet

LISTED_ONE_BY_ONE = 20


def tell_folders(book: Path, done: Sequence[Stored], *, as_json: bool) -> None:
    """What became of each trial that was loaded; of many, how many."""
    if as_json:
        say_json([{"trial": one.name, "new": one.is_new, "done": one.words, "said": one.said} for one in done])
        return
    if len(done) <= LISTED_ONE_BY_ONE:
        for one in done:
            say(f"{one.name}: {one.words}.")
    else:
        new, changed = sum(one.is_new for one in done), sum(one.is_changed for one in done)
        as_before = len(done) - new - changed
        say(f"{count_of(len(done), 'trial')}: {new:,} new, {changed:,} changed, {as_before:,} as they were.")
    _say_each([text for one in done for text in one.said])
    _say_next(book, [one.name for one in done])


def _say_each(said: Sequence[str]) -> None:
    """What was taken in a way that is to be known; of much, how much more there is."""
    for text in said[:MOST_TOLD]:
        say(f"{text}.", indent=2)
    if len(said) > MOST_TOLD:
        say(f"and {len(said) - MOST_TOLD:,} more.", indent=2)


def _say_next(book: Path, names: Sequence[str]) -> None:
    say(f"In {book}. Next: samedirt {'verdict ' + names[0] if len(names) == 1 else 'logbook'}")


def tell_sheets(book: Path, done: Sequence[LoadedSheet], *, as_json: bool) -> None:
    """What became of each sheet, and which of its rows were left out."""
    if as_json:
        say_json(
            [
                {
                    "file": str(one.path),
                    "trial": one.loaded.name,
                    "done": one.loaded.words,
                    "rows": one.loaded.runs,
                    "said": list(one.said),
                    "left": [str(problem) for problem in one.left],
                }
                for one in done
            ]
        )
        return
    for one in done:
        say(one.words)
        _say_each(one.said)
        for problem in one.left:
            say(f"Left out: {problem}", indent=2)
    _say_next(book, list(dict.fromkeys(one.loaded.name for one in done)))
