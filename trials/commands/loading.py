"""Trial folders -> the logbook: read all, bring together with what is stored, store what is new."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from schemas import Record, is_made
from schemas.base import Line
from trials.changes.merge import Merged, merge
from trials.commands.printing import with_progress
from trials.commands.words import word_of
from trials.errors import Problem, Refused
from trials.files.folder import look_through, trial_folders
from trials.logbook.logbook import Logbook, Pages
from trials.records.faults import problems_of
from trials.wording.lists import count_of


@dataclass(frozen=True, slots=True)
class Loaded:
    """What loading did to one trial."""

    name: str
    is_new: bool
    runs: int
    merged: Merged | None = None

    @property
    def is_changed(self) -> bool:
        """Whether a trial that was there has something new."""
        return self.merged is not None and self.merged.changes_anything

    @property
    def words(self) -> str:
        """What was done, in a few words."""
        if self.is_new:
            return f"new, {count_of(self.runs, 'run')}"
        assert self.merged is not None  # noqa: S101 - a trial that is not new was merged
        counts = (
            (self.merged.added, "new run", "new runs"),
            (self.merged.filled, "blank filled", "blanks filled"),
            (self.merged.corrected, "correction", "corrections"),
            (self.merged.amended, "amendment", "amendments"),
            (self.merged.replanned, "change to the plan", "changes to the plan"),
        )
        done = [count_of(number, one, many) for number, one, many in counts if number]
        absent = self.merged.absent
        kept = f"; {count_of(absent, 'stored run')} not in the folder, kept" if absent else ""
        return (", ".join(done) or "nothing new") + kept


def read_all(paths: Sequence[Path]) -> list[tuple[Path, Record]]:
    """Read every trial folder under the paths, or raise with every problem of all of them."""
    folders = _once_each(folder for path in paths for folder in _folders(path))
    records: list[tuple[Path, Record]] = []
    problems: list[Problem] = []
    for folder in with_progress(folders, "Reading trial folders"):
        record, found = look_through(folder)
        problems += found
        if record is not None:
            records.append((folder, record))
    seen: dict[str, Path] = {}
    for folder, record in records:
        other = seen.setdefault(record.trial.name, folder)
        if other != folder:
            says = f"the trial {record.trial.name} is in {other} too; give one of them another name"
            problems.append(Problem(str(folder), says))
    if problems:
        raise Refused(problems)
    return records


def _once_each(folders: Iterable[Path]) -> list[Path]:
    """The folders without those that were named before, in whatever way."""
    found: dict[Path, Path] = {}
    for folder in folders:
        found.setdefault(folder.resolve(), folder)
    return list(found.values())


def _folders(path: Path) -> list[Path]:
    found = trial_folders(path) if path.is_dir() else []
    if not found:
        what = "holds no trial.toml, nor do the folders in it" if path.is_dir() else "is not a folder"
        raise Refused([Problem(str(path), f"{what}; name the folder of a trial")])
    return found


def refuse_no_reason(why: str) -> None:
    """Refuse a reason that can't stand beside a correction."""
    try:
        TypeAdapter(Line).validate_python(why)
    except ValidationError as error:
        raise Refused(problems_of(error, lambda _: "--why")) from error


def store_all(book: Logbook, records: Sequence[tuple[Path, Record]], why: str | None) -> list[Loaded]:
    """Bring records together with what is stored, and store what is new; all of it or nothing.

    Where nothing is new the logbook is not written to.
    """
    if book.exists:
        with book.reading() as pages:
            done, changed = _bring_together(records, _stored(pages, records), why)
        if not changed:
            return done
    with book.writing() as pages:
        done, changed = _bring_together(records, _stored(pages, records), why)
        pages.store(changed)
        remember_words(pages, changed)
    return done


def _stored(pages: Pages, records: Sequence[tuple[Path, Record]]) -> dict[str, Record]:
    names = [record.trial.name for _, record in records]
    return {record.trial.name: record for record in pages.records(names)}


def _bring_together(
    records: Sequence[tuple[Path, Record]], stored: dict[str, Record], why: str | None
) -> tuple[list[Loaded], list[Record]]:
    done: list[Loaded] = []
    changed: list[Record] = []
    problems: list[Problem] = []
    now = datetime.now().replace(microsecond=0)
    for folder, record in records:
        name = record.trial.name
        runs = sum(is_made(run) for run in record.runs)
        if name not in stored:
            changed.append(record)
            done.append(Loaded(name, is_new=True, runs=runs))
            continue
        merged = merge(stored[name], record, why=why, now=now, place=str(folder))
        problems += merged.problems
        done.append(Loaded(name, is_new=False, runs=runs, merged=merged))
        if merged.changes_anything:
            changed.append(merged.record)
    if problems:
        raise Refused(problems)
    return done, changed


def remember_words(pages: Pages, records: Sequence[Record]) -> None:
    """Reach the verdicts of records that changed, so that a listing need not."""
    if records:
        pages.remember([word_of(record) for record in with_progress(records, "Reaching verdicts")])
