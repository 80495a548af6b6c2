"""`samedirt export`: plain files out."""

from enum import StrEnum
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, LogbookOption, refusing_unwritable
from trials.commands.printing import say, say_json
from trials.errors import Refused

if TYPE_CHECKING:  # --help pays for no words
    from schemas import Record


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
    from trials.logbook.logbook import Logbook

    if schema:
        from trials.files.file_schema import trial_file_schema

        say_json(trial_file_schema())
        return
    if name is None:
        raise Refused("export needs the name of a trial; samedirt logbook lists them")
    record = Logbook(book).read(name)
    if public:
        place = f"{name}-public" if form is Form.FOLDER else f"{name}-public-{form.value}"
        _write_public(record, to or Path(place), form)
        return
    for path in _write(record, to or Path(name), form):
        say(f"Wrote {path}")


def _write_public(record: "Record", folder: Path, form: Form) -> None:
    """Write the copy of a trial that may be shown, and say what was left out of it."""
    from trials.files.public import public_copy
    from trials.files.unloaded import refuse_mixing
    from trials.files.whole import write_whole
    from trials.wording.lists import and_list

    copy = public_copy(record)
    with TemporaryDirectory() as place:
        written = _write(copy.record, Path(place), form)
        if problems := refuse_mixing(copy, folder, {file.name for file in written}):
            raise Refused(problems)
        folder.mkdir(parents=True, exist_ok=True)
        for file in written:
            say(f"Wrote {write_whole(folder / file.name, file.read_bytes(), over=True)}")
    say(f"Left out: {and_list(copy.left_out)}." if copy.left_out else "Nothing had to be left out.")
    say(f"Still in it, as typed: {and_list(copy.stays)}. Read them before you send it.")


def _write(record: "Record", folder: Path, form: Form) -> tuple[Path, ...]:
    with refusing_unwritable(folder, "name another with --to"):
        match form:
            case Form.FOLDER:
                from trials.files.unloaded import refuse_loss
                from trials.files.write import write_folder

                if problems := refuse_loss(record, folder):
                    raise Refused(problems)
                return write_folder(record, folder)
            case Form.JSON:
                from trials.files.write import write_json

                return write_json(record, folder)
            case Form.PARQUET:
                return _write_parquet(record, folder)


def _write_parquet(record: "Record", folder: Path) -> tuple[Path, ...]:
    """Write the rows of a trial as Parquet, by way of a logbook that holds it alone."""
    from trials.files.whole import write_whole
    from trials.logbook.logbook import Logbook
    from trials.logbook.parquet import write_parquet

    with TemporaryDirectory() as place:
        book = Logbook(Path(place) / "one.duckdb", keeps=False)
        with book.writing() as pages:
            pages.store([record])
        written = write_parquet(book, record.trial.name, Path(place))
        folder.mkdir(parents=True, exist_ok=True)
        for file in written:
            with refusing_unwritable(folder / file.name, "name another folder with --to"):
                write_whole(folder / file.name, file.read_bytes(), over=True)
        return tuple(folder / file.name for file in written)
