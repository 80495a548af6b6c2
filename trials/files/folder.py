"""A trial folder: `trial.toml`, `runs.csv`, and `changes.csv` where there were corrections."""

import pickle
import zlib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import TypeVar

from pydantic import ValidationError

from schemas import Record, Trial, Word
from trials.errors import Problem, Refused, capped
from trials.files.changes_file import read_changes
from trials.files.place import place_of
from trials.files.plain import read_plain, read_text
from trials.files.runs_file import read_runs_file
from trials.files.trial_file import STAND_INS, read_trial
from trials.records.cross_check import cross_check
from trials.records.faults import problems_of
from trials.records.keys import CHANGES_FILE, RUNS_FILE, TRIAL_FILE
from trials.wording.steps import step

W = TypeVar("W", bound=Word)
JSON, PARQUET = ".json", "trials.parquet"
"""How the exports of ours are told: a file of JSON, and the first of those of Parquet."""


@dataclass(frozen=True, slots=True)
class Packed:
    """A trial as it was read, packed, for unpacked its runs take some twenty times the room.

    source: the folder or file it was read from. name: what it is called. said: what of its files is to be known.
    """

    source: Path
    name: str
    _bytes: bytes
    said: tuple[str, ...] = ()

    @property
    def record(self) -> Record:
        """The trial, unpacked anew each time."""
        found: Record = pickle.loads(zlib.decompress(self._bytes))  # noqa: S301 - packed by this very process
        return found


def packed(source: Path, record: Record, said: Iterable[str] = ()) -> Packed:
    """Pack a trial that was read from a folder or file."""
    return Packed(source, record.trial.name, zlib.compress(pickle.dumps(record), 1), tuple(said))


def read_folder(folder: str | Path) -> Record:
    """Read a trial folder whole.

    It holds a `trial.toml`, and a `runs.csv` and a `changes.csv` where there are runs and corrections. Refused carries
    every problem of all files; each says file, row, column, value, rule and next step.
    """
    record, problems = look_through(Path(folder))
    if record is None:
        raise Refused(problems)
    return record


def look_through(folder: Path, said: Callable[[str], None] = lambda _: None) -> tuple[Record | None, list[Problem]]:
    """Read a trial folder, and give the record or every problem found; `said` as in `read_runs_file`."""
    if not _is_there(folder / TRIAL_FILE):
        return None, [
            Problem(
                place_of(folder), f"holds no {TRIAL_FILE}; name the folder of a trial, or one that holds such folders"
            )
        ]
    try:
        text = read_text(folder / TRIAL_FILE)
    except Refused as refused:
        return None, list(refused.problems)
    trial, problems = read_trial(text, place_of(folder / TRIAL_FILE))
    if trial is None:
        return None, [*problems, *_runs_alone(folder)]
    runs, found = _optional(folder / RUNS_FILE, lambda content, place: read_runs_file(content, trial, place, said))
    problems += found
    corrections, found = _optional(folder / CHANGES_FILE, read_changes)
    problems += found
    problems = capped(chain(problems, cross_check(trial, runs, place_of(folder / RUNS_FILE))))
    return (None, problems) if problems else (Record(trial=trial, runs=runs, corrections=corrections), [])


def _is_there(path: Path) -> bool:
    """Whether something has that name; so has a link that leads nowhere, which is told and not taken for none."""
    return path.exists() or path.is_symlink()


def _optional(
    path: Path, read: Callable[[bytes, str], tuple[tuple[W, ...], list[Problem]]]
) -> tuple[tuple[W, ...], list[Problem]]:
    """Read a file that need not be there."""
    if not _is_there(path):
        return (), []
    try:
        return read(read_plain(path), place_of(path))
    except Refused as refused:
        return (), list(refused.problems)


def _runs_alone(folder: Path) -> list[Problem]:
    """The problems of the runs by themselves, where the plan can't be read."""
    return _optional(folder / RUNS_FILE, lambda content, place: read_runs_file(content, Trial(**STAND_INS), place))[1]


def read_json(path: Path) -> tuple[Record | None, list[Problem]]:
    """Read the JSON of a trial: its record, or None with every problem found."""
    try:
        record = Record.model_validate_json(read_plain(path))
    except Refused as refused:
        return None, list(refused.problems)
    except ValidationError as error:
        if any(fault["type"] == "json_invalid" for fault in error.errors(include_url=False)):
            ours = step("samedirt export NAME --as json writes", "Files, at the page of a trial, has")
            return None, [Problem(place_of(path), "is no JSON", f"{ours} what can be loaded")]
        return None, list(
            problems_of(error, lambda loc: f"{place_of(path)}, {'.'.join(map(str, loc))}" if loc else place_of(path))
        )
    problems = cross_check(record.trial, record.runs, place_of(path))
    return (None, problems) if problems else (record, [])


def read_folders(
    paths: Sequence[Path],
    each: Callable[[Sequence[Path]], Iterable[Path]] = iter,
    of_parquet: Callable[[Path], Sequence[Record]] | None = None,
) -> list[Packed]:
    """Read every trial under some paths, or refuse them all; `each` goes through them, as a bar does.

    A path is the folder of a trial, one that holds such folders, or our own export as JSON; or as Parquet, which
    `of_parquet` reads where it is given.
    """
    once: dict[Path, Path] = {}
    for source in (source for path in paths for source in _sources(path)):
        once.setdefault(source.resolve(), source)
    trials: list[Packed] = []
    problems: list[Problem] = []
    for source in each(list(once.values())):
        said: list[str] = []
        found, faults = _read(source, of_parquet, said.append)
        problems = capped([*problems, *faults])
        trials += [packed(source, record, said) for record in found]
    seen: dict[str, Path] = {}
    for trial in trials:
        other = seen.setdefault(trial.name, trial.source)
        if other != trial.source:
            what = f"the trial {trial.name} is in {other} too"
            problems.append(Problem(str(trial.source), what, "give one of them another name"))
    if problems:
        raise Refused(problems)
    return trials


def _read(
    source: Path, of_parquet: Callable[[Path], Sequence[Record]] | None, said: Callable[[str], None]
) -> tuple[Sequence[Record], list[Problem]]:
    if source.name == PARQUET and of_parquet is not None:
        try:
            return of_parquet(source.parent), []
        except Refused as refused:
            return (), list(refused.problems)
    record, problems = read_json(source) if source.suffix == JSON else look_through(source, said)
    return (() if record is None else (record,)), problems


def is_exported(path: Path) -> bool:
    """Whether a path is a file of our own export, and no sheet that a person filled."""
    return path.suffix in (JSON, ".parquet")


def _sources(path: Path) -> list[Path]:
    """What a path names: a trial folder, all that lie right under it in order of name, or an export of ours."""
    if _is_there(path / TRIAL_FILE) or (path.suffix == JSON and path.is_file()):
        return [path]
    for file in (path / PARQUET, path.parent / PARQUET if path.suffix == ".parquet" else path):
        if file.name == PARQUET and file.is_file():
            return [file]
    found: list[Path] = []
    if path.is_dir():
        found = sorted(file.parent for file in path.glob(f"*/{TRIAL_FILE}")) or sorted(path.glob(f"*{JSON}"))
    if not found:
        what = "holds no trial.toml, nor do the folders in it" if path.is_dir() else "is not a folder"
        raise Refused([Problem(place_of(path), what, "name the folder of a trial")])
    return found
