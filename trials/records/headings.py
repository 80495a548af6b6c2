"""Headings as people write them: "Gold (mg)", "Au mg", "tag no.", "water L/min" -> the column that is meant."""

import re
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import replace
from functools import cache, lru_cache
from itertools import combinations

from trials.records.columns import BY_CLASS, MEASURED, RUN_COLUMNS, Column, column_named, names_column, sort_of
from trials.records.faults import shown_value
from trials.units.columns import column_units
from trials.units.kinds import plain_spelling, question, spellings
from trials.units.quantity import UnitError
from trials.units.sieves import read_size_class
from trials.wording.lists import nearest

RUN = "run"
"""The field of a heading `run`, which may name runs by tag or number; the cells tell."""


_NUMBERED = "no number nr num code id"
_MASS = "weight wt mass weighed dry"
_TIME = "time duration"
# Field -> wordings, each "needed words | words that may be there"; the unit is taken off before. Our own list, from the
# words of the trade: one that could mean two columns is left out, so that it is asked back.
WORDINGS: Mapping[str, tuple[str, ...]] = {
    "pair": (f"pair | {_NUMBERED}", f"block | {_NUMBERED}"),
    "arm": ("arm", "set up", "setup"),
    "turn": (f"turn | {_NUMBERED}", "order | run real", "sequence"),
    "tag": (f"tag | {_NUMBERED} jar bucket", f"jar | {_NUMBERED}", "code"),
    RUN: (f"run | {_NUMBERED}",),
    "session": ("session", "date", "day"),
    "minutes": (f"time | run running {_TIME}", f"run time | {_TIME}", "duration | run", "minutes | run running"),
    "cleanup_minutes": (f"cleanup | {_TIME} minutes", f"clean up | {_TIME} minutes"),
    "fed_g": (f"fed | {_MASS} feed dirt sand material", f"feed | {_MASS}", f"dirt | {_MASS} fed", f"charge | {_MASS}"),
    "fed_lot": ("lot | fed",),
    "gold_mg": (f"gold | {_MASS} kept caught", f"au | {_MASS} kept caught", f"gold concentrate | {_MASS} in"),
    "tails_gold_mg": (
        f"gold tails | {_MASS} in",
        f"gold tailings | {_MASS} in",
        f"au tails | {_MASS} in",
        f"gold lost | {_MASS}",
    ),
    "grains": (
        "grains | gold counted count number of",
        "grain count | gold",
        "colours | counted count number of",
        "colors | counted count number of",
        "colour count",
        "color count",
    ),
    "seeded": ("seeded | tracers grains", "tracers in", "tracers fed"),
    "kept": ("kept | tracers", "tracers out", "tracers found"),
    "in_tails": ("in tails | tracers", "tracers tails | in", "tracers lost"),
    "black_sand_g": (f"black sand | {_MASS} kept", f"sand | {_MASS} kept", f"blacksand | {_MASS} kept"),
    "concentrate_g": (f"concentrate | {_MASS}", f"concentrates | {_MASS}", f"cons | {_MASS}"),
    "pickers_mg": (f"pickers | {_MASS}", f"picker | {_MASS}", f"nuggets | {_MASS}"),
    "largest_mg": (f"largest | {_MASS} piece grain gold", f"biggest | {_MASS} piece grain gold"),
    "gold_gross_g": (f"gold gross | {_MASS}",),
    "gold_tare_g": (f"gold tare | {_MASS}",),
    "tails_gold_gross_g": (f"gold tails gross | {_MASS} in",),
    "tails_gold_tare_g": (f"gold tails tare | {_MASS} in",),
    "black_sand_gross_g": (f"sand gross | {_MASS} black",),
    "black_sand_tare_g": (f"sand tare | {_MASS} black",),
    "concentrate_gross_g": (f"concentrate gross | {_MASS}",),
    "concentrate_tare_g": (f"concentrate tare | {_MASS}",),
    "pitch_deg": ("pitch", "slope", "angle"),
    "cross_tilt_deg": ("tilt | cross side",),
    "water_l_min": ("water | flow rate start at", "flow | rate start at"),
    "water_end_l_min": ("water end | flow rate at", "flow end | rate at"),
    "depth_mm": ("depth | water flow",),
    "feed_kg_h": ("feed | rate", "feeding rate"),
    "rpm": ("rpm", "speed | rpm"),
    "stroke_mm": ("stroke | length",),
    "wetting_drops_10l": ("wetting drops", "drops"),
    "temp_c": ("temp | water", "temperature | water"),
    "stripped": ("stripped | down", "strip | down", "stripdown"),
    "conditioned": ("conditioned | bed", "starter | charge fed"),
    "dry": ("dried | gold", "dry | gold"),
    "magnet": ("magnet | cleaned used gold",),
    "loupe": ("loupe | looked used gold",),
    "silvery": ("silvery | gold seen",),
    "cloud": ("cloud | water cloudy", "cloudy | water"),
    "clay": ("clay | feed",),
    "moisture_percent": ("moisture | feed percent", "wet | feed percent"),
    "blank_pan": ("blank pan | grains",),
    "check_before_g": ("check before | weight reads", "check first | weight reads"),
    "check_after_g": ("check after | weight reads", "check last | weight reads"),
    "feeder": ("feeder", "fed by"),
    "panner": ("panner", "panned by", "weighed by", "counted by"),
    "void": ("void | reason why", "struck | reason why"),
    "void_gold_known": ("gold known | void",),
    "note": ("note", "notes", "remark", "remarks", "comment", "comments"),
}
LONGEST = 80
_LABEL = re.compile(
    r"(?<!\S)(?P<size>-\s?\d+\s*/?\s*\+\d+|[+-]\s?\d+(?:\.\d+)?|\d+(?:\.\d+)?\s?/\s?\d+(?:\.\d+)?)"
    r"(?:\s*(?P<unit>mm|um|µm|mesh|#))?(?!\S)",
    re.IGNORECASE,
)


