"""The flags of `samedirt logbook` that look after the file: --check and --restore."""

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import typer

from schemas import Record
from trials.commands.printing import say, say_json, say_table, with_progress
from trials.commands.storing import store_all
from trials.errors import LogbookError, Problem, Refused
from trials.files.folder import read_folders
from trials.files.pictures import photo_problems
from trials.logbook.beside import NEWEST, Copy, copies_of, folder_of, logs_of, remove
from trials.logbook.check import Examined, examine
from trials.logbook.contents import Contents, contents_of
from trials.logbook.copies import part_for
from trials.logbook.explain import explained_by_system
from trials.logbook.logbook import Logbook
from trials.logbook.notices import shown_time
from trials.logbook.restore import Beyond, Restored, beyond, choose, copy_to_go_back, own_mark, put_in_place
from trials.records.cross_check import cross_check
from trials.wording.lists import count_of

WITHIN = "load its folder again with --why, or go back to a copy: samedirt logbook --restore"


def check_logbook(path: Path, *, as_json: bool) -> None:
    """Say whether a logbook is whole, or each thing found wrong on one line; exit code 1 then."""
    examined = examine(Logbook(path))
    faults = [*examined.faults, *_misfits(path, examined.records)]
    if as_json:
        say_json(_examined_as_json(path, examined, faults))
    elif faults:
        for fault in faults:
            typer.echo(str(fault))
    else:
        say(_whole(path, examined))
    if faults:
        raise typer.Exit(1)


def _misfits(path: Path, records: Sequence[Record]) -> Iterator[Problem]:
    """What does not fit between a plan and its runs, as loading would find it; and pictures gone or changed."""
    for record in records:
        for problem in cross_check(record.trial, record.runs, f"{path}, {record.trial.name}"):
            yield Problem(problem.place, problem.says, WITHIN)
        for problem in photo_problems(record, path):
            yield Problem(f"{path}, {record.trial.name}, {problem.place}", problem.what, problem.next_step)


def _whole(path: Path, examined: Examined) -> str:
    copies = "No copies yet"
    if examined.copies:
        newest = shown_time(examined.copies[-1][0].kept_at)
        copies = f"{count_of(len(examined.copies), 'copy', 'copies')}, the newest of {newest}"
    return f"{path} is whole: {_held(len(examined.records), examined.runs)}. {copies}."


def _held(trials: int, runs: int) -> str:
    return f"{count_of(trials, 'trial')}, {count_of(runs, 'run')}"


def _examined_as_json(path: Path, examined: Examined, faults: list[Problem]) -> dict[str, object]:
    return {
        "logbook": str(path),
        "whole": not faults,
        "trials": len(examined.records),
        "runs": examined.runs,
        "copies": [_copy_as_json(copy, contents) for copy, contents in examined.copies],
        "faults": [{"place": fault.place, "what": fault.what, "next": fault.next_step} for fault in faults],
    }


def _copy_as_json(copy: Copy, contents: Contents | str) -> dict[str, object]:
    read = None if isinstance(contents, str) else contents
    return {
        "number": copy.number,
        "kept_at": copy.kept_at.isoformat(),
        "file": str(copy.path),
        "set_aside": copy.is_set_aside,
        "readable": read is not None,
        "trials": None if read is None else list(read.names),
        "runs": None if read is None else read.runs,
    }


def restore_logbook(path: Path, which: str | None, *, yes: bool, as_json: bool) -> None:
    """List the copies of a logbook, go back to one, or make the logbook anew from a folder of exported trials."""
    if which is None:
        _list_copies(path, as_json=as_json)
        return
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
        say_json(_restored_as_json(path, source, restored))
        return
    say(f"{path} is what {source} holds: {_held(len(restored.names), restored.runs)}.")
    if restored.aside is not None:
        say(f"The file before it is copy {restored.aside.number}, {restored.aside.path}; it stays until you delete it.")
    say("Next: samedirt logbook --check")


def _restored_as_json(path: Path, source: str, restored: Restored) -> dict[str, object]:
    return {
        "logbook": str(path),
        "from": source,
        "trials": list(restored.names),
        "runs": restored.runs,
        "set_aside": None if restored.aside is None else str(restored.aside.path),
    }


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
    records = read_folders([folder], lambda folders: with_progress(folders, "Reading trial folders"))
    if not book.path.parent.is_dir():
        raise LogbookError(f"{book.path.parent} does not exist; make the folder, or name another with --logbook")
    try:
        part = part_for(book.path, "anew")
        remove(part)
        fresh = Logbook(part, keeps=False)
        try:
            store_all(fresh, records, why=None)
            return _gone_back(book, fresh, str(folder), yes=yes, as_json=as_json)
        except LogbookError as error:
            raise type(error)(str(error).replace(str(part), str(book.path))) from error
        finally:
            for file in (part, *logs_of(part)):
                remove(file)
    except OSError as error:
        raise explained_by_system(error, book.path) from error


def _list_copies(path: Path, *, as_json: bool) -> None:
    copies = contents_of(copies_of(path))
    if as_json:
        say_json([_copy_as_json(copy, contents) for copy, contents in copies])
        return
    if not copies:
        say(f"No copies of {path} yet; one is kept in {folder_of(path)} before each change.")
        say("From exported trials: samedirt logbook --restore FOLDER")
        return
    say(f"Copies of {path}, in {folder_of(path)}:")
    mark = own_mark(path)
    rows = [_copy_row(copy, contents, of_this=copy.mark == mark or not mark) for copy, contents in copies]
    say_table(("number", "kept", "trials", "runs", ""), rows)
    say()
    say(f"Go back to one: samedirt logbook --restore NUMBER, or {NEWEST}. The present file is set aside first.")


def _copy_row(copy: Copy, contents: Contents | str, *, of_this: bool) -> tuple[str, ...]:
    when = (str(copy.number), shown_time(copy.kept_at))
    if isinstance(contents, str):
        return (*when, "-", "-", f"can't be read: {contents}")
    remark = "" if of_this else "of another logbook that was here, or an earlier version; not thinned"
    if copy.is_set_aside:
        remark = "set aside when going back to another"
    return (*when, str(len(contents.names)), str(contents.runs), remark)
