"""Conversions held against published values."""

from decimal import Decimal

import pytest

from tests.tables import every
from trials.units.quantity import Kind, converted, read_quantity

# NIST SP 811 appendix B and NIST Handbook 44 appendix C, exact by definition; table H1 of our checks.
EXACT_UNITS = [
    ("troy_ounce", "gram", "31.1034768"),
    ("pennyweight", "gram", "1.55517384"),
    ("grain", "milligram", "64.79891"),
    ("pound", "gram", "453.59237"),
    ("ounce", "gram", "28.349523125"),
    ("gallon", "liter", "3.785411784"),
    ("teaspoon", "milliliter", "4.92892159375"),
    ("fluid_ounce", "milliliter", "29.5735295625"),
    ("cup", "milliliter", "236.5882365"),
    ("inch**3", "milliliter", "16.387064"),
    ("foot**3", "liter", "28.316846592"),
    ("yard**3", "meter**3", "0.764554857984"),
    ("gallon/minute", "liter/minute", "3.785411784"),
    ("imperial_gallon", "liter", "4.54609"),
]


@every(("unit", "wanted", "published"), EXACT_UNITS)
def test_exact_units(unit: str, wanted: str, published: str):
    """Units that are exact by definition come out exact: to 1e-40, far inside the 1e-9 asked for."""
    assert abs(converted(Decimal(1), unit, wanted) - Decimal(published)) < Decimal("1e-40")


@every(
    ("text", "kind", "published"),
    [
        ("1 ozt", Kind.GOLD_MASS, 31103.4768),
        ("1 dwt", Kind.GOLD_MASS, 1555.17384),
        ("1 grain", Kind.GOLD_MASS, 64.79891),
        ("1 lb", Kind.FEED_MASS, 453.59237),
        ("1 gpm us", Kind.FLOW, 3.785411784),
        ("1 in", Kind.LENGTH, 25.4),
        ("1 ft", Kind.LENGTH, 304.8),
        ("1 lb/h", Kind.FEED_RATE, 0.45359237),
    ],
)
def test_exact_units_as_typed(text: str, kind: Kind, published: float):
    """The same definitions hold from the typed text (NIST SP 811 app. B; Handbook 44 app. C)."""
    assert read_quantity(text, kind) == pytest.approx(published, rel=1e-15)


@every(
    ("unit", "wanted", "published", "last_digit"),
    [
        ("500 gallon/hour", "liter/minute", "31.545", "0.0005"),
        ("2200 gallon/hour", "liter/minute", "138.80", "0.005"),
        ("1 troy_ounce/short_ton", "gram/metric_ton", "34.2857", "0.00005"),
        ("1 troy_ounce/yard**3", "gram/meter**3", "40.6818", "0.00005"),
        ("200 gallon", "yard**3", "0.9903", "0.0001"),  # 40 buckets of 5 US gallons
    ],
)
def test_derived_trade_units(unit: str, wanted: str, published: str, last_digit: str):
    """Units of the trade agree with the table to its last digit (H2 of our checks, computed from exact units)."""
    number, name = unit.split(" ", 1)
    assert abs(converted(Decimal(number), name, wanted) - Decimal(published)) <= Decimal(last_digit)


@every(("text", "degrees"), [("0.5 in/ft", 2.386), ("1 in/ft", 4.764), ("1 1/2 in/ft", 7.125), ("2 in/ft", 9.462)])
def test_slopes(text: str, degrees: float):
    """A slope in inches a foot is the angle whose tangent it is (H3 of our checks; atan)."""
    assert read_quantity(text, Kind.ANGLE) == pytest.approx(degrees, abs=0.0006)


def test_one_inch_a_foot_in_every_writing():
    """1 in/ft = 8.33 % = 8.33 cm/m = 4.76 deg, as the trade's reference numbers have it (section 9.4)."""
    angles = [read_quantity(text, Kind.ANGLE) for text in ("1 in/ft", "8.3333 %", "8.3333 cm/m", "83.333 mm/m")]
    assert angles == pytest.approx([4.76] * 4, abs=0.005)


def test_trade_flows():
    """500 gph = 31.5 L/min and 1 gpm = 3.785 L/min, as the trade's reference numbers have it (section 9.4)."""
    assert read_quantity("500 gph us", Kind.FLOW) == pytest.approx(31.5, abs=0.05)
    assert read_quantity("1 gpm us", Kind.FLOW) == pytest.approx(3.785, abs=0.0005)


def test_temperatures():
    """The fixed points of the Fahrenheit scale: 32 F = 0 C, 212 F = 100 C, -40 F = -40 C (NIST SP 811 app. B)."""
    values = [read_quantity(text, Kind.TEMPERATURE) for text in ("32 F", "212 F", "-40 F")]
    assert values == [0.0, 100.0, -40.0]
