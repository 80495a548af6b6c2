"""A record -> the folder a person can open, edit and load: `trial.toml`, `runs.csv`, `changes.csv`; or JSON."""

import json
import math
from collections.abc import Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

import tomlkit

from schemas import Correction, Record, Run, Trial, Typed, Word
from schemas.base import MEASURE_WORDS
from schemas.trial import SECTIONS
from trials.errors import Problem, Refused
from trials.files.changes_file import COLUMNS as CHANGE_COLUMNS
from trials.files.table import csv_text, guarded
from trials.files.typed_texts import TYPED, typed_text
from trials.files.written_over import Written, refuse_folder, refuse_json, write_and_keep
from trials.records.assemble import coarse_to_fine
from trials.records.columns import BY_CLASS
from trials.records.flat import RUN_FIELDS, flat_run, text_of
from trials.records.keys import CHANGES_FILE, RUNS_FILE, TOP_KEYS, TRIAL_FILE, file_keys
from trials.units.quantity import Kind


def write_folder(record: Record, folder: str | Path, *, replace: bool = False) -> tuple[Written, ...]:
    """Write a record as plain files, and say what became of those that were there.

    The folder is made if it does not exist. A file that says the same already is left as it is; one that differs is
    kept beside; with `replace` what the record does not hold may give way too. Refused where the folder holds another
    trial, or values that the record has not, or can't be written to.
    """
    folder = Path(folder)
    problems, stands = refuse_folder(record, folder, replace=replace)
    if problems:
        raise Refused(problems)
    texts = folder_texts(record)
    if (folder / RUNS_FILE).exists():
        texts.setdefault(RUNS_FILE, runs_text((), record.trial))
    if (folder / CHANGES_FILE).exists():
        texts.setdefault(CHANGES_FILE, changes_text(()))
    try:
        folder.mkdir(parents=True, exist_ok=True)
        return write_and_keep({folder / name: text for name, text in texts.items()}, stands)
    except OSError as error:
        raise Refused([Problem(str(folder), f"can't be written ({error.strerror}); name another with --to")]) from error


def folder_texts(record: Record) -> dict[str, str]:
    """The texts of the files of a trial folder, by name: a plan, and runs and corrections where there are any."""
    texts = {TRIAL_FILE: trial_text(record.trial)}
    if record.runs:
        texts[RUNS_FILE] = runs_text(record.runs, record.trial)
    if record.corrections:
        texts[CHANGES_FILE] = changes_text(record.corrections)
    return texts


def trial_text(trial: Trial) -> str:
    """Write a plan as the text of a `trial.toml`, as it was typed where that was kept."""
    document = tomlkit.document()
    for key in TOP_KEYS:
        value = getattr(trial, key)
        if value is None or (key in ("question", "spares", "audit") and not value):
            continue
        document[key] = _line_text(trial) if key == "worth_having" else value
    if len(trial.lots) > 1:
        lots = tomlkit.aot()
        for number, lot in enumerate(trial.lots, start=1):
            lots.append(_table(lot, f"[[lot]] {number}", trial.typed))
        document["lot"] = lots
    else:
        unnamed = trial.lots[0].name == "lot"
        document["lot"] = _table(trial.lots[0], "[lot]", trial.typed, skip=("name",) if unnamed else ())
    for section in SECTIONS:
        word = getattr(trial, section)
        table = None if word is None else _table(word, f"[{section}]", trial.typed)
        if table is not None and (len(table) or section == "limits"):
            document[section] = table
    for section, words in (("amended", trial.amended), ("photo", trial.photos)):
        if words:
            tables = tomlkit.aot()
            for word in words:
                tables.append(_table(word, f"[[{section}]]", {}))
            document[section] = tables
    return tomlkit.dumps(document)


def _line_text(trial: Trial) -> str:
    if "worth_having" in trial.typed:
        return trial.typed["worth_having"]
    return f"{_plain(trial.worth_having or 0.0)} {MEASURE_WORDS[trial.measure].unit}"


def _plain(value: float) -> str:
    """A number at full precision, without an exponent."""
    return f"{Decimal(repr(value)):f}".removesuffix(".0")


def _table(word: Word, where: str, typed: Mapping[str, str], skip: Sequence[str] = ()) -> Any:  # noqa: ANN401 - a tomlkit table
    table = tomlkit.table()
    for key, (field, how) in file_keys(type(word)).items():
        value = getattr(word, field)
        if value is None or key in skip or (where == "[grains]" and value == "gold"):
            continue
        if field == "changed":
            table[key] = list(value) if len(value) > 1 else value[0]
        else:
            table[key] = value if how is None else _quantity_text(value, how, typed.get(f"{where} {key}"))
    return table


def _quantity_text(value: float, how: Typed, typed: str | None) -> object:
    kind = Kind(how.kind)
    if typed is not None:
        return typed
    return value if kind in (Kind.COUNT, Kind.SPEED) else f"{_plain(value)} {kind.stored.name}".strip()


def runs_text(runs: Sequence[Run], trial: Trial) -> str:
    """Write runs as the text of a `runs.csv`, in the order they were run, at full precision."""
    labels = coarse_to_fine(dict.fromkeys(part.label for run in runs for part in run.classes), trial)
    flats: list[Mapping[str, str | None]] = [flat_run(run) for run in runs]
    fields = [name for name in RUN_FIELDS if any(flat[name] is not None for flat in flats)]
    by_class = [
        f"{name} {label}"
        for name in BY_CLASS
        for label in labels
        if any(flat.get(f"{name} {label}") is not None for flat in flats)
    ]
    columns = [*fields, *by_class, *([TYPED] if any(run.typed for run in runs) else [])]
    flats = [{**flat, TYPED: typed_text(run.typed)} for run, flat in zip(runs, flats, strict=True)]
    in_order = sorted(zip(runs, flats, strict=True), key=lambda item: (item[0].turn or 10**6, item[0].key))
    rows = ([str(run.pair), _cell(run.arm), *(_cell(flat.get(column)) for column in columns)] for run, flat in in_order)
    return csv_text(["pair", "arm", *columns], rows)


def changes_text(corrections: Sequence[Correction]) -> str:
    """Write corrections as the text of a `changes.csv`."""
    rows = ([_cell(text_of(getattr(c, name))) for name in CHANGE_COLUMNS] for c in corrections)
    return csv_text(CHANGE_COLUMNS, rows)


def _cell(text: str | None) -> str:
    """A cell that reads back as it was; numbers below zero are no formula and stay as they are."""
    if text is None:
        return ""
    try:
        return text if math.isfinite(float(text)) else guarded(text)
    except ValueError:
        return guarded(text)


def record_json(record: Record) -> str:
    """Write a record as JSON, its stored values at full precision."""
    return json.dumps(record.model_dump(mode="json"), ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def write_json(record: Record, folder: Path, *, replace: bool = False) -> tuple[Written, ...]:
    """Write a record as `NAME.json` in a folder, made if it does not exist; else as `write_folder`."""
    path = folder / f"{record.trial.name}.json"
    if problems := refuse_json(record, path, replace=replace):
        raise Refused(problems)
    folder.mkdir(parents=True, exist_ok=True)
    return write_and_keep({path: record_json(record)})
