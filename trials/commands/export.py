"""`samedirt export`: plain files out."""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, LogbookOption, refusing_unwritable
from trials.commands.printing import say, say_json
from trials.errors import Refused

if TYPE_CHECKING:  # --help pays for no words
    from collections.abc import Mapping

    from schemas import Record
    from trials.files.written_over import Written


class Form(StrEnum):
    """The form of exported files."""

    FOLDER = "folder"
    JSON = "json"
    PARQUET = "parquet"


def export(
    name: Annotated[str | None, typer.Argument(help="Name of the trial.", show_default=False)] = None,
    to: Annotated[Path | None, typer.Option("--to", help="The folder to write to.", show_default="NAME")] = None,
    form: Annotated[Form, typer.Option("--as", help="trial.toml and CSV, JSON, or Parquet.")] = Form.FOLDER,
    public: Annotated[
        bool, typer.Option("--public", help="A copy to show: no notes, pictures, place labels or lot names.")
    ] = False,
    replace: Annotated[
        bool, typer.Option("--replace", help="Write over what the logbook does not hold; it is kept beside.")
    ] = False,
    schema: Annotated[bool, typer.Option("--schema", help="Print the JSON Schema of a trial file and stop.")] = False,
    book: LogbookOption = DEFAULT_LOGBOOK,
) -> None:
    """Write a trial as plain files: the form that load reads, or JSON, or Parquet.

    A file that says the same already is left as it is, your own remarks in it too; one that differs is kept beside.
    What the logbook does not hold yet is not written over.

    Example: samedirt export rough-bed --to rough-bed-copy, or samedirt export rough-bed --public
    """
    from trials.logbook.logbook import Logbook

    if schema:
        from trials.files.file_schema import trial_file_schema

        say_json(trial_file_schema())
        return
    if name is None:
        raise Refused("export needs the name of a trial; samedirt logbook lists them")
    record = Logbook(book).read(name)
    if public:
        _write_public(record, to, form)
        return
    folder = to or Path(name)
    with refusing_unwritable(folder, "name another with --to"):
        for one in _write(record, folder, form, replace=replace):
            say(one.words)


def _write(record: "Record", folder: Path, form: Form, *, replace: bool) -> "tuple[Written, ...]":
    from trials.files.write import write_folder, write_json
    from trials.files.written_over import write_and_keep

    if form is Form.FOLDER:
        return write_folder(record, folder, replace=replace)
    if form is Form.JSON:
        return write_json(record, folder, replace=replace)
    contents = _contents(record, form)
    folder.mkdir(parents=True, exist_ok=True)
    return write_and_keep({folder / file: content for file, content in contents.items()})


def _contents(record: "Record", form: Form) -> "Mapping[str, str | bytes]":
    """What is to be written, by name of file."""
    from trials.files.write import folder_texts, record_json

    match form:
        case Form.FOLDER:
            return folder_texts(record)
        case Form.JSON:
            return {f"{record.trial.name}.json": record_json(record)}
        case Form.PARQUET:
            from trials.logbook.parquet import parquet_files

            return parquet_files(record)


def _write_public(record: "Record", to: Path | None, form: Form) -> None:
    """Write the copy of a trial that may be shown, and say what was left out of it."""
    from trials.files.public import public_copy
    from trials.files.whole import write_all
    from trials.files.written_over import refuse_mixing

    copy = public_copy(record)
    name = f"{copy.record.trial.name}-public"
    folder = to or Path(name if form is Form.FOLDER else f"{name}-{form.value}")
    contents = _contents(copy.record, form)
    if problems := refuse_mixing(copy, folder, set(contents)):
        raise Refused(problems)
    with refusing_unwritable(folder, "name another with --to"):
        folder.mkdir(parents=True, exist_ok=True)
        for path in write_all({folder / file: content for file, content in contents.items()}, over=True):
            say(f"Wrote {path}")
    for sentence in copy.words:
        say(sentence)
