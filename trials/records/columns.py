"""The columns of `runs.csv`: which field of a run, in which unit, of which size class."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Literal

from schemas import Run, SizeCatch
from schemas.run import BY_EYE, COUNTED, WEIGHED
from trials.units.columns import column_names, column_questions
from trials.units.quantity import Kind, UnitError
from trials.wording.lists import nearest

CellSort = Literal["whole", "number", "yes/no", "text"]

# Fields whose column may end in any accepted unit: the base of the column, and its kind of quantity.
MEASURED: Mapping[str, tuple[str, Kind]] = {
    "gold_mg": ("gold", Kind.GOLD_MASS),
    "tails_gold_mg": ("tails_gold", Kind.GOLD_MASS),
    "pickers_mg": ("pickers", Kind.GOLD_MASS),
    "largest_mg": ("largest", Kind.GOLD_MASS),
    "fed_g": ("fed", Kind.FEED_MASS),
    "black_sand_g": ("black_sand", Kind.FEED_MASS),
    "concentrate_g": ("concentrate", Kind.FEED_MASS),
    **{f"{base}_{side}_g": (f"{base}_{side}", Kind.FEED_MASS) for base in WEIGHED for side in ("gross", "tare")},
    "check_before_g": ("check_before", Kind.FEED_MASS),
    "check_after_g": ("check_after", Kind.FEED_MASS),
    "minutes": ("", Kind.MINUTES),
    "cleanup_minutes": ("cleanup", Kind.MINUTES),
    "pitch_deg": ("pitch", Kind.ANGLE),
    "cross_tilt_deg": ("cross_tilt", Kind.ANGLE),
    "water_l_min": ("water", Kind.FLOW),
    "water_end_l_min": ("water_end", Kind.FLOW),
    "depth_mm": ("depth", Kind.LENGTH),
    "stroke_mm": ("stroke", Kind.LENGTH),
    "feed_kg_h": ("feed", Kind.FEED_RATE),
    "temp_c": ("temp", Kind.TEMPERATURE),
}
_SORTS: Mapping[CellSort, frozenset[str]] = {
    "whole": frozenset({"pair", "turn", "blank_pan", *COUNTED, *BY_EYE}),
    "number": frozenset({"rpm", "wetting_drops_10l", "moisture_percent", *MEASURED}),
    "yes/no": frozenset({"stripped", "conditioned", "dry", "magnet", "loupe", "silvery", "void_gold_known"}),
}
RUN_COLUMNS = tuple(name for name in Run.model_fields if name not in ("classes", "typed"))
BY_CLASS = tuple(name for name in SizeCatch.model_fields if name != "label")


@dataclass(frozen=True, slots=True)
class Column:
    """What a column of the file holds.

    header: as it stands in the file
    field: of a run, or of a size class of it
    sort: how its cells are read
    kind, ending: for a quantity, its kind and the unit the column ends in
    label: the size class, where the column is one of a class
    """

    header: str
    field: str
    sort: CellSort
    kind: Kind | None = None
    ending: str | None = None
    label: str | None = None

    @property
    def in_stored_unit(self) -> bool:
        """Whether cells need no converting."""
        return self.kind is None or self.kind.stored.ending == self.ending


@cache
def _known() -> Mapping[str, Column]:
    """Every column name without a size class, with what it holds."""
    plain = {name: Column(name, name, sort_of(name)) for name in RUN_COLUMNS if name not in MEASURED}
    measured = {
        name: Column(name, field, "number", kind, ending)
        for field, (base, kind) in MEASURED.items()
        for name, ending in column_names(base, kind).items()
    }
    return plain | measured


@cache
def _questions() -> Mapping[str, str]:
    """Every column name whose unit can mean two things, with what is to be asked."""
    return {name: asked for base, kind in MEASURED.values() for name, asked in column_questions(base, kind).items()}


def sort_of(field: str) -> CellSort:
    """How the cells of a field are read."""
    return next((sort for sort, fields in _SORTS.items() if field in fields), "text")


LIKE_NONE = "like none"
"""The code of an error on a column whose name is like none that is known."""
KNOWN_COLUMNS = f"the columns known are {', '.join(RUN_COLUMNS)}"


def became(field: str, old: str | None, new: str | None) -> str:
    """Say how a value of a run was corrected, with the unit it is stored in; `old` and `new` as texts, None for blank.

    >>> became("gold_mg", "0.236", "236"), became("grains", "31", None), became("cleanup_minutes", "4", "40")
    ('gold: 0.236 mg becomes 236 mg', 'grains: 31 becomes blank', 'cleanup: 4 min becomes 40 min')
    """
    base, kind = MEASURED.get(field, ("", None))
    unit = f" {kind.stored.name}" if kind else ""
    was, now = (f"{text}{unit}" if text is not None else "blank" for text in (old, new))
    return f"{base.replace('_', ' ') or field}: {was} becomes {now}"


def _offered(name: str) -> str | None:
    """The known name nearest to one that is not; in the stored unit, where it does not end in the unit of that name."""
    near = nearest(name, list(_known()))
    column = _known()[near] if near else None
    return near if column is None or column.ending is None or name.endswith(column.ending) else column.field


def names_column(header: str) -> bool:
    """Whether a header begins with the very name of a column, so that `column_named` need not look for the nearest.

    >>> names_column("gold_g"), names_column("grains 20/30"), names_column("Gold (g)")
    (True, True, False)
    """
    return header.partition(" ")[0] in _known()


def column_named(header: str) -> Column:
    """Find what a column holds, from its header; a UnitError names the nearest, or asks which unit is meant.

    >>> column_named("gold_g").field, column_named("water_gpm_us").ending, column_named("grains 20/30").label
    ('gold_mg', 'gpm_us', '20/30')
    """
    name, _, label = header.partition(" ")
    column = _known().get(name)
    if column is None:
        near, asked = _offered(name), _questions().get(name)
        hint = f"; did you mean {near}?" if near else ""
        raise UnitError(asked or f"is not a column we know{hint}", "" if asked or near else LIKE_NONE)
    label = label.strip()
    if label and column.field not in BY_CLASS:
        raise UnitError(f"{column.field} is not told by size class; classes go with {', '.join(BY_CLASS)}")
    return replace(column, header=header, label=label or None)
