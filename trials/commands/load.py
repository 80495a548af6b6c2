"""`samedirt load`: trial folders into the logbook."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from schemas import Record, is_made
from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from trials.commands.printing import say, say_json, with_progress
from trials.entry.again import Merged, merge
from trials.entry.folder import look_through, trial_folders
from trials.errors import NotYet, Problem, Refused
from trials.logbook.logbook import Logbook, Pages
from trials.wording.lists import count_of

LISTED_ONE_BY_ONE = 20


@dataclass(frozen=True, slots=True)
class Loaded:
    """What loading did to one trial."""

    name: str
    is_new: bool
    runs: int
    merged: Merged | None = None

    @property
    def words(self) -> str:
        """What was done, in a few words."""
        if self.is_new:
            return f"new, {count_of(self.runs, 'run')}"
        assert self.merged is not None  # noqa: S101 - a trial that is not new was merged
        done = [
            count_of(number, word)
            for number, word in (
                (self.merged.added, "run added"),
                (self.merged.filled, "blank filled"),
                (self.merged.corrected, "correction"),
                (self.merged.amended, "amendment"),
            )
            if number
        ]
        absent = f"; {count_of(self.merged.absent, 'stored run')} not in the folder, kept" if self.merged.absent else ""
        return (", ".join(done).replace("run addeds", "runs added").replace("blank filleds", "blanks filled") or "nothing new") + absent


def load(
    folders: Annotated[list[Path], typer.Argument(help="Trial folders, or folders that hold them.", show_default=False)],
    why: Annotated[str | None, typer.Option("--why", help="The reason that makes changed values corrections.")] = None,
    book: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Load trial folders (trial.toml and runs.csv) into the logbook.

    All problems of all files are listed at once, and nothing is stored then. Loading again adds what is new.

    Example: samedirt load rough-bed
    """
    records = read_all(folders)
    done = store_all(Logbook(book), records, why)
    if as_json:
        say_json([{"trial": one.name, "new": one.is_new, "done": one.words} for one in done])
    else:
        _print(done, book)


def read_all(paths: Sequence[Path]) -> list[tuple[Path, Record]]:
    """Read every trial folder under the paths, or raise with every problem of all of them."""
    folders = [folder for path in paths for folder in _folders(path)]
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


def _folders(path: Path) -> list[Path]:
    found = trial_folders(path) if path.is_dir() else []
    if not found:
        what = "holds no trial.toml, nor do the folders in it" if path.is_dir() else "is not a folder"
        raise Refused([Problem(str(path), f"{what}; name the folder of a trial")])
    return found


def store_all(book: Logbook, records: Sequence[tuple[Path, Record]], why: str | None) -> list[Loaded]:
    """Bring records together with what is stored, and store what is new; all of it or nothing."""
    with book.writing() as pages:
        names = [record.trial.name for _, record in records]
        stored = {record.trial.name: record for record in pages.records(names)}
        done, changed, problems = _bring_together(records, stored, why)
        if problems:
            raise Refused(problems)
        pages.store(changed)
        remember_words(pages, changed)
    return done


def _bring_together(
    records: Sequence[tuple[Path, Record]], stored: dict[str, Record], why: str | None
) -> tuple[list[Loaded], list[Record], list[Problem]]:
    done: list[Loaded] = []
    changed: list[Record] = []
    problems: list[Problem] = []
    now = datetime.now().replace(microsecond=0)  # noqa: DTZ005 - local time, as all times here
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
    return done, changed, problems


def remember_words(pages: Pages, records: Sequence[Record]) -> None:
    """Reach the verdicts of records that changed, so that a listing need not."""
    if not records:
        return
    from trials.verdicts.reach import reach_verdict

    verdicts = []
    for record in with_progress(records, "Reaching verdicts"):
        try:
            verdicts.append(reach_verdict(record.trial, record.runs, record.corrections))
        except NotYet:
            continue
    pages.remember(verdicts)


def _print(done: Sequence[Loaded], book: Path) -> None:
    if len(done) <= LISTED_ONE_BY_ONE:
        for one in done:
            say(f"{one.name}: {one.words}.")
    else:
        new = sum(one.is_new for one in done)
        changed = sum(one.merged is not None and one.merged.changes_anything for one in done)
        say(f"{count_of(len(done), 'trial')}: {new:,} new, {changed:,} changed, {len(done) - new - changed:,} as they were.")
    say(f"In {book}. Next: samedirt {'verdict ' + done[0].name if len(done) == 1 else 'logbook'}")