class NotKnown(UnitError):
    """A heading that names no column we know."""


def heading(text: str) -> Column:
    r"""Find the column that a heading means; one merged over others stands before the one under it.

    Its `ending` is None where a quantity is named without its unit, so that each cell must have one; its field is `RUN`
    where the heading says no more than "run". NotKnown: no column is meant, and the nearest is named. UnitError: it can
    mean two things, or its unit can.

    >>> [heading(text).header for text in ("gold_mg", "Tag No.")]
    ['gold_mg', 'Tag No.']
    >>> found = heading("Gold in tails\n(g)")
    >>> found.field, found.ending
    ('tails_gold_mg', 'g')
    >>> heading("GRAINS 50/100").label, heading("time").ending is None
    ('50/100', True)
    >>> heading("gold oz")
    Traceback (most recent call last):
    trials.units.unit_error.UnitError: Gold is in ozt, feed in lb. Which?
    """
    clean = " ".join(text.split())
    if len(clean) > LONGEST:
        raise NotKnown(f"{shown_value(clean)} is too long for the name of a column; put it in note, or take it out")
    if names_column(clean):
        with suppress(UnitError):
            exact = column_named(clean)
            if exact.label is None or _LABEL.fullmatch(exact.label):
                return exact
    rest, label = _class_taken_off(re.sub(r"[()\[\]{}]", " ", clean))
    column = replace(_one_of(_words(rest), clean), header=clean, label=label)
    if label and column.field not in BY_CLASS:
        raise UnitError(f"{column.field} is not told by size class; classes go with {', '.join(BY_CLASS)}")
    return column


def name_meant(text: str) -> str:
    """What is said of a heading that is no name of a column, and means one, in its own unit; blank where none is meant.

    >>> name_meant("gold (mg)"), name_meant("Fed lb")
    ('is not a column we know; did you mean gold_mg?', 'is not a column we know; did you mean fed_lb?')
    >>> name_meant("gold"), name_meant("tail_gold_mg")
    ('names no unit; write the one it was measured in behind it, as gold_mg', '')
    """
    try:
        found = heading(text)
    except UnitError as error:
        return "" if isinstance(error, NotKnown) else str(error)
    if found.field == RUN:
        return "could be the tag, the pair or the turn; name it so"
    name = _spoken(found) + (f" {found.label}" if found.label else "")
    if found.kind is not None and found.ending is None:
        return f"names no unit; write the one it was measured in behind it, as {name}"
    return f"is not a column we know; did you mean {name}?"


