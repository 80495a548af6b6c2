"""Typed quantities: what is read, and what is asked back."""

import pytest

from tests.tables import every
from trials.units.kinds import QUESTIONS, UNITS, Unit, plain_spelling
from trials.units.quantity import Kind, UnitError, read_exact, read_quantity


@every(
    ("text", "kind", "stored"),
    [
        ("7.5 kg", Kind.FEED_MASS, 7500.0),
        ("7.5kg", Kind.FEED_MASS, 7500.0),
        ("  7.5\u00a0KG ", Kind.FEED_MASS, 7500.0),
        ("2 lbs.", Kind.FEED_MASS, 907.18474),
        ("3 buckets of 35 kg", Kind.FEED_MASS, 105_000.0),
        ("3 buckets, 35 kg each", Kind.FEED_MASS, 105_000.0),
        ("1.5 pails at 10 lb", Kind.FEED_MASS, 6803.88555),
        ("0.0312 g", Kind.GOLD_MASS, 31.2),
        ("31.2 mg", Kind.GOLD_MASS, 31.2),
        ("0 mg", Kind.GOLD_MASS, 0.0),
        ("1 troy oz", Kind.GOLD_MASS, 31103.4768),
        ("8 L/min", Kind.FLOW, 8.0),
        ("8 litres per minute", Kind.FLOW, 8.0),
        ("0.5 L/s", Kind.FLOW, 30.0),
        ("480 L/h", Kind.FLOW, 8.0),
        ("3 m³/h", Kind.FLOW, 50.0),
        ("1/4 in", Kind.LENGTH, 6.35),
        ("½ in", Kind.LENGTH, 12.7),
        ("1½ in", Kind.LENGTH, 38.1),
        ('1-1/2"', Kind.LENGTH, 38.1),
        ("2'", Kind.LENGTH, 609.6),
        ("106 µm", Kind.LENGTH, 0.106),
        ("25 cm", Kind.LENGTH, 250.0),
        ("4 deg", Kind.ANGLE, 4.0),
        ("-2°", Kind.ANGLE, -2.0),
        ("−2 deg", Kind.ANGLE, -2.0),  # noqa: RUF001 - the minus sign of typesetting
        ("100 %", Kind.ANGLE, 45.0),
        ("1000 mm/m", Kind.ANGLE, 45.0),
        ("0 in/ft", Kind.ANGLE, 0.0),
        ("12 C", Kind.TEMPERATURE, 12.0),
        ("12 ° C", Kind.TEMPERATURE, 12.0),
        ("12 ºC", Kind.TEMPERATURE, 12.0),
        ("50 °F", Kind.TEMPERATURE, 10.0),
        ("32 degF", Kind.TEMPERATURE, 0.0),
        ("12 kg/h", Kind.FEED_RATE, 12.0),
        ("200 g/min", Kind.FEED_RATE, 12.0),
        ("0.5 t/h", Kind.FEED_RATE, 500.0),
        ("9.5 min", Kind.MINUTES, 9.5),
        ("9 s", Kind.MINUTES, 0.15),
        ("1.5 h", Kind.MINUTES, 90.0),
        ("300 rpm", Kind.SPEED, 300.0),
        ("250 strokes/min", Kind.SPEED, 250.0),
        ("80%", Kind.PERCENT, 80.0),
        ("5", Kind.COUNT, 5.0),
        ("5 drops", Kind.COUNT, 5.0),
        ("1e-2 g", Kind.GOLD_MASS, 10.0),
    ],
)
def test_reads_what_people_type(text: str, kind: Kind, stored: float):
    """A number with any accepted spelling of its unit becomes the stored value, without dust."""
    assert read_quantity(text, kind) == stored


@every(
    "spelling", ["gpm us", "us gpm", "US gal/min", "gpm (US)", "U.S. GPM", "gal (US)/min", "usgpm", "gallons/minute us"]
)
def test_every_way_to_say_us_gallons_a_minute(spelling: str):
    """However the region is put to the gallon, one US gpm is 3.785411784 L/min (NIST SP 811 app. B)."""
    assert read_quantity(f"1 {spelling}", Kind.FLOW) == 3.785411784


@every("spelling", ["gph imp", "imperial gph", "UK gal/h", "gph (imp)", "igph"])
def test_every_way_to_say_imperial_gallons_an_hour(spelling: str):
    """However the region is put to the gallon, 60 imperial gph are 4.54609 L/min (NIST SP 811 app. B)."""
    assert read_quantity(f"60 {spelling}", Kind.FLOW) == 4.54609


@every(
    ("text", "kind", "says"),
    [
        ("7.5", Kind.FEED_MASS, r"^7\.5 has no unit\. Write 7\.5 kg or 7500 g\.$"),
        ("1/4", Kind.FEED_MASS, r"^1/4 has no unit\. Write 1/4 kg or 250 g\.$"),
        ("0.001", Kind.FEED_MASS, r"^0\.001 has no unit\. Write 0\.001 g or 1 mg\.$"),
        ("0.0312", Kind.GOLD_MASS, r"^0\.0312 has no unit\. Write 0\.0312 g or 31\.2 mg\.$"),
        ("250", Kind.LENGTH, r"^250 has no unit\. Write 250 mm, 250 cm or 250 in\.$"),
        ("8", Kind.FLOW, r"^8 has no unit\. Write 8 L/min, 8 gpm us or 8 gpm imp\.$"),
        ("4", Kind.ANGLE, r"^4 has no unit\. Write 4 deg, 4 % or 4 in/ft\.$"),
        ("12", Kind.TEMPERATURE, r"^12 has no unit\. Write 12 C or 12 F\.$"),
        ("12", Kind.FEED_RATE, r"^12 has no unit\. Write 12 kg/h or 12 lb/h\.$"),
        ("9", Kind.MINUTES, r"^9 has no unit\. Write 9 min, 9 s or 9 h\.$"),
        ("300", Kind.SPEED, r"^300 has no unit\. Write 300 rpm\.$"),
        ("80", Kind.PERCENT, r"^80 has no unit\. Write 80 %\.$"),
        ("0", Kind.GOLD_MASS, r"^0 has no unit"),
    ],
)
def test_a_bare_number_is_told_what_to_write(text: str, kind: Kind, says: str):
    """A number without its unit is refused, zero too, with the forms it could have."""
    with pytest.raises(UnitError, match=says):
        read_quantity(text, kind)


