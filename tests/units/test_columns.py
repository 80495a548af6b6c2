"""Columns whose end is their unit."""

from decimal import Decimal

import pytest

from tests.tables import every
from trials.units.columns import column_names, column_questions, column_units, convert_exact
from trials.units.kinds import Kind
from trials.units.quantity import read_quantity
from trials.units.unit_error import UnitError


@every(
    ("kind", "endings"),
    [
        (Kind.FEED_MASS, "g mg kg lb grain dwt ozt t"),
        (Kind.GOLD_MASS, "mg g grain dwt ozt"),
        (Kind.LENGTH, "mm cm m in ft um"),
        (Kind.FLOW, "l_min l_s l_h m3_h gpm_us gpm_imp gph_us gph_imp"),
        (Kind.ANGLE, "deg percent in_ft cm_m mm_m"),
        (Kind.TEMPERATURE, "c f"),
        (Kind.FEED_RATE, "kg_h g_min kg_min lb_h lb_min t_h"),
        (Kind.MINUTES, "minutes seconds hours"),
        (Kind.SPEED, "rpm"),
        (Kind.PERCENT, "percent"),
    ],
)
def test_endings(kind: Kind, endings: str):
    """The endings that a column may have are these, the stored one first."""
    assert " ".join(column_units(kind)) == endings


@every(
    ("column", "base", "kind"),
    [
        ("gold_mg", "gold", Kind.GOLD_MASS),
        ("gold_gross_g", "gold_gross", Kind.FEED_MASS),
        ("fed_kg", "fed", Kind.FEED_MASS),
        ("water_end_l_min", "water_end", Kind.FLOW),
        ("water_gpm_us", "water", Kind.FLOW),
        ("temp_f", "temp", Kind.TEMPERATURE),
        ("pitch_in_ft", "pitch", Kind.ANGLE),
        ("feed_kg_h", "feed", Kind.FEED_RATE),
        ("minutes", "", Kind.MINUTES),
        ("cleanup_minutes", "cleanup", Kind.MINUTES),
        ("rpm", "", Kind.SPEED),
        ("wetting_drops_10l", "wetting_drops_10l", Kind.COUNT),
    ],
)
def test_columns_people_have(column: str, base: str, kind: Kind):
    """A column is its base and its unit; where the unit is the whole name the base is blank."""
    assert column in column_names(base, kind)


@every(
    ("number", "ending", "kind", "stored"),
    [
        ("31.2", "mg", Kind.GOLD_MASS, 31.2),
        ("0.0312", "g", Kind.GOLD_MASS, 31.2),
        ("1.5E-2", "g", Kind.GOLD_MASS, 15.0),
        ("7.5", "kg", Kind.FEED_MASS, 7500.0),
        ("1", "gpm_imp", Kind.FLOW, 4.54609),
        ("100", "percent", Kind.ANGLE, 45.0),
        ("50", "f", Kind.TEMPERATURE, 10.0),
        ("90", "seconds", Kind.MINUTES, 1.5),
        ("-0.0", "deg", Kind.ANGLE, 0.0),
        ("3", "", Kind.COUNT, 3.0),
    ],
)
def test_cells_are_converted(number: str, ending: str, kind: Kind, stored: float):
    """A cell becomes the stored value by the unit at the end of its column."""
    assert float(convert_exact(Decimal(number), ending, kind)) == stored


@every(("kind", "ending"), [(kind, ending) for kind in Kind for ending in column_units(kind)])
def test_cell_and_text_agree(kind: Kind, ending: str):
    """A number means the same under a column ending as with that unit typed behind it."""
    assert float(convert_exact(Decimal("3.7"), ending, kind)) == read_quantity(
        f"3.7 {column_units(kind)[ending].name}", kind
    )


def test_gross_less_tare_leaves_no_dust():
    """Masses of two columns can be subtracted before anything becomes a float."""
    gross, tare = (convert_exact(Decimal(text), "kg", Kind.FEED_MASS) for text in ("0.0186", "0.0122"))
    assert float(gross - tare) == 6.4


@every(
    ("column", "base", "kind", "says"),
    [
        ("gold_oz", "gold", Kind.GOLD_MASS, "Gold is in ozt, feed in lb. Which?"),
        ("gold_gr", "gold", Kind.GOLD_MASS, "'gr' can mean grain or gram. Type g, mg or grain."),
        ("water_gpm", "water", Kind.FLOW, "US or imperial gallons? Type gpm us or gpm imp."),
        ("water_gal_h", "water", Kind.FLOW, "US or imperial gallons? Type gph us or gph imp."),
        ("temp_deg", "temp", Kind.TEMPERATURE, "Celsius or Fahrenheit? Type C or F."),
    ],
)
def test_columns_that_are_asked_back(column: str, base: str, kind: Kind, says: str):
    """A column whose ending has two meanings is known with its question, and is never among the accepted."""
    assert column_questions(base, kind)[column] == says
    assert column not in column_names(base, kind)


@every(
    ("ending", "kind", "says"),
    [
        ("oz", Kind.GOLD_MASS, r"^_oz: Gold is in ozt, feed in lb\. Which\?$"),
        ("gr", Kind.FEED_MASS, r"^_gr: 'gr' can mean grain or gram\. Type g, mg or grain\.$"),
        ("gpm", Kind.FLOW, r"^_gpm: US or imperial gallons\?"),
        ("gph", Kind.FLOW, r"^_gph: US or imperial gallons\?"),
        ("kg", Kind.GOLD_MASS, r"^_kg: not the end of a gold mass column\. End it in _mg, _g, _grain, _dwt, _ozt\.$"),
    ],
)
def test_endings_that_are_refused(ending: str, kind: Kind, says: str):
    """An ending with two meanings, or of another kind, is refused with what to write."""
    with pytest.raises(UnitError, match=says):
        convert_exact(Decimal(1), ending, kind)


@every(
    ("number", "says"),
    [
        ("NaN", r"^NaN g: this is not a number"),
        ("sNaN", r"this is not a number"),
        ("-Infinity", r"^-Infinity g: this is not a number"),
        ("1E+400", r"too large or too small to be held"),
        ("1E-400", r"too large or too small to be held"),
    ],
)
def test_cells_that_are_no_number(number: str, says: str):
    """A cell that no float can hold is refused before it is converted."""
    with pytest.raises(UnitError, match=says):
        convert_exact(Decimal(number), "g", Kind.GOLD_MASS)
