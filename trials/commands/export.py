"""`samedirt export`: plain files out."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, LogbookOption, refusing_unwritable
from trials.commands.printing import say, say_json
from trials.commands.safekeeping.export_forms import Form, contents_in, write_form
from trials.errors import Refused

if TYPE_CHECKING:  # --help pays for no words
    from schemas import Record


def export(
    name: Annotated[str | None, typer.Argument(help="Name of the trial.", show_default=False)] = None,
    every: Annotated[bool, typer.Option("--all", help="Every trial, into a folder each under one: exported.")] = False,
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

    Example: samedirt export rough-bed --to rough-bed-copy, or samedirt export --all --to my-trials
    """
    from trials.logbook.logbook import Logbook

    if schema:
        from trials.files.file_schema import trial_file_schema

        say_json(trial_file_schema())
        return
    if every:
        from trials.commands.safekeeping.export_all import export_all

        if name is not None or public:
            raise Refused(f"export --all takes no {'--public' if public else 'name'}; export that by itself")
        export_all(Logbook(book), to, form, replace=replace)
        return
    if name is None:
        raise Refused("export needs the name of a trial, or --all; samedirt logbook lists them")
    record = Logbook(book).read(name)
    if public:
        _write_public(record, to, form)
        return
    folder = to or Path(name)
    with refusing_unwritable(folder, "name another with --to"):
        for one in write_form(record, folder, form, replace=replace):
            say(one.words)


def _write_public(record: "Record", to: Path | None, form: Form) -> None:
    """Write the copy of a trial that may be shown, and say what was left out of it."""
    from trials.files.public import public_copy
    from trials.files.whole import write_all
    from trials.files.written_over import refuse_mixing

    copy = public_copy(record)
    name = f"{copy.record.trial.name}-public"
    folder = to or Path(name if form is Form.FOLDER else f"{name}-{form.value}")
    contents = contents_in(copy.record, form)
    if problems := refuse_mixing(copy, folder, set(contents)):
        raise Refused(problems)
    with refusing_unwritable(folder, "name another with --to"):
        folder.mkdir(parents=True, exist_ok=True)
        for path in write_all({folder / file: content for file, content in contents.items()}, over=True):
            say(f"Wrote {path}")
    for sentence in copy.words:
        say(sentence)
