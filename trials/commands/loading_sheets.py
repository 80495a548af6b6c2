"""Filled sheets -> the runs of trials in the logbook: find the trial, lay the rows over its runs, store what is new."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from schemas import Record
from trials.changes.merge import merge
from trials.commands.loading import Loaded, remember_words
from trials.commands.printing import with_progress
from trials.errors import Problem, Refused
from trials.logbook.logbook import Logbook, Pages
from trials.sheets.spreadsheet_in import OpenSheet, SheetRuns, open_sheet, runs_of_sheet
from trials.wording.lists import and_list


@dataclass(frozen=True, slots=True)
class Wanted:
    """How sheets are to be loaded.

    Attributes
    ----------
    trial
        The trial they are of; None to find it.
    sheet
        The sheet of each workbook; None for the one with a table of runs.
    good_rows
        Whether rows with problems are left out.
    why
        The reason that makes changed values corrections.
    """

    trial: str | None = None
    sheet: str | None = None
    good_rows: bool = False
    why: str | None = None


@dataclass(frozen=True, slots=True)
class LoadedSheet:
    """What loading did with one sheet."""

    path: Path
    loaded: Loaded
    rows: int
    said: tuple[str, ...]
    left: tuple[Problem, ...]


def load_sheets(book: Logbook, paths: Sequence[Path], wanted: Wanted) -> list[LoadedSheet]:
    """Load filled sheets into the logbook; all of them or nothing.

    Raises
    ------
    Refused
        Carries every problem of all sheets, or says that a trial is not known.
    """
    opened = _open_all(paths, wanted)
    if not book.exists:
        says = "is not here yet, so no trial is known that a sheet could be of; plan or load the trial first"
        raise Refused([Problem(str(book.path), says)])
    with book.reading() as pages:
        done, changed = _bring_together(opened, pages, wanted)
    if not changed:
        return done
    with book.writing() as pages:
        done, changed = _bring_together(opened, pages, wanted)
        pages.store(changed)
        remember_words(pages, changed)
    return done


def _open_all(paths: Sequence[Path], wanted: Wanted) -> list[OpenSheet]:
    opened: list[OpenSheet] = []
    problems: list[Problem] = []
    once = list({path.resolve(): path for path in paths}.values())
    for path in with_progress(once, "Reading sheets"):
        try:
            opened.append(open_sheet(path, wanted.sheet))
        except Refused as error:
            problems += error.problems
    if problems:
        raise Refused(problems)
    return opened


def _bring_together(
    opened: Sequence[OpenSheet], pages: Pages, wanted: Wanted
) -> tuple[list[LoadedSheet], list[Record]]:
    """Each sheet laid over its trial, as the sheets before it left that; and the trials that changed."""
    names = _trials_of(opened, pages, wanted.trial)
    records = {record.trial.name: record for record in pages.records(sorted(set(names)))}
    done: list[LoadedSheet] = []
    changed: dict[str, Record] = {}
    problems: list[Problem] = []
    now = datetime.now().replace(microsecond=0)
    for sheet, name in zip(opened, names, strict=True):
        stored = records[name]
        correcting = wanted.why is not None
        found = runs_of_sheet(sheet, stored.trial, stored.runs, good_rows=wanted.good_rows, correcting=correcting)
        incoming = _with_runs(stored, found)
        merged = merge(stored, incoming, why=wanted.why, now=now, place=str(sheet.path))
        problems += [*found.problems, *merged.problems]
        if merged.changes_anything:
            records[name] = changed[name] = merged.record
        loaded = Loaded(name, is_new=False, runs=len(found.runs), merged=merged)
        done.append(LoadedSheet(sheet.path, loaded, len(found.runs), found.said, found.left))
    if problems:
        raise Refused(problems)
    return done, list(changed.values())


def _with_runs(stored: Record, found: SheetRuns) -> Record:
    runs = {run.key: run for run in stored.runs} | {run.key: run for run in found.runs}
    return Record(trial=stored.trial, runs=tuple(runs[key] for key in sorted(runs)), corrections=stored.corrections)


def _trials_of(opened: Sequence[OpenSheet], pages: Pages, told: str | None) -> list[str]:
    """The trial of each sheet: the one that was told, the one its file names, or the only one with all its tags."""
    known = pages.names()
    problems: list[Problem] = []
    names: list[str] = []
    tags: dict[str, frozenset[str]] | None = None
    for sheet in opened:
        name = told or sheet.trial
        if name is None and tags is None:
            found = pages.records()
            tags = {record.trial.name: frozenset(r.tag.upper() for r in record.runs if r.tag) for record in found}
        fits = (
            [name]
            if name is not None
            else [one for one, own in (tags or {}).items() if sheet.tags and sheet.tags <= own]
        )
        if len(fits) == 1 and fits[0] in known:
            names.append(fits[0])
            continue
        problems.append(Problem(str(sheet.path), _not_told(sheet, fits, known)))
    if problems:
        raise Refused(problems)
    return names


def _not_told(sheet: OpenSheet, fits: Sequence[str], known: Sequence[str]) -> str:
    there = f"there are: {and_list(known)}" if known else "the logbook is empty"
    if len(fits) == 1:
        return f"is of the trial {fits[0]}, which is not in the logbook; {there}"
    if fits:
        return f"has tags that fit {and_list(fits)}; say which with --trial NAME"
    why = "its tags are not all of one trial" if sheet.tags else "it has no tags"
    return f"does not name its trial, and {why}; say which with --trial NAME; {there}"
