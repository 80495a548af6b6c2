"""A trial in one line: its columns, what stands in each, which have room; and every number of it for plain readers."""

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any, Final

from trials.errors import one_line
from trials.files.table import guarded
from trials.logbook.pages import OWN, SET_ASIDE, ListedTrial, Remembered
from trials.wording.numbers import decimals_apart, decimals_for, plain, signed, times

CODE_WORDS: Final[Mapping[str, str]] = {
    "better": "better",
    "worse": "worse",
    "no_difference": "no difference",
    "not_settled": "not settled",
    "scatter": "nothing changed",
    "audit": "audit",
    "blocked": "no verdict",
    "incomplete": "not finished",
    "too_few": "too few",
    SET_ASIDE: "set aside",
}
"""What is listed of every code of a verdict, and of a trial that was set aside."""
LONGEST_CHANGE: Final = 26
DAY: Final = len("2026-05-03")


@dataclass(frozen=True, slots=True)
class ListColumn:
    """One column, and how soon it gives way where there is little room: the lower the sooner; 0 never."""

    head: str
    gives_way: int = 0


COLUMNS: Final = (
    ListColumn("last run"),
    ListColumn("trial"),
    ListColumn("change", 4),
    ListColumn("measure", 3),
    ListColumn("verdict"),
    ListColumn("gain"),
    ListColumn("sand", 2),
    ListColumn("clean-up", 1),
    ListColumn("last word"),
    ListColumn("decided"),
)


def columns_that_fit(rows: Sequence[Sequence[str]], room: int) -> list[int]:
    """Which columns have room beside one another, in so many characters? One that is blank throughout takes none."""
    widths = [max(len(COLUMNS[i].head), *(len(row[i]) for row in rows)) for i in range(len(COLUMNS))]
    kept = [i for i in range(len(COLUMNS)) if any(row[i] for row in rows)]
    for i in sorted((i for i in kept if COLUMNS[i].gives_way), key=lambda i: COLUMNS[i].gives_way):
        if sum(widths[k] + 2 for k in kept) - 2 > room:
            kept.remove(i)
    return kept


def cells_of(line: ListedTrial) -> tuple[str, ...]:
    """What stands in each column."""
    word = line.word
    cells = [(line.last_session or "not run")[:DAY], line.trial, change_words(line), _measure_words(line)]
    if word is None:
        return (*map(one_line, cells), "", "", "", "", "", "")
    is_started = word.code != "incomplete" or line.last_session is not None or bool(word.pairs)
    code = CODE_WORDS[word.code] if is_started else "not started"
    cells += [
        f"leaning {code}" if word.leaning else code,
        "" if word.code == "scatter" else gain_words(word),
        "" if word.black_sand is None else times(word.black_sand),
        "" if word.cleanup_minutes is None else f"{signed(word.cleanup_minutes, 1)} min",
        (word.last_word or "") if is_started else "",
        word.decided or "",
    ]
    return tuple(map(one_line, cells))


def reason_of(line: ListedTrial) -> str:
    """Why a change that showed no gain may be kept: what it could cost, and what it saves; else blank."""
    word = line.word
    if word is None or word.code != "no_difference" or word.last_word != "keep":
        return ""
    return f"{line.trial}: keep: {word.last_word_why}."


def _measure_words(line: ListedTrial) -> str:
    """What was measured, and of which size alone."""
    of_size = "" if line.word is None or line.word.size_class is None else f" {line.word.size_class}"
    return line.measure.replace("_", " ") + of_size


def change_words(line: ListedTrial) -> str:
    """What was changed, and to what; of a graded trial how many levels, or the one its verdict names."""
    if line.variable is None:
        return ""
    changed = line.changed or ()
    named = None if line.word is None else line.word.level_named
    to = changed[0] if len(changed) == 1 else named or f"{len(changed)} levels"
    text = f"{line.variable}: {to}"
    return text if len(text) <= LONGEST_CHANGE else f"{text[: LONGEST_CHANGE - 3]}..."


def gain_words(word: Remembered) -> str:
    """The gain with its limits, as "+2.3 points (0.8 to 3.7)"; blank where there is none.

    >>> gain_words(Remembered("t", "1", "better", "", None, unit="%", shown=38.9, shown_low=11.2, shown_high=73.4))
    '+39 % (11 to 73)'
    """
    if word.shown is None:
        return ""
    low, high = word.shown_low, word.shown_high
    if low is None or high is None:
        return f"{signed(word.shown, 1)} {word.unit}"
    places = decimals_apart([low, high], [0.0], decimals_for((high - low) / 2))
    write = plain if low > 0 else signed
    return f"{signed(word.shown, places)} {word.unit} ({write(low, places)} to {write(high, places)})"


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
