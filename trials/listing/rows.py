"""The list for plain readers: every number remembered of each trial, by name; and the same as CSV."""

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import fields
from typing import Any

from trials.files.table import guarded
from trials.logbook.logbook import OWN, ListedTrial, Remembered

LISTS = ("changed", "lots", "lot_kinds", "costs_over")
"""What may be several of one trial."""


def rows_of_listing(lines: Iterable[ListedTrial]) -> list[dict[str, Any]]:
    """All that is listed and remembered of each trial, by name, days as text."""
    blank = dict.fromkeys(field.name for field in fields(Remembered))
    rows = []
    for line in lines:
        told = {name: getattr(line, name) for name in OWN}
        word = blank if line.word is None else {name: getattr(line.word, name) for name in blank}
        row = {**word, **told}
        row |= {name: list(row[name] or ()) for name in LISTS}
        row["decided_on"] = None if row["decided_on"] is None else row["decided_on"].isoformat()
        rows.append({**told, **row})
    return rows


def csv_of_listing(lines: Sequence[ListedTrial]) -> str:
    """The list as CSV, what is several in one cell parted by a bar, with its header even where no trial is listed."""
    header = list(OWN)
    header += [field.name for field in fields(Remembered) if field.name not in header]
    out = io.StringIO()
    writer = csv.DictWriter(out, header, lineterminator="\n")
    writer.writeheader()
    for row in rows_of_listing(lines):
        flat = row | {name: " | ".join(row[name]) for name in LISTS}
        writer.writerow({name: guarded(cell) if isinstance(cell, str) else cell for name, cell in flat.items()})
    return out.getvalue()
