"""Filled sheets brought together with the trials they are of: which trial, and what becomes of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from schemas import Record
from trials.changes.merge import merge
from trials.changes.merge_all import Loaded
from trials.errors import Problem, Refused
from trials.files.place import place_of
from trials.sheets.spreadsheet_in import OpenSheet, Taking, runs_of_sheet
from trials.wording.lists import and_list, count_of
from trials.wording.steps import step


@dataclass(frozen=True, slots=True)
class LoadedSheet:
    """What loading did with one sheet.

    said: what was left out of it, or taken in a way that is to be known
    left: the problems of rows that were left out
    """

    path: Path
    loaded: Loaded
    said: tuple[str, ...]
    left: tuple[Problem, ...]

    @property
    def words(self) -> str:
        """What was done, in a sentence."""
        read = f"{place_of(self.path)} into {self.loaded.name}: {count_of(self.loaded.runs, 'row')} read"
        return f"{read}; {self.loaded.words}."


def trials_of(opened: Sequence[OpenSheet], records: Sequence[Record], told: str | None) -> list[str]:
    """The trial of each sheet: the one told, the one its file names, or the only one with its tags; else refused."""
    known = [record.trial.name for record in records]
    tags = {record.trial.name: frozenset(run.tag.upper() for run in record.runs if run.tag) for record in records}
    problems: list[Problem] = []
    names: list[str] = []
    for sheet in opened:
        name = told or sheet.trial
        fits = [name] if name else [one for one, own in tags.items() if sheet.tags and sheet.tags <= own]
        if len(fits) == 1 and fits[0] in known:
            names.append(fits[0])
        else:
            problems.append(Problem(place_of(sheet.path), _not_told(sheet, fits, known)))
    if problems:
        raise Refused(problems)
    return names


def _not_told(sheet: OpenSheet, fits: Sequence[str], known: Sequence[str]) -> str:
    which = f"say which {step('with --trial NAME', 'in the field Trial')}"
    there = f"there are: {and_list(known)}" if known else "the logbook is empty"
    if len(fits) == 1:
        return f"is of the trial {fits[0]}, which is not in the logbook; {there}"
    if fits:
        return f"has tags that fit {and_list(fits)}; {which}"
    why = "its tags are not all of one trial" if sheet.tags else "it has no tags"
    return f"does not name its trial, and {why}; {which}; {there}"


def merge_sheets(
    stored: Mapping[str, Record], sheets: Sequence[tuple[str, OpenSheet]], how: Taking, now: datetime
) -> list[LoadedSheet]:
    """Lay each sheet over its trial, as the sheets before it left that; refused with every problem of all sheets."""
    records = dict(stored)
    done: list[LoadedSheet] = []
    problems: list[Problem] = []
    for name, sheet in sheets:
        before = records[name]
        found = runs_of_sheet(sheet, before.trial, before.runs, how)
        runs = {run.key: run for run in (*before.runs, *found.runs)}
        ordered = tuple(runs[key] for key in sorted(runs))
        after = Record(trial=before.trial, runs=ordered, corrections=before.corrections)
        merged = merge(before, after, why=how.why, now=now, place=place_of(sheet.path))
        problems += [*found.problems, *merged.problems]
        records[name] = merged.record
        loaded = Loaded(merged.record, len(found.runs), merged)
        done.append(LoadedSheet(sheet.path, loaded, found.said, found.left))
    if problems:
        raise Refused(problems)
    return done
