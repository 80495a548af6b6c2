"""Columns whose end is their unit, as `gold_mg`, `water_l_min` or `minutes`."""

from collections.abc import Mapping
from decimal import Decimal

from trials.units.kinds import QUESTIONS, Kind, Unit
from trials.units.quantity import in_stored_unit
from trials.units.typed_number import as_float
from trials.units.unit_error import refusal


def column_units(kind: Kind) -> Mapping[str, Unit]:
    """Which endings may a column of this kind have? Each with its unit, the stored one first; a count has none.

    >>> list(column_units(Kind.GOLD_MASS)), list(column_units(Kind.MINUTES))
    (['mg', 'g', 'grain', 'dwt', 'ozt'], ['minutes', 'seconds', 'hours'])
    """
    return {unit.ending: unit for unit in kind.units}


def column_names(base: str, kind: Kind) -> Mapping[str, str]:
    """Which columns may hold this quantity? Each with its ending, the stored one first.

    `base` is the name without its unit, as "water"; blank where the unit is the whole name, as for `minutes`.

    >>> list(column_names("", Kind.MINUTES)), list(column_names("cleanup", Kind.MINUTES))[:2]
    (['minutes', 'seconds', 'hours'], ['cleanup_minutes', 'cleanup_seconds'])
    """
    return {_joined(base, ending): ending for ending in column_units(kind)}


def column_questions(base: str, kind: Kind) -> Mapping[str, str]:
    """Which columns have an ending with two meanings, and what is to be asked about each?

    >>> column_questions("gold", Kind.GOLD_MASS)["gold_oz"]
    'Gold is in ozt, feed in lb. Which?'
    """
    return {_joined(base, ending): asked for ending, asked in _questions(kind).items()}


def convert_exact(number: Decimal, ending: str, kind: Kind) -> Decimal:
    """How much is a number from a column in the stored unit, with every digit kept? Ranges are not looked at.

    Exact, so that sums on what was typed, as gross less tare, leave no dust. A UnitError: the ending is unknown for the
    kind or has two meanings, or no float can hold the number.

    >>> gross, tare = (convert_exact(Decimal(text), "g", Kind.FEED_MASS) for text in ("18.6", "12.2"))
    >>> gross - tare
    Decimal('6.4')
    >>> convert_exact(Decimal("0.5"), "oz", Kind.GOLD_MASS)
    Traceback (most recent call last):
    trials.units.unit_error.UnitError: _oz: Gold is in ozt, feed in lb. Which?
    """
    unit = column_units(kind).get(ending)
    if unit is None:
        known = ", ".join(f"_{end}" for end in column_units(kind) if end)
        says = f"not the end of a {kind} column. End it in {known or 'nothing'}."
        raise refusal(f"_{ending}", _questions(kind).get(ending, says))
    as_float(number, f"{number} {ending}")
    return in_stored_unit(number, unit, kind)


def _joined(base: str, ending: str) -> str:
    return "_".join(part for part in (base, ending) if part)


def _questions(kind: Kind) -> dict[str, str]:
    asked = QUESTIONS.get(kind, {})
    return {word.replace("/", "_").replace(" ", "_"): says for word, says in asked.items() if word.isascii()}
