"""What a logbook file and its copies hold: --check, and --restore without a number."""

from collections.abc import Iterator, Sequence
from pathlib import Path

import typer

from schemas import Record
from trials.commands.printing import say, say_json, say_table
from trials.errors import Problem
from trials.files.pictures import photo_problems
from trials.logbook.beside import NEWEST, Copy, copies_of, folder_of
from trials.logbook.check import Examined, examine
from trials.logbook.contents import Contents, contents_of
from trials.logbook.logbook import Logbook
from trials.logbook.notices import shown_time
from trials.logbook.restore import own_mark
from trials.records.cross_check import cross_check
from trials.wording.lists import count_of

WITHIN = "load its folder again with --why, or go back to a copy: samedirt logbook --restore"


def check_logbook(path: Path, *, as_json: bool) -> None:
    """Say whether a logbook is whole, or each thing found wrong on one line; exit code 1 then."""
    examined = examine(Logbook(path))
    faults = [*examined.faults, *_misfits(path, examined.records)]
    if as_json:
        say_json(
            {
                "logbook": str(path),
                "whole": not faults,
                "trials": len(examined.records),
                "runs": examined.runs,
                "copies": [_as_json(copy, contents) for copy, contents in examined.copies],
                "faults": [{"place": fault.place, "what": fault.what, "next": fault.next_step} for fault in faults],
            }
        )
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
    return f"{path} is whole: {held_words(len(examined.records), examined.runs)}. {copies}."


def held_words(trials: int, runs: int) -> str:
    """How many trials and runs a file holds."""
    return f"{count_of(trials, 'trial')}, {count_of(runs, 'run')}"


def _as_json(copy: Copy, contents: Contents | str) -> dict[str, object]:
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


def list_copies(path: Path, *, as_json: bool) -> None:
    """List the copies kept of a logbook, with what each holds."""
    copies = contents_of(copies_of(path))
    if as_json:
        say_json([_as_json(copy, contents) for copy, contents in copies])
        return
    if not copies:
        say(f"No copies of {path} yet; one is kept in {folder_of(path)} from the first change on.")
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
