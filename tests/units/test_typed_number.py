"""The number at the head of a typed text."""

from decimal import Decimal, localcontext

import pytest

from tests.tables import every
from trials.units.typed_number import split_number
from trials.units.unit_error import UnitError


@every(
    ("text", "number", "rest"),
    [
        ("7.5", "7.5", ""),
        ("+7.", "7", ""),
        (".5 g", "0.5", "g"),
        ("-.5deg", "-0.5", "deg"),
        ("1/4 in", "0.25", "in"),
        ("-1 1/2 deg", "-1.5", "deg"),
        ("3/2 in", "1.5", "in"),
        ("7⅝ in", "7.625", "in"),
        ("1⁄8 in", "0.125", "in"),  # noqa: RUF001 - the fraction slash
        ("2.5E2 g", "250", "g"),
        ("8 m3/h", "8", "m3/h"),
    ],
)
def test_reads_numbers_and_fractions(text: str, number: str, rest: str):
    """Plain digits and the fractions of a tape measure are exact; what follows is left alone."""
    found, _, left = split_number(text)
    assert (found, left) == (Decimal(number), rest)


@every(
    ("text", "says"),
    [
        ("", r"^Nothing was typed\. Write a number and its unit, as 7\.5 kg\.$"),
        ("  \t ", r"^Nothing was typed"),
        ("7,500 g", r"^7,500 g: 7,500 could be 7\.5 or 7500\. Write one of these\.$"),
        ("0,5 g", r"0,5 could be 0\.5 or 5\. Write one of these"),
        ("1,234,567 g", r"a number takes no commas\. Write its digits alone, with at most one point"),
        ("1,234.5 g", r"a number takes no commas"),
        (
            "1_000 g",
            r"^1_000 g: this is not one number\. Write digits with at most one point, then the unit, as 7\.5 kg",
        ),
        ("7 500 g", r"this is not one number"),
        ("7'500 g", r"this is not one number"),
        ("7.500.000 g", r"this is not one number"),
        ("4-5 deg", r"this is not one number"),
        ("8.0 7.9", r"this is not one number"),
        ("9:30", r"this is not one number"),
        ("1.5/4 in", r"this is not one number"),
        ("1/2/3 in", r"this is not one number"),
        ("5'6\"", r"this is not one number"),
        ("nan", r"^nan: this is not a number\. Write digits, or leave it blank if it was not measured\.$"),
        ("-Infinity g", r"this is not a number"),
        ("inf mg", r"this is not a number"),
        ("about 5 g", r"^about 5 g: there is no number at its head\. Write a number and its unit, as 7\.5 kg\.$"),
        ("٣ g", r"there is no number at its head"),
        ("--5 g", r"there is no number at its head"),
        ("1/0 in", r"a fraction over 0 has no value\. Write it as 1/4, or with a point as 0\.25"),
        ("1 5/4 in", r"1 5/4 is no mixed fraction\. Write it as 1 1/2, or with a point as 1\.5"),
        ("1e400 g", r"^1e400 g: this number is too large or too small to be held\. Check its digits\.$"),
        ("1e-400 g", r"too large or too small"),
        ("1e309 %", r"too large or too small"),
        ("1e99999999999999999999999 g", r"too large or too small"),
        ("9" * 300, r"^9{23}\.\.\.9{14}: 300 characters are too many for one quantity"),
    ],
)
def test_refuses_what_is_not_one_number(text: str, says: str):
    """What is not one finite number is refused with the reason and the form to write."""
    with pytest.raises(UnitError, match=says):
        split_number(text)


def test_the_callers_decimal_settings_do_not_matter():
    """A caller who works to three figures still gets every digit of a fraction."""
    with localcontext() as context:
        context.prec = 3
        number, _, _ = split_number("-12345 1/8 in")
    assert number == Decimal("-12345.125")
