"""The kinds of quantity, and every spelling of a unit that is taken or asked back.

The first unit of a kind is the stored one. Sizes of units are not here: `quantity` asks pint.
"""

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache, lru_cache


class Kind(StrEnum):
    """What sort of quantity a text is read as."""

    FEED_MASS = "feed mass"
    GOLD_MASS = "gold mass"
    LENGTH = "length"
    FLOW = "flow"
    ANGLE = "angle"
    TEMPERATURE = "temperature"
    FEED_RATE = "feed rate"
    MINUTES = "minutes"
    SPEED = "speed"
    PERCENT = "percent"
    GRADE = "grade"
    COUNT = "count"

    @property
    def units(self) -> tuple["Unit", ...]:
        """The units taken, the stored one first."""
        return UNITS[self]

    @property
    def stored(self) -> "Unit":
        """The unit in which values are stored."""
        return UNITS[self][0]


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit of a kind.

    name: how it is written to a person
    pint: its name in pint; blank where it is never converted
    ending: the end of a column that holds it
    also: other spellings taken
    slope: whether it is a rise over a run, to be turned into an angle
    """

    name: str
    pint: str
    ending: str
    also: tuple[str, ...] = ()
    slope: bool = False


def _rates(tops: Iterable[str], bottoms: Iterable[str]) -> tuple[str, ...]:
    bottoms = tuple(bottoms)
    return tuple(f"{top}/{bottom}" for top in tops for bottom in bottoms)


_GRAM = ("g", "gm", "gms", "gram", "grams", "gramme", "grammes")
_KILOGRAM = ("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms")
_POUND = ("lb", "lbs", "pound", "pounds")
_TONNE = ("t", "tonne", "tonnes", "metric ton", "metric tons")
_TON = ("ton", "tons", "short ton", "short tons", "long ton", "long tons")
_SECOND = ("s", "sec", "secs", "second", "seconds")
_MINUTE = ("min", "mins", "minute", "minutes")
_HOUR = ("h", "hr", "hrs", "hour", "hours")
_LITRE = ("l", "liter", "liters", "litre", "litres")
_GALLON = ("gal", "gals", "gallon", "gallons")
_INCH = ("in", "inch", "inches", '"', "″", "”")
_FOOT = ("ft", "foot", "feet", "'", "′", "’")  # noqa: RUF001 - the marks that keyboards make of a foot
_GPM = ("gpm", *_rates(_GALLON, _MINUTE))
_GPH = ("gph", *_rates(_GALLON, _HOUR))
_US, _IMPERIAL = ("us",), ("imp", "imperial", "uk")


def _of_region(rates: tuple[str, ...], regions: tuple[str, ...]) -> tuple[str, ...]:
    """Write each gallon rate with its region before, behind, or behind the gallon."""
    return tuple(
        spelling
        for rate in rates
        for region in regions
        for spelling in (f"{rate} {region}", f"{region} {rate}", f"{region}{rate}", rate.replace("/", f" {region}/"))
        if spelling != rate
    )


_MASSES = {
    "g": Unit("g", "gram", "g", _GRAM),
    "mg": Unit("mg", "milligram", "mg", ("milligram", "milligrams")),
    "kg": Unit("kg", "kilogram", "kg", _KILOGRAM),
    "lb": Unit("lb", "pound", "lb", _POUND),
    "grain": Unit("grain", "grain", "grain", ("grains",)),
    "dwt": Unit("dwt", "pennyweight", "dwt", ("pennyweight", "pennyweights")),
    "ozt": Unit("ozt", "troy_ounce", "ozt", ("oz t", "oz troy", "troy oz", "troy ounce", "troy ounces")),
    "t": Unit("t", "metric_ton", "t", _TONNE),
}
_PERCENT = ("percent", "per cent", "pct")

UNITS: Mapping[Kind, tuple[Unit, ...]] = {
    Kind.FEED_MASS: tuple(_MASSES[name] for name in ("g", "mg", "kg", "lb", "grain", "dwt", "ozt", "t")),
    Kind.GOLD_MASS: tuple(_MASSES[name] for name in ("mg", "g", "grain", "dwt", "ozt")),
    Kind.LENGTH: (
        Unit("mm", "millimeter", "mm", ("millimeter", "millimeters", "millimetre", "millimetres")),
        Unit("cm", "centimeter", "cm", ("centimeter", "centimeters", "centimetre", "centimetres")),
        Unit("m", "meter", "m", ("meter", "meters", "metre", "metres")),
        Unit("in", "inch", "in", _INCH),
        Unit("ft", "foot", "ft", _FOOT),
        Unit("um", "micrometer", "um", ("µm", "micron", "microns", "micrometer", "micrometers")),
    ),
    Kind.FLOW: (
        Unit("L/min", "liter/minute", "l_min", ("lpm", *_rates(_LITRE, _MINUTE))),
        Unit("L/s", "liter/second", "l_s", ("lps", *_rates(_LITRE, _SECOND))),
        Unit("L/h", "liter/hour", "l_h", ("lph", *_rates(_LITRE, _HOUR))),
        Unit("m3/h", "meter**3/hour", "m3_h", _rates(("m3", "m^3"), _HOUR)),
        Unit("gpm us", "gallon/minute", "gpm_us", _of_region(_GPM, _US)),
        Unit("gpm imp", "imperial_gallon/minute", "gpm_imp", ("igpm", *_of_region(_GPM, _IMPERIAL))),
        Unit("gph us", "gallon/hour", "gph_us", _of_region(_GPH, _US)),
        Unit("gph imp", "imperial_gallon/hour", "gph_imp", ("igph", *_of_region(_GPH, _IMPERIAL))),
    ),
    Kind.ANGLE: (
        Unit("deg", "degree", "deg", ("°", "degree", "degrees")),
        Unit("%", "percent", "percent", _PERCENT, slope=True),
        Unit("in/ft", "inch/foot", "in_ft", _rates(_INCH, _FOOT), slope=True),
        Unit("cm/m", "centimeter/meter", "cm_m", slope=True),
        Unit("mm/m", "millimeter/meter", "mm_m", slope=True),
    ),
    Kind.TEMPERATURE: (
        Unit("C", "degC", "c", ("°c", "degc", "deg c", "celsius")),
        Unit("F", "degF", "f", ("°f", "degf", "deg f", "fahrenheit")),
    ),
    Kind.FEED_RATE: (
        Unit("kg/h", "kilogram/hour", "kg_h", _rates(_KILOGRAM, _HOUR)),
        Unit("g/min", "gram/minute", "g_min", _rates(_GRAM, _MINUTE)),
        Unit("kg/min", "kilogram/minute", "kg_min", _rates(_KILOGRAM, _MINUTE)),
        Unit("lb/h", "pound/hour", "lb_h", _rates(_POUND, _HOUR)),
        Unit("lb/min", "pound/minute", "lb_min", _rates(_POUND, _MINUTE)),
        Unit("t/h", "metric_ton/hour", "t_h", _rates(_TONNE, _HOUR)),
    ),
    Kind.MINUTES: (
        Unit("min", "minute", "minutes", _MINUTE),
        Unit("s", "second", "seconds", _SECOND),
        Unit("h", "hour", "hours", _HOUR),
    ),
    Kind.SPEED: (Unit("rpm", "", "rpm", (*_rates(("rev", "revs", "turns", "strokes"), _MINUTE), "spm")),),
    Kind.PERCENT: (Unit("%", "", "percent", _PERCENT),),
    Kind.GRADE: (
        Unit("mg/kg", "milligram/kilogram", "mg_kg", ("ppm", *_rates(("milligram", "milligrams"), _KILOGRAM))),
        Unit("g/t", "gram/metric_ton", "g_t", _rates(_GRAM, _TONNE)),
        Unit("g/kg", "gram/kilogram", "g_kg", _rates(_GRAM, _KILOGRAM)),
        Unit("mg/lb", "milligram/pound", "mg_lb", _rates(("mg", "milligram", "milligrams"), _POUND)),
    ),
    Kind.COUNT: (Unit("", "", "", ("drops",)),),
}

_TONS = "a ton can be metric, short or long. Type t for 1000 kg, or give it in kg or lb."
_MASS_QUESTIONS = {
    **dict.fromkeys(("gr", "grs"), "'gr' can mean grain or gram. Type g, mg or grain."),
    **dict.fromkeys(("oz", "ozs", "ounce", "ounces"), "Gold is in ozt, feed in lb. Which?"),
}
QUESTIONS: Mapping[Kind, Mapping[str, str]] = {
    Kind.FEED_MASS: {**_MASS_QUESTIONS, **dict.fromkeys(_TON, _TONS)},
    Kind.GOLD_MASS: _MASS_QUESTIONS,
    Kind.FLOW: {
        **dict.fromkeys(_GPM, "US or imperial gallons? Type gpm us or gpm imp."),
        **dict.fromkeys(_GPH, "US or imperial gallons? Type gph us or gph imp."),
        **dict.fromkeys(
            _GALLON,
            "US or imperial gallons, and in a minute or an hour? Type gpm us, gpm imp, gph us or gph imp.",
        ),
    },
    Kind.TEMPERATURE: dict.fromkeys(("°", "deg", "degree", "degrees"), "Celsius or Fahrenheit? Type C or F."),
    Kind.GRADE: dict.fromkeys(_rates((*_GRAM, "mg"), _TON), _TONS),
    Kind.FEED_RATE: dict.fromkeys(("tph", *_rates(_TON, _HOUR)), _TONS),
}


@lru_cache(4096)
def plain_spelling(text: str) -> str:
    """Bring a typed unit to the one form in which spellings are compared.

    Case, points, brackets and white space make no difference; "per" is a slash; raised digits are digits.

    >>> plain_spelling("Gal. (US) per  min"), plain_spelling("m³/h"), plain_spelling("° C")
    ('gal us/min', 'm3/h', '°c')
    """
    text = unicodedata.normalize("NFKC", text.replace("º", "°")).casefold()
    text = re.sub(r"\bper\b", "/", re.sub(r"[()\[\]_]", " ", text.replace(".", "")))
    return re.sub(r"\s*([/°])\s*", r"\1", " ".join(text.split()))


@cache
def spellings(kind: Kind) -> Mapping[str, Unit]:
    """Every spelling that is taken for a kind, with its unit."""
    return {plain_spelling(word): unit for unit in UNITS[kind] for word in (unit.name, *unit.also)}


def question(typed: str, kind: Kind) -> str | None:
    """What is to be asked back about a unit with two meanings? None where it has one.

    >>> question("Oz.", Kind.GOLD_MASS)
    'Gold is in ozt, feed in lb. Which?'
    """
    if typed == "Mg" and kind in (Kind.FEED_MASS, Kind.GOLD_MASS):
        return "'Mg' can mean milligram or megagram. Type mg or t."
    return QUESTIONS.get(kind, {}).get(plain_spelling(typed))
