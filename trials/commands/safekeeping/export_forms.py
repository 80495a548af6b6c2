"""The forms in which a trial goes out to files: why it may not be written, and its writing."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # --help pays for no words
    from collections.abc import Mapping, Sequence

    from schemas import Record
    from trials.errors import Problem
    from trials.files.written_over import Written


class Form(StrEnum):
    """The form of exported files."""

    FOLDER = "folder"
    JSON = "json"
    PARQUET = "parquet"


def refused_form(record: Record, folder: Path, form: Form, *, replace: bool) -> Sequence[Problem]:
    """Why may a trial not be written into a folder?"""
    from trials.files.written_over import refuse_folder, refuse_json

    match form:
        case Form.FOLDER:
            return refuse_folder(record, folder, replace=replace)[0]
        case Form.JSON:
            return refuse_json(record, folder / f"{record.trial.name}.json", replace=replace)
        case Form.PARQUET:
            return ()


def write_form(record: Record, folder: Path, form: Form, *, replace: bool) -> tuple[Written, ...]:
    """Write a trial into a folder; what is there gives way as `write_folder` says."""
    from trials.files.write import write_folder, write_json
    from trials.files.written_over import write_and_keep

    if form is Form.FOLDER:
        return write_folder(record, folder, replace=replace)
    if form is Form.JSON:
        return write_json(record, folder, replace=replace)
    contents = contents_in(record, form)
    folder.mkdir(parents=True, exist_ok=True)
    return write_and_keep({folder / file: content for file, content in contents.items()})


def contents_in(record: Record, form: Form) -> Mapping[str, str | bytes]:
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
