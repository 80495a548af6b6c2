"""An export over an earlier one: what the logbook does not hold is not replaced, and what was there is kept."""

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from schemas import Record, Run
from trials.errors import Problem
from trials.files.folder import look_through
from trials.files.public import Public, public_copy
from trials.files.whole import PART, is_equal, write_all
from trials.records.flat import flat_run, flat_trial
from trials.records.keys import CHANGES_FILE, RUNS_FILE, TRIAL_FILE
from trials.wording.lists import and_list

NOT_HELD = "holds values that are not in the logbook"
LOAD_FIRST = "samedirt load it first, name another folder with --to, or write over it with --replace: it is kept beside"
KEEPS_IT = "name another folder with --to, or write over it with --replace: it is kept beside"


@dataclass(frozen=True, slots=True)
class Written:
    """One file of an export.

    path: where it lies.
    kept: where the one before it lies now, if another was there.
    stood: whether it was there already and says the same; then it was left as it is.
    """

    path: Path
    kept: Path | None = None
    stood: bool = False

    @property
    def words(self) -> str:
        """What was done, in one sentence."""
        if self.stood:
            return f"{self.path} says the same already and was left as it is"
        return f"Wrote {self.path}" + ("" if self.kept is None else f"; the one before it is kept as {self.kept}")


def write_and_keep(contents: Mapping[Path, str | bytes], stands: frozenset[Path] = frozenset()) -> tuple[Written, ...]:
    """Write files whole; what was there and differs is kept beside under another name, and `stands` are left alone.

    Raises Refused: something is no plain file. OSError: no room, or no right to write.
    """
    bytes_of = {path: text if isinstance(text, bytes) else text.encode() for path, text in contents.items()}
    stood = {path for path, content in bytes_of.items() if path in stands or is_equal(path, content)}
    to_write = {path: content for path, content in bytes_of.items() if path not in stood}
    kept = {path: _free_name(path) for path in to_write if path.is_file()}
    write_all({beside: path.read_bytes() for path, beside in kept.items()}, over=True)
    write_all(to_write, over=True)
    return tuple(Written(path, kept.get(path), stood=path in stood) for path in bytes_of)


def _free_name(path: Path) -> Path:
    """The next free name to keep a file under: no reader of folders takes it for the file itself."""
    names = (path.with_name(f"{path.stem}-old-{number}{path.suffix}") for number in itertools.count(1))
    return next(name for name in names if not name.exists())


def refuse_folder(record: Record, folder: Path, *, replace: bool) -> tuple[list[Problem], frozenset[Path]]:
    """Why may a record not be written over what is in a folder; and which files there say the same already?

    A problem where the folder holds another trial; and but for `replace`: where it can't be read, and for each run or
    key with a value that is neither the record's nor one that a correction or an amendment keeps.
    """
    files = [folder / name for name in (TRIAL_FILE, RUNS_FILE, CHANGES_FILE)]
    if not files[0].exists():
        alone = () if replace else [path for path in files if path.exists()]
        return [
            Problem(str(path), f"is there already, without a {TRIAL_FILE}", KEEPS_IT) for path in alone
        ], frozenset()
    there, problems = look_through(folder)
    if there is None:
        says = f"can't be read as it stands ({problems[0].says})"
        return [] if replace else [Problem(problems[0].place, says, KEEPS_IT)], frozenset()
    if there.trial.name != record.trial.name:
        return [_another(folder, there, record)], frozenset()
    pairs = ((there.trial, record.trial), (there.runs, record.runs), (there.corrections, record.corrections))
    stands = frozenset(path for path, (one, other) in zip(files, pairs, strict=True) if one == other and path.exists())
    return [] if replace else list(_not_held(record, there, folder)), stands


def refuse_json(record: Record, path: Path, *, replace: bool) -> list[Problem]:
    """Why may a record not be written over the JSON file at a path, which need not exist?"""
    if not path.is_file():
        return []
    try:
        there = Record.model_validate_json(path.read_bytes())
    except (ValidationError, OSError):
        return [] if replace else [Problem(str(path), "is there already, and is no record of this version", KEEPS_IT)]
    if there.trial.name != record.trial.name:
        return [_another(path, there, record)]
    return [] if replace else list(_not_held(record, there, path))


def _another(place: Path, there: Record, record: Record) -> Problem:
    what = f"holds the trial {there.trial.name}, not {record.trial.name}"
    return Problem(str(place), what, "name another folder with --to")


def _not_held(record: Record, there: Record, place: Path) -> Iterator[Problem]:
    """What a record read out of files has that the logbook has not, and no correction or amendment keeps."""
    yield from (Problem(f"{place}, {what}", NOT_HELD, LOAD_FIRST) for what in _keys_not_held(record, there))
    known = {run.key: run for run in record.runs}
    kept = {(c.pair, c.arm, c.field, c.old) for c in record.corrections}
    for run in there.runs:
        if _is_lost(run, known.get(run.key), kept):
            yield Problem(f"{place}, pair {run.pair} {run.arm}".rstrip(), NOT_HELD, LOAD_FIRST)
    for one in there.corrections:
        if one not in record.corrections:
            yield Problem(f"{place}, the correction of {one.field}", "is not in the logbook", LOAD_FIRST)


def _keys_not_held(record: Record, there: Record) -> Iterator[str]:
    old, stored = flat_trial(there.trial), flat_trial(record.trial)
    kept = {(c.field, c.old) for c in record.corrections if c.pair is None}
    kept |= {(one.what, one.was) for one in record.trial.amended}
    yield from (what for what, text in old.items() if text not in (None, stored.get(what)) and (what, text) not in kept)
    yield from (f"the amendment of {one.what}" for one in there.trial.amended if one not in record.trial.amended)
    yield from (f"the picture {one.path}" for one in there.trial.photos if one not in record.trial.photos)


def _is_lost(run: Run, known: Run | None, kept: set[tuple[int | None, str | None, str, str | None]]) -> bool:
    stored = {} if known is None else flat_run(known)
    new = {field: text for field, text in flat_run(run).items() if text is not None and stored.get(field) != text}
    return any((run.pair, run.arm or None, field, text) not in kept for field, text in new.items())


def refuse_mixing(copy: Public, folder: Path, names: set[str]) -> list[Problem]:
    """Refuse a folder that holds more than an earlier copy to show: what was left out would lie beside it, or go."""
    if not folder.is_dir():
        return []
    others = sorted(path.name for path in folder.iterdir() if path.name not in names and path.suffix != PART)
    there, _ = look_through(folder) if (folder / TRIAL_FILE).exists() else (None, ())
    is_whole = there is not None and bool(any(_not_held(copy.record, there, folder)) or public_copy(there).left_out)
    if not others and not is_whole:
        return []
    what = "the trial itself" if is_whole else f"other files ({and_list(others)})"
    return [Problem(str(folder), f"holds {what}", "a copy to show goes into a folder of its own, named with --to")]
