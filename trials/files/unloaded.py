"""What a folder holds that a record never had: it would be lost if the folder were written over."""

from pathlib import Path

from schemas import Record, Run
from trials.errors import Problem
from trials.files.folder import look_through
from trials.files.public import Public, public_copy
from trials.records.flat import flat_run
from trials.records.keys import TRIAL_FILE
from trials.wording.lists import and_list


def refuse_loss(record: Record, folder: Path) -> list[Problem]:
    """Which values of the runs in a folder, which may not exist yet, would be lost if this record were written over it?

    A problem for each run with a value that is neither the record's nor one that a correction keeps; or that the folder
    can't be read. Nothing where there is no trial, or another one: the writer refuses that itself.
    """
    if not (folder / TRIAL_FILE).exists():
        return []
    there, problems = look_through(folder)
    if there is None:
        says = f"can't be read as it stands ({problems[0].says}); name another folder with --to"
        return [Problem(problems[0].place, says)]
    if there.trial.name != record.trial.name:
        return []
    known = {run.key: run for run in record.runs}
    kept = {(c.pair, c.arm, c.field, c.old) for c in record.corrections}
    lost = (run for run in there.runs if _is_lost(run, known.get(run.key), kept))
    says = "holds values that are not in the logbook; samedirt load it first, or name another folder with --to"
    return [Problem(f"{folder}, pair {run.pair} {run.arm}".rstrip(), says) for run in lost]


def _is_lost(run: Run, known: Run | None, kept: set[tuple[int | None, str | None, str, str | None]]) -> bool:
    stored = {} if known is None else flat_run(known)
    new = {field: text for field, text in flat_run(run).items() if text is not None and stored.get(field) != text}
    return any((run.pair, run.arm or None, field, text) not in kept for field, text in new.items())


def refuse_mixing(copy: Public, folder: Path, names: set[str]) -> list[Problem]:
    """Refuse a folder that holds more than an earlier copy to show: what was left out would lie beside it, or go."""
    if not folder.is_dir():
        return []
    others = sorted(path.name for path in folder.iterdir() if path.name not in names)
    there, _ = look_through(folder) if (folder / TRIAL_FILE).exists() else (None, ())
    is_whole = there is not None and bool(refuse_loss(copy.record, folder) or public_copy(there).left_out)
    if not others and not is_whole:
        return []
    what = "the trial itself" if is_whole else f"other files ({and_list(others)})"
    return [Problem(str(folder), f"holds {what}", "a copy to show goes into a folder of its own, named with --to")]