@every(
    ("text", "kind", "says"),
    [
        ("3 gr", Kind.GOLD_MASS, r"^3 gr: 'gr' can mean grain or gram\. Type g, mg or grain\.$"),
        ("3 Gr.", Kind.FEED_MASS, r"'gr' can mean grain or gram\. Type g, mg or grain\.$"),
        ("0.5 oz", Kind.GOLD_MASS, r"^0\.5 oz: Gold is in ozt, feed in lb\. Which\?$"),
        ("8 ounces", Kind.FEED_MASS, r"Gold is in ozt, feed in lb\. Which\?$"),
        ("2 tons", Kind.FEED_MASS, r"a ton can be metric, short or long\. Type t for 1000 kg, or give it in kg or lb"),
        ("2 tph", Kind.FEED_RATE, r"a ton can be metric, short or long"),
        ("3 Mg", Kind.GOLD_MASS, r"'Mg' can mean milligram or megagram\. Type mg or t\."),
        ("8 gpm", Kind.FLOW, r"^8 gpm: US or imperial gallons\? Type gpm us or gpm imp\.$"),
        ("8 gal/min", Kind.FLOW, r"US or imperial gallons\? Type gpm us or gpm imp\.$"),
        ("500 GPH", Kind.FLOW, r"^500 GPH: US or imperial gallons\? Type gph us or gph imp\.$"),
        (
            "8 gal",
            Kind.FLOW,
            r"US or imperial gallons, and in a minute or an hour\? Type gpm us, gpm imp, gph us or gph imp",
        ),
        ("12 °", Kind.TEMPERATURE, r"^12 °: Celsius or Fahrenheit\? Type C or F\.$"),
    ],
)
def test_a_unit_with_two_meanings_is_asked_back(text: str, kind: Kind, says: str):
    """Nothing that can be read in two ways is guessed: the answers are named."""
    with pytest.raises(UnitError, match=says):
        read_quantity(text, kind)


@every(
    ("text", "kind", "says"),
    [
        (
            "3 stone",
            Kind.FEED_MASS,
            r"^3 stone: 'stone' is not a unit of feed mass\. Type one of g, mg, kg, lb, grain, dwt, ozt, t\.$",
        ),
        ("3 kg", Kind.GOLD_MASS, r"'kg' is not a unit of gold mass\. Type one of mg, g, grain, dwt, ozt\."),
        ("3 kg", Kind.FLOW, r"'kg' is not a unit of flow\. Type one of L/min, L/s, L/h, m3/h, gpm us,"),
        ("3 mm", Kind.SPEED, r"'mm' is not a unit of speed\. Type rpm\.$"),
        ("3 mm", Kind.COUNT, r"'mm' is not a unit of count\. Write the number alone\.$"),
        ("285 K", Kind.TEMPERATURE, r"'K' is not a unit of temperature\. Type one of C, F\."),
    ],
)
def test_an_unknown_unit_is_told_the_known_ones(text: str, kind: Kind, says: str):
    """A unit of another kind, or of none, is refused with the list of those that fit."""
    with pytest.raises(UnitError, match=says):
        read_quantity(text, kind)


def test_every_refusal_is_one_line():
    """An error stays on one line and short, whatever was typed."""
    with pytest.raises(UnitError) as caught:
        read_quantity("7.5 kg\nand\x00 a \ud800 long story " + "x" * 100, Kind.FEED_MASS)
    assert len(str(caught.value).splitlines()) == 1
    assert str(caught.value).isprintable()
    assert len(str(caught.value)) < 200


def test_gross_less_tare_leaves_no_dust():
    """18.6 g less 12.2 g is 6.4 g, which floats miss by 4e-16."""
    assert float(read_exact("18.6 g", Kind.FEED_MASS) - read_exact("12.2 g", Kind.FEED_MASS)) == 6.4


def test_a_value_beyond_a_float_is_refused():
    """A typed number that fits can pass the largest float once converted; it is refused, not stored as infinite."""
    with pytest.raises(UnitError, match=r"^1e308 t: this number is too large or too small to be held\."):
        read_quantity("1e308 t", Kind.FEED_MASS)


@every(("kind", "unit"), [(kind, unit) for kind in Kind for unit in UNITS[kind]])
def test_every_name_we_print_can_be_typed(kind: Kind, unit: Unit):
    """The unit named in an error is taken when it is typed, and means itself; so are its other spellings."""
    values = {read_quantity(f"3 {word}", kind) for word in (unit.name, *unit.also)}
    assert len(values) == 1
    assert values.pop() > 0 or kind is Kind.TEMPERATURE


def test_no_spelling_means_two_units():
    """Within a kind, a spelling belongs to one unit, and one that is asked back belongs to none."""
    for kind in Kind:
        owners = [(plain_spelling(w), unit.name) for unit in UNITS[kind] for w in {unit.name, *unit.also}]
        words = {word for word, _ in owners}
        assert len(set(owners)) == len(words), kind
        assert not words & {plain_spelling(word) for word in QUESTIONS.get(kind, {})}, kind
