"""Typed text with a unit, read into the stored unit.

pint takes a quarter of a second to import, so it is fetched on the first conversion.
"""

import math
import re
from decimal import Decimal, localcontext
from functools import cache
from typing import Any

from trials.units.kinds import Kind, Unit, plain_spelling, question, spellings
from trials.units.typed_number import EXACT, as_float, split_number
from trials.units.unit_error import NO_UNIT, OTHER_UNIT, UnitError, refusal, shortened

__all__ = ["Kind", "UnitError", "converted", "counted_share", "in_stored_unit", "read_exact", "read_quantity"]

STEP_OF_A_SCALE = Decimal("0.05")
"""A bare mass under it is no charge in kg: it is offered in g, as scales tell their steps."""
_BARE = {
    Kind.FEED_MASS: "{n} kg or {thousand} g",
    Kind.GOLD_MASS: "{n} g or {thousand} mg",
    Kind.LENGTH: "{n} mm, {n} cm or {n} in",
    Kind.FLOW: "{n} L/min, {n} gpm us or {n} gpm imp",
    Kind.ANGLE: "{n} deg, {n} % or {n} in/ft",
    Kind.TEMPERATURE: "{n} C or {n} F",
    Kind.FEED_RATE: "{n} kg/h or {n} lb/h",
    Kind.MINUTES: "{n} min, {n} s or {n} h",
    Kind.SPEED: "{n} rpm",
    Kind.PERCENT: "{n} %",
    Kind.GRADE: "{n} mg/kg",
}

_COUNTED = re.compile(r"(?P<found>\d{1,5})\s+of\s+(?P<of>[1-9]\d{0,4})(?:\s+(?:seeded\s+)?grains?)?", re.IGNORECASE)
_BUCKETS = re.compile(
    r"(?P<name>buckets?|pails?|tubs?|barrows?|scoops?)(?:,?\s*(?:of|at|x|with|,)?\s*(?P<each>[0-9.].*?)(?:\s+each)?)?",
    re.IGNORECASE,
)


def read_quantity(text: str, kind: Kind) -> float:
    """What is a typed quantity, as "7.5 kg", "8 L/min" or "1 1/2 in/ft", in its stored unit?

    From decimal arithmetic on the digits typed: "0.0312 g" of gold is 31.2 mg. A count alone needs no unit. Ranges are
    not looked at. Slopes (%, in/ft, cm/m, mm/m) become angles by atan: 100 % is 45 deg. Factors: NIST SP 811 appendix B
    and NIST Handbook 44 appendix C, as pint carries them. A UnitError: not a number, no unit, a unit of another kind,
    or one that can mean two things (bare `gr`, `oz`, `ton`, `gph` and `gpm` are asked back).

    >>> read_quantity("7.5 kg", Kind.FEED_MASS), read_quantity("1/4 in", Kind.LENGTH)
    (7500.0, 6.35)
    >>> read_quantity("7.5", Kind.FEED_MASS)
    Traceback (most recent call last):
    trials.units.unit_error.UnitError: 7.5 has no unit. Write 7.5 kg or 7500 g.
    """
    return as_float(read_exact(text, kind), text)


def read_exact(text: str, kind: Kind) -> Decimal:
    """What is a typed quantity in its stored unit, with every digit kept? A slope is as fine as a float.

    Dirt may be told in buckets, with what one of them holds; a share in %, or as so many counted of so many.

    >>> f'{read_exact("3 buckets of 35 kg", Kind.FEED_MASS):f}'
    '105000'
    >>> read_exact("3 buckets", Kind.FEED_MASS)
    Traceback (most recent call last):
    trials.units.unit_error.UnitError: 3 buckets: how much does one hold? Weigh one, and write 3 buckets of 35 kg.
    """
    number, typed, rest = split_number(text)
    found = _BUCKETS.fullmatch(rest) if kind is Kind.FEED_MASS else None
    if found is not None:
        if not found["each"]:
            one = shortened(f"{typed} {found['name']}")
            raise refusal(text, f"how much does one hold? Weigh one, and write {one} of 35 kg.", NO_UNIT)
        with localcontext(EXACT):
            return number * read_exact(found["each"], kind)
    share = counted_share(text) if kind is Kind.PERCENT else None
    if share is not None:
        if share[0] > share[1]:
            raise refusal(text, f"{share[0]} are more than the {share[1]} they were counted of. Recount.")
        with localcontext(EXACT):
            return Decimal(100 * share[0]) / Decimal(share[1])
    unit = _unit(text, number, typed, rest, kind)
    return in_stored_unit(number, unit, kind)


def counted_share(text: str) -> tuple[int, int] | None:
    """How many of how many, where a share was typed as counts; None where it was not.

    >>> counted_share("35 of 50"), counted_share("35 of 50 grains"), counted_share("70 %"), counted_share("3 of 0")
    ((35, 50), (35, 50), None, None)
    """
    found = _COUNTED.fullmatch(text.strip())
    return None if found is None else (int(found["found"]), int(found["of"]))


def in_stored_unit(number: Decimal, unit: Unit, kind: Kind) -> Decimal:
    """How much is a number of one of a kind's units in the stored one? That one itself is handed back, without pint."""
    if unit is kind.stored:
        return number
    if unit.slope:
        return Decimal(math.degrees(math.atan(converted(number, unit.pint, "dimensionless"))))
    return converted(number, unit.pint, kind.stored.pint)


def converted(number: Decimal, unit: str, wanted: str) -> Decimal:
    """How much is a finite number of one unit in another of the same dimension, both by their pint names?

    Exact wherever the definition and the result are finite decimals. The customary units are exact by definition (NIST
    SP 811 appendix B; NIST Handbook 44 appendix C). Degrees of temperature are shifted as well as scaled.

    >>> f"{converted(Decimal(1), 'troy_ounce', 'gram'):f}"
    '31.10347680'
    """
    with localcontext(EXACT):
        return Decimal(_registry().Quantity(number, unit).to(wanted).magnitude)


@cache
def _registry() -> Any:  # noqa: ANN401 - pint's registry builds its classes as it goes
    from pint import UnitRegistry

    with localcontext(EXACT):
        return UnitRegistry(non_int_type=Decimal)


def _unit(text: str, number: Decimal, typed: str, rest: str, kind: Kind) -> Unit:
    """Find the unit that follows the number, or ask for it."""
    asked = question(rest, kind)
    if asked is not None:
        raise refusal(text, asked)
    unit = spellings(kind).get(plain_spelling(rest))
    if unit is not None:
        return unit
    if not rest:
        raise _no_unit(number, typed, kind)
    raise refusal(text, f"'{shortened(rest)}' is not a unit of {kind}. {_taken(kind)}", OTHER_UNIT)


def _no_unit(number: Decimal, typed: str, kind: Kind) -> UnitError:
    if kind is Kind.FEED_MASS and abs(number) < STEP_OF_A_SCALE:
        kind = Kind.GOLD_MASS
    thousand = f"{EXACT.multiply(number, Decimal(1000)).normalize(EXACT):f}"
    says = (
        f"{shortened(typed)} has no unit. Write {_BARE[kind].format(n=shortened(typed), thousand=shortened(thousand))}."
    )
    return UnitError(says, NO_UNIT)


def _taken(kind: Kind) -> str:
    names = [unit.name for unit in kind.units]
    if kind is Kind.COUNT:
        return "Write the number alone."
    return f"Type one of {', '.join(names)}." if len(names) > 1 else f"Type {names[0]}."