def _one_of(words: tuple[str, ...], text: str) -> Column:
    """The one column that the words can mean."""
    asked = next(_asked(words), None)
    if asked is not None:
        raise UnitError(asked)
    meant = list(dict.fromkeys(_meant(words)))
    with_unit = {column.field for column in meant if column.ending is not None}
    meant = [column for column in meant if column.ending is not None or column.field not in with_unit]
    if len(meant) > 1:
        raise UnitError(f"{shown_value(text)} could be {' or '.join(map(_spoken, meant))}; write one of these names")
    if not meant:
        near = nearest("_".join(words), RUN_COLUMNS)
        hint = f"did you mean {near}?" if near else "rename it, put what it says in note, or take it out"
        raise NotKnown(f"{shown_value(text)} is not a column we know; {hint}")
    return meant[0]


@lru_cache(maxsize=4096)
def tried_heading(text: str) -> Column | UnitError:
    """The column that a heading means, or why none can be told."""
    try:
        return heading(text)
    except UnitError as error:
        return error


def with_class(column: Column, series: str | None) -> Column:
    """The column with its size class in the one form in which it is written, where the class can be read.

    >>> with_class(heading("grains -20+30"), "ASTM").label
    '20/30'
    """
    if column.label is None:
        return column
    try:
        return replace(column, label=read_size_class(column.label, series).label)
    except UnitError:
        return column


def _class_taken_off(text: str) -> tuple[str, str | None]:
    found = _LABEL.search(text)
    if found is None:
        return text, None
    unit = (found["unit"] or "").casefold()
    label = f"{found['size']} {unit}".strip() if unit in ("mm", "um", "µm") else found["size"]
    return f"{text[: found.start()]} {text[found.end() :]}", label.replace(" /", "/").replace("/ ", "/")


def _words(text: str) -> tuple[str, ...]:
    """The words of a heading; signs of writing are left out, those of units stay."""
    text = re.sub(r"[()\[\]{}_:;,*?!\"]|(?<=\w)-(?=\w)|\.(?!\d)", " ", text)
    return tuple(re.sub(r"\s*/\s*", "/", " ".join(text.split())).split())


def _meant(words: tuple[str, ...]) -> Iterator[Column]:
    """Every column that the words may mean, with each way of taking one run of them for the unit."""
    for field, unit, name in _readings(words):
        column = _column(field, unit, name)
        if column is not None:
            yield column
    whole = "_".join(words).casefold()
    if names_column(whole):
        with suppress(UnitError):
            exact = column_named(whole)
            yield replace(exact, header=exact.field)


def _asked(words: tuple[str, ...]) -> Iterator[str]:
    """What is to be asked of the unit in a heading, where it has two meanings."""
    for field, unit, _ in _readings(words):
        asked = question(unit, MEASURED[field][1]) if field in MEASURED and unit else None
        if asked is not None:
            yield asked


def _readings(words: tuple[str, ...]) -> Iterator[tuple[str, str, frozenset[str]]]:
    """Each field meant where one run of words, or none, is taken for the unit; with that, and the words left."""
    for start, end in [(0, 0), *combinations(range(len(words) + 1), 2)]:
        name = frozenset(word.casefold() for word in words[:start] + words[end:])
        for field in _fields(name):
            yield field, " ".join(words[start:end]), name


@cache
def _wordings() -> tuple[tuple[str, frozenset[str], frozenset[str]], ...]:
    """Each field with the words a heading needs, in any order, and those with all that may stand there too."""
    parted = [(field, *text.partition("|")) for field, texts in WORDINGS.items() for text in texts]
    return tuple(
        (field, frozenset(needs.split()), frozenset(f"{needs} {may}".split())) for field, needs, _, may in parted
    )


@lru_cache(maxsize=4096)
def _fields(words: frozenset[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(field for field, needed, known in _wordings() if words and needed <= words <= known))


def _column(field: str, unit: str, name: frozenset[str]) -> Column | None:
    """The column of a field with this unit; None where it is no unit of it."""
    if field not in MEASURED:
        return None if unit else Column(field, field, "text" if field == RUN else sort_of(field))
    kind = MEASURED[field][1]
    if not unit:
        own = next((word for word in name if word in column_units(kind)), None)  # as in "run minutes"
        return Column(field, field, "number", kind, own)
    known = spellings(kind).get(plain_spelling(unit)) or column_units(kind).get("_".join(unit.casefold().split()))
    return None if known is None else Column(field, field, "number", kind, known.ending)


def _spoken(column: Column) -> str:
    if column.kind is None or column.ending is None:
        return column.field
    base = MEASURED[column.field][0]
    return "_".join(part for part in (base, column.ending) if part)
