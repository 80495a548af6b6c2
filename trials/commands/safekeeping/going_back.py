"""A logbook gone back to one of its copies, or made anew from exported trials: --restore with a number or a folder."""

import sys
from collections.abc import Sequence
from pathlib import Path

import typer

from schemas import WorthBase
from trials.commands.printing import say, say_json, with_progress
from trials.commands.safekeeping.file_and_copies import held_words
from trials.errors import LogbookError, Refused
from trials.files.folder import read_folders
from trials.files.worth_given import WORTH_FILE, read_worth_file
from trials.keeping.storing import store_all
from trials.logbook.beside import NEWEST, logs_of, remove
from trials.logbook.copies import part_for
from trials.logbook.explain import explained_by_system
from trials.logbook.logbook import Logbook
from trials.logbook.notices import shown_time
from trials.logbook.restore import Beyond, Restored, beyond, choose, copy_to_go_back, put_in_place
from trials.wording.lists import count_of


def restore_logbook(path: Path, which: str, *, yes: bool, as_json: bool) -> None:
    """Go back to a copy of a logbook, or make it anew from a folder of exported trials."""
    book = Logbook(path)
    if which == NEWEST or which.isdigit():
        copy = choose(path, which)
        source = f"copy {copy.number} ({shown_time(copy.kept_at)})"
        with copy_to_go_back(book, copy) as fresh:
            restored = _gone_back(book, fresh, source, yes=yes, as_json=as_json)
    else:
        source = which
        restored = _made_anew(book, Path(which), yes=yes, as_json=as_json)
    if as_json:
        aside = None if restored.aside is None else str(restored.aside.path)
        held = {"trials": list(restored.names), "runs": restored.runs}
        say_json({"logbook": str(path), "from": source, **held, "set_aside": aside})
        return
    say(f"{path} is what {source} holds: {held_words(len(restored.names), restored.runs)}.")
    if restored.aside is not None:
        say(f"The file before it is copy {restored.aside.number}, {restored.aside.path}; it stays until you delete it.")
    say("Next: samedirt logbook --check")


def _gone_back(book: Logbook, fresh: Logbook, source: str, *, yes: bool, as_json: bool) -> Restored:
    """Put a file in the place of the logbook, once it is settled that what it does not hold may go."""
    dropped = beyond(book, fresh)
    if dropped != () and not yes:
        what = _dropped_words(book.path, source, dropped)
        if as_json or not sys.stdin.isatty():
            raise Refused(f"{what}; --yes goes back all the same")
        say(f"{what}. The present file is set aside, as a copy.")
        if not typer.confirm("Go back all the same?"):
            say("Nothing was changed.")
            raise typer.Exit(1)
    return put_in_place(book, fresh.path)


def _dropped_words(path: Path, source: str, dropped: Sequence[Beyond] | None) -> str:
    if dropped is None:
        return f"{path} can't be read, so what it holds beyond {source} can't be told"
    return f"{path} holds what {source} does not: {'; '.join(map(_beyond_words, dropped))}"


def _beyond_words(one: Beyond) -> str:
    runs = count_of(one.runs, "run")
    if one.is_whole:
        return f"the trial {one.trial} with its {runs}"
    return f"{runs} of {one.trial}" if one.runs else f"changes to {one.trial}"


def _made_anew(book: Logbook, folder: Path, *, yes: bool, as_json: bool) -> Restored:
    """Load the trial folders into a new file, and put it in the place of the logbook once it is whole."""
    trials = read_folders([folder], lambda folders: with_progress(folders, "Reading trial folders"))
    if not book.path.parent.is_dir():
        raise LogbookError(f"{book.path.parent} does not exist; make the folder, or name another with --logbook")
    try:
        part = part_for(book.path, "anew")
        remove(part)
        fresh = Logbook(part, keeps=False)
        try:
            store_all(fresh, trials, why=None, stands=None, shown=with_progress)
            _with_worth(book, fresh, folder)
            return _gone_back(book, fresh, str(folder), yes=yes, as_json=as_json)
        except LogbookError as error:
            raise type(error)(str(error).replace(str(part), str(book.path))) from error
        finally:
            for file in (part, *logs_of(part)):
                remove(file)
    except OSError as error:
        raise explained_by_system(error, book.path) from error


def _with_worth(book: Logbook, fresh: Logbook, folder: Path) -> None:
    """Keep what a year is reckoned with and what changes cost: out of the folder, else as the present file has it."""
    if (folder / WORTH_FILE).exists():
        base, own = read_worth_file(folder / WORTH_FILE)
    else:
        base, own = _present_worth(book)
    now = book.clock().replace(microsecond=0)
    with fresh.writing() as pages:
        if base is not None:
            pages.keep_worth_base(base, now)
        for name in pages.names():
            if name in own:
                pages.keep_own_costs(name, own[name], now)


def _present_worth(book: Logbook) -> tuple[WorthBase | None, dict[str, dict[str, str]]]:
    if not book.exists:
        return None, {}
    try:
        with book.reading() as pages:
            return pages.worth_base(), pages.own_costs()
    except LogbookError:
        return None, {}
