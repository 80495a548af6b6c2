"""A copy of a trial to show: written as any other, after telling what is not in it."""

import shutil
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from schemas import Record
from trials.commands.printing import say
from trials.errors import Problem, Refused
from trials.files.folder import look_through
from trials.files.public import Public, public_copy
from trials.files.unloaded import refuse_loss
from trials.logbook.logbook import Logbook
from trials.records.keys import TRIAL_FILE
from trials.wording.lists import and_list

if TYPE_CHECKING:
    from trials.commands.export import Form


def write_public(path: Path, name: str, folder: Path, form: "Form") -> None:
    """Write the copy of a trial that may be shown, and say what was left out of it.

    The copy passes through a logbook of its own, so that every form is written as for any other trial.

    Raises
    ------
    Refused
        No such trial, or the folder holds the trial with what the copy leaves out.
    """
    from trials.commands.export import write

    copy = public_copy(Logbook(path).read(name))
    with TemporaryDirectory() as place:
        book = Logbook(Path(place) / "public.duckdb", keeps=False)
        with book.writing() as pages:
            pages.store([copy.record])
        written = write(book.path, name, Path(place) / "copy", form)
        _refuse_mixing(folder, {file.name for file in written}, copy)
        folder.mkdir(parents=True, exist_ok=True)
        for file in written:
            shutil.copyfile(file, folder / file.name)
            say(f"Wrote {folder / file.name}")
    say(f"Left out: {and_list(copy.left_out)}." if copy.left_out else "Nothing had to be left out.")
    say(f"Still in it, as typed: {and_list(copy.stays)}. Read them before you send it.")


def _refuse_mixing(folder: Path, names: set[str], copy: Public) -> None:
    """Refuse a folder that holds more than an earlier copy: what was left out would lie beside it, or be lost."""
    if not folder.is_dir():
        return
    others = sorted(path.name for path in folder.iterdir() if path.name not in names)
    there, _ = look_through(folder) if (folder / TRIAL_FILE).exists() else (None, ())
    is_whole = there is not None and bool(refuse_loss(copy.record, folder) or _is_private(there))
    if others or is_whole:
        what = "the trial itself" if is_whole else f"other files ({and_list(others)})"
        says = f"holds {what}; a copy to show goes into a folder of its own, named with --to"
        raise Refused([Problem(str(folder), says)])


def _is_private(record: Record) -> bool:
    """Whether a record has what a copy to show leaves out."""
    return bool(public_copy(record).left_out)
