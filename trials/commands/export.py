"""`samedirt export`: plain files out."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, LogbookOption
from trials.commands.printing import say, say_json
from trials.errors import Problem, Refused


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
    schema: Annotated[bool, typer.Option("--schema", help="Print the JSON Schema of a trial file and stop.")] = False,
    book: LogbookOption = DEFAULT_LOGBOOK,
) -> None:
    """Write a trial as plain files: the form that load reads, or JSON, or Parquet.

    Example: samedirt export rough-bed --to rough-bed-copy, or samedirt export rough-bed --public
    """
    if schema:
        from trials.files.file_schema import trial_file_schema

        say_json(trial_file_schema())
        return
    if name is None:
        raise Refused("export needs the name of a trial; samedirt logbook lists them")
    if public:
        from trials.commands.public import write_public

        place = f"{name}-public" if form is Form.FOLDER else f"{name}-public-{form.value}"
        write_public(book, name, to or Path(place), form)
        return
    for path in write(book, name, to or Path(name), form):
        say(f"Wrote {path}")


def write(path: Path, name: str, folder: Path, form: Form) -> tuple[Path, ...]:
    """Write a trial of a logbook in one of the forms; gives the files written."""
    from trials.logbook.logbook import Logbook

    book = Logbook(path)
    record = book.read(name)
    try:
        match form:
            case Form.FOLDER:
                from trials.files.unloaded import refuse_loss
                from trials.files.write import write_folder

                if problems := refuse_loss(record, folder):
                    raise Refused(problems)
                return write_folder(record, folder)
            case Form.JSON:
                from trials.files.plain_json import write_json

                return write_json(record, folder)
            case Form.PARQUET:
                from trials.logbook.parquet import write_parquet

                return write_parquet(book, name, folder)
    except OSError as error:
        raise Refused([Problem(str(folder), f"can't be written ({error.strerror}); name another with --to")]) from error
