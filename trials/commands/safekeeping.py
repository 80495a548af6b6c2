"""The flags of `samedirt logbook` that look after the file: --check and --restore."""

from collections.abc import Iterator
from pathlib import Path

import typer

from schemas import Record
from trials.commands.printing import say, say_json, say_table, with_progress
from trials.commands.storing import store_all
from trials.errors import LogbookError
from trials.files.folder import read_folders
from trials.files.pictures import photo_problems
from trials.logbook.check import Checked, check
from trials.logbook.connect import explained_by_system, logs_of, remove
from trials.logbook.contents import Contents
from trials.logbook.copies import Copy, copies_of, folder_of, part_for
from trials.logbook.fault import Fault
from trials.logbook.logbook import Logbook
from trials.logbook.notices import shown_time
from trials.logbook.restore import NEWEST, Restored, bring_back, choose, looked_into, put_in_place
from trials.logbook.tally import file_of
from trials.records.cross_check import cross_check
from trials.wording.lists import count_of

WITHIN = "load its folder again with --why, or go back to a copy: samedirt logbook --restore"


def check_logbook(path: Path, *, as_json: bool) -> None:
    """Say whether a logbook is whole, or each thing found wrong on one line; exit code 1 then."""
    checked = check(Logbook(path))
    faults = [*checked.faults, *_misfits(path, checked.records)]
    if as_json:
        say_json(_checked_as_json(path, checked, faults))
    elif faults:
        for fault in faults:
            typer.echo(str(fault))
    else:
        say(_whole(path, checked))
    if faults:
        raise typer.Exit(1)


def _misfits(path: Path, records: tuple[Record, ...]) -> Iterator[Fault]:
    """What does not fit between a plan and its runs, as loading would find it; and pictures gone or changed."""
    for record in records:
        for problem in cross_check(record.trial, record.runs, f"{path}, {record.trial.name}"):
            yield Fault(problem.place, problem.says, WITHIN)
        for problem in photo_problems(record, path):
            yield Fault(f"{path}, {record.trial.name}, {problem.place}", problem.what, problem.next_step)


def _whole(path: Path, checked: Checked) -> str:
    contents = f"{count_of(len(checked.records), 'trial')}, {count_of(checked.runs, 'run')}"
    log = f" The last change is still in {path.name}.wal: keep both together." if checked.in_log else ""
    copies = "No copies yet"
    if checked.copies:
        newest = shown_time(checked.copies[-1][0].kept_at)
        copies = f"{count_of(len(checked.copies), 'copy', 'copies')}, the newest of {newest}"
    return f"{path} is whole: {contents}. {_tallied(path, checked)}.{log} {copies}."


def _tallied(path: Path, checked: Checked) -> str:
    beside, number = file_of(path).name, checked.changes
    if number == 0:
        return "No change was counted yet"
    there = "The one stored change is there" if number == 1 else f"All {number:,} stored changes are there"
    if checked.in_file is None:
        return f"{there} by its own tally; there is no {beside} to compare with, and the next change begins one"
    if checked.in_file < number:
        return f"{there}; {beside} has {checked.in_file:,} of them, which is no loss"
    return f"{there}, as {beside} has {'it' if number == 1 else 'them'}"


def _checked_as_json(path: Path, checked: Checked, faults: list[Fault]) -> dict[str, object]:
    return {
        "logbook": str(path),
        "whole": not faults,
        "trials": len(checked.records),
        "runs": checked.runs,
        "changes": checked.changes,
        "changes_in_tally": checked.in_file,
        "last_change_in_log": checked.in_log,
        "copies": [_copy_as_json(copy, contents) for copy, contents in checked.copies],
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


def restore_logbook(path: Path, which: str | None, *, as_json: bool) -> None:
    """List the copies of a logbook, go back to one, or make the logbook anew from a folder of exported trials."""
    if which is None:
        _list_copies(path, as_json=as_json)
        return
    book = Logbook(path)
    if which == NEWEST or which.isdigit():
        copy = choose(path, which)
        restored = bring_back(book, copy)
        source = f"copy {copy.number} ({shown_time(copy.kept_at)})"
    else:
        restored = _made_anew(book, Path(which))
        source = which
    if as_json:
        say_json(_restored_as_json(path, source, restored))
        return
    held = f"{count_of(len(restored.contents.names), 'trial')}, {count_of(restored.contents.runs, 'run')}"
    say(f"{path} is what {source} holds: {held}.")
    if restored.aside is not None:
        say(f"The file before it is copy {restored.aside.number}, {restored.aside.path}; it stays until you delete it.")
    say("Next: samedirt logbook --check")


def _restored_as_json(path: Path, source: str, restored: Restored) -> dict[str, object]:
    return {
        "logbook": str(path),
        "from": source,
        "trials": list(restored.contents.names),
        "runs": restored.contents.runs,
        "set_aside": None if restored.aside is None else str(restored.aside.path),
    }


def _made_anew(book: Logbook, folder: Path) -> Restored:
    """Load the trial folders into a new file, and put it in the place of the logbook once it is whole."""
    records = read_folders([folder], lambda folders: with_progress(folders, "Reading trial folders"))
    if not book.path.parent.is_dir():
        raise LogbookError(f"{book.path.parent} does not exist; make the folder, or name another with --logbook")
    try:
        part = part_for(book.path, "anew")
        remove(part)
        try:
            store_all(Logbook(part, keeps=False), records, why=None)
            return put_in_place(book, part)
        except LogbookError as error:
            raise type(error)(str(error).replace(str(part), str(book.path))) from error
        finally:
            for file in (part, *logs_of(part)):
                remove(file)
    except OSError as error:
        raise explained_by_system(error, book.path) from error


def _list_copies(path: Path, *, as_json: bool) -> None:
    copies = looked_into(copies_of(path))
    if as_json:
        say_json([_copy_as_json(copy, contents) for copy, contents in copies])
        return
    if not copies:
        say(f"No copies of {path} yet; one is kept in {folder_of(path)} before each change.")
        say("From exported trials: samedirt logbook --restore FOLDER")
        return
    say(f"Copies of {path}, in {folder_of(path)}:")
    say_table(("number", "kept", "trials", "runs", ""), [_copy_row(copy, contents) for copy, contents in copies])
    say()
    say(f"Go back to one: samedirt logbook --restore NUMBER, or {NEWEST}. The present file is set aside first.")


def _copy_row(copy: Copy, contents: Contents | str) -> tuple[str, ...]:
    when = (str(copy.number), shown_time(copy.kept_at))
    if isinstance(contents, str):
        return (*when, "-", "-", f"can't be read: {contents}")
    aside = "set aside when going back to another" if copy.is_set_aside else ""
    return (*when, str(len(contents.names)), str(contents.runs), aside)
