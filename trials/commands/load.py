"""`samedirt load`: trial folders into the logbook."""

from pathlib import Path
from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from trials.commands.printing import say, say_json

LISTED_ONE_BY_ONE = 20


def load(
    folders: Annotated[
        list[Path], typer.Argument(help="Trial folders, or folders that hold them.", show_default=False)
    ],
    why: Annotated[str | None, typer.Option("--why", help="The reason that makes changed values corrections.")] = None,
    book: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Load trial folders (trial.toml and runs.csv) into the logbook.

    All problems of all files are listed at once, and nothing is stored then. Loading again adds what is new.

    Example: samedirt load rough-bed
    """
    from trials.commands.loading import read_all, refuse_no_reason, store_all
    from trials.logbook.logbook import Logbook
    from trials.wording.lists import count_of

    if why is not None:
        refuse_no_reason(why)
    done = store_all(Logbook(book), read_all(folders), why)
    if as_json:
        say_json([{"trial": one.name, "new": one.is_new, "done": one.words} for one in done])
        return
    if len(done) <= LISTED_ONE_BY_ONE:
        for one in done:
            say(f"{one.name}: {one.words}.")
    else:
        new, changed = sum(one.is_new for one in done), sum(one.is_changed for one in done)
        as_before = len(done) - new - changed
        say(f"{count_of(len(done), 'trial')}: {new:,} new, {changed:,} changed, {as_before:,} as they were.")
    say(f"In {book}. Next: samedirt {'verdict ' + done[0].name if len(done) == 1 else 'logbook'}")
