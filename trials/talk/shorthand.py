"""Two things in one answer: gross and tare, water at both ends, the clock, a count and its recount, ticks."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from schemas.run import COUNTED, TICKS_OF_GOLD, WEIGHED
from trials.files.cell_rules import CellError
from trials.records.assemble import NET_FIELD
from trials.records.columns import MEASURED, Column
from trials.records.faults import shown_value
from trials.units.clock import read_clocks
from trials.wording.lists import and_list
from trials.wording.numbers import typed_figures

TICKS = "ticks"
"""What the answer is called that ticks several boxes at once."""
TWO_READINGS = MappingProxyType({NET_FIELD[base]: base for base in WEIGHED})
"""Fields that may be told as two readings of the scale instead of a net mass, by the base of their columns."""

_NUMBER = r"(?:[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)"
_UNIT = r"[A-Za-z][A-Za-z/ ]*?"
_BETWEEN = re.compile(r"\s+(?:to|and|then|until|less)\s+", re.IGNORECASE)
_TWO = re.compile(
    rf"(?P<one>{_NUMBER})(?:\s*(?P<unit>{_UNIT}))?(?:\s*[;-]\s*|,?\s+)(?P<other>{_NUMBER})(?:\s*(?P<last>{_UNIT}))?"
)


@dataclass(frozen=True, slots=True)
class Portion:
    """One column of what was typed, with the text that is kept as typed where that is another."""

    header: str
    text: str
    typed: str | None = None


def spelled_out(column: Column, text: str) -> list[Portion]:
    """Which columns does an answer to a column fill? One, as typed, where it says one thing.

    CellError or UnitError where the clock ran backwards, or two counts differ.

    >>> from trials.records.headings import heading
    >>> [part.text for part in spelled_out(heading("black_sand_g"), "18.6 12.2")]
    ['18.6', '12.2']
    >>> spelled_out(heading("minutes"), "9:12 9:21")
    [Portion(header='minutes', text='9', typed='9:12 9:21')]
    """
    text = text.strip()
    if column.label is None and column.field in ("minutes", "cleanup_minutes"):
        return _by_the_clock(column.field, text)
    found = _TWO.fullmatch(_BETWEEN.sub(" ", text))
    if found is None:
        return [Portion(column.header, text)]
    if column.field in COUNTED:
        return [Portion(column.header, _one_count(found, text))]
    headers = None if column.label is not None else _two_columns(column)
    if headers is None:
        return [Portion(column.header, text)]
    unit = found["last"] or found["unit"] or ""
    both = (f"{found['one']} {found['unit'] or unit}", f"{found['other']} {unit}")
    return [Portion(header, one.rstrip()) for header, one in zip(headers, both, strict=True)]


def _two_columns(column: Column) -> tuple[str, str] | None:
    if column.field in TWO_READINGS:
        base = TWO_READINGS[column.field]
        return f"{base}_gross_g", f"{base}_tare_g"
    if column.field == "water_l_min":
        ending = column.ending or "l_min"
        return f"{MEASURED['water_l_min'][0]}_{ending}", f"{MEASURED['water_end_l_min'][0]}_{ending}"
    return None


def _one_count(found: re.Match[str], text: str) -> str:
    if found["one"] != found["other"]:
        says = f"{found['one']} and {found['other']} are two counts; count again until two agree, and write that one"
        raise CellError(says)
    return found["one"] if found["unit"] is None else text


def _by_the_clock(field: str, text: str) -> list[Portion]:
    """Minutes between two times of the clock, where they are told so."""
    clocks = read_clocks(text)
    return [Portion(field, text)] if clocks is None else [Portion(field, typed_figures(clocks.minutes, 6), text)]


def ticks_of(text: str) -> Mapping[str, str]:
    """Which boxes were ticked? Those named yes, and the others no; CellError for a word that is none of them."""
    words = [word for word in re.split(r"[\s,;+&]+", text.casefold()) if word and word != "and"]
    if words in (["all"], ["yes"], ["y"]):
        return dict.fromkeys(TICKS_OF_GOLD, "yes")
    if words in (["none"], ["no"], ["n"]):
        return dict.fromkeys(TICKS_OF_GOLD, "no")
    named = {word: next((tick for tick in TICKS_OF_GOLD if tick.startswith(word)), None) for word in words}
    strange = next((word for word, tick in named.items() if tick is None), None)
    if strange is not None:
        boxes = and_list(TICKS_OF_GOLD)
        raise CellError(f"{shown_value(strange)} is none of the boxes; write {boxes}, all of them, or none")
    return {tick: "yes" if tick in named.values() else "no" for tick in TICKS_OF_GOLD}
