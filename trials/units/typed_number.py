"""The number at the head of a typed text: plain digits, or a fraction as a tape measure has it.

What a comma, an underscore or a second number would mean is not guessed.
"""

import math
import re
from decimal import Context, Decimal

from trials.units.unit_error import NO_NUMBER, UnitError, refusal, shortened

LONGEST_TYPED = 200
EXACT = Context(prec=LONGEST_TYPED + 50)  # no digit that was typed is lost in a conversion
LARGEST_EXPONENT = 400

_VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3",
    "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_FRACTION = re.compile(r"(?P<sign>[+-]?)(?:(?P<whole>[0-9]+)(?:\s+|-))?(?P<top>[0-9]+)\s*/\s*(?P<bottom>[0-9]+)")
_PLAIN = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE](?P<exponent>[+-]?[0-9]+))?")
_COMMA = re.compile(r"[+-]?(?P<left>[0-9]+),(?P<right>[0-9]+)(?P<more>[,.][0-9])?")
_GOES_ON = re.compile(r"\s*(?:[/*x×'’]?\s*[0-9]|[-+.,_:])")  # noqa: RUF001 - marks between two numbers
_WORD_NUMBER = re.compile(r"[+-]?(?:nan|inf|infinity)\b", re.IGNORECASE)


def split_number(text: str) -> tuple[Decimal, str, str]:
    """Which number stands at the head of a text, exact and as typed, and what follows it?

    "7.5", "-2", ".5", "1e-3", "1/4", "1 1/2", "1-1/2" and "½" are numbers; a fraction comes to 250 figures. A
    UnitError: nothing typed, or over 200 characters; no number at the head; a comma in it; a second number; a fraction
    over zero; nan or infinity; a number no machine can hold.

    >>> split_number("1 1/2 in/ft")
    (Decimal('1.5'), '1 1/2', 'in/ft')
    >>> split_number("7,500 g")
    Traceback (most recent call last):
    trials.units.unit_error.UnitError: 7,500 g: 7,500 could be 7.5 or 7500. Write one of these.
    """
    if not text.strip():
        raise UnitError("Nothing was typed. Write a number and its unit, as 7.5 kg.")
    if len(text) > LONGEST_TYPED:
        raise refusal(text, f"{len(text)} characters are too many for one quantity. Write a number and its unit.")
    plain = _with_ascii_signs(text).strip()
    _refuse_comma(text, plain)
    found = _FRACTION.match(plain) or _PLAIN.match(plain)
    if found is None:
        raise _no_number(text, plain)
    rest = plain[found.end() :]
    if _GOES_ON.match(rest):
        raise refusal(text, "this is not one number. Write digits with at most one point, then the unit, as 7.5 kg.")
    number = _fraction(text, found) if found.re is _FRACTION else _plain(text, found)
    return number, " ".join(found.group().split()), rest.strip()


def as_float(number: Decimal, text: str) -> float:
    """Store an exact number as the nearest float, a negative zero as 0; a UnitError of the `text` where none can."""
    if not number.is_finite():
        raise refusal(text, "this is not a number. Write digits, or leave it blank if it was not measured.")
    value = float(number)
    if math.isinf(value) or (value == 0 and number != 0):
        raise _out_of_reach(text)
    return value + 0.0


def _with_ascii_signs(text: str) -> str:
    text = text.replace("−", "-").replace("⁄", "/")  # noqa: RUF001 - the minus and fraction signs of typesetting
    for sign, digits in _VULGAR.items():
        text = text.replace(sign, f" {digits}")
    return text


def _refuse_comma(text: str, plain: str) -> None:
    found = _COMMA.match(plain)
    if found is None:
        return
    if found["more"]:
        raise refusal(text, "a number takes no commas. Write its digits alone, with at most one point.")
    as_point = Decimal(f"{found['left']}.{found['right']}").normalize(EXACT)
    as_whole = Decimal(found["left"] + found["right"])
    point, whole = shortened(f"{as_point:f}"), shortened(str(as_whole))
    raise refusal(text, f"{shortened(found.group())} could be {point} or {whole}. Write one of these.")


def _no_number(text: str, plain: str) -> UnitError:
    if _WORD_NUMBER.match(plain):
        return refusal(text, "this is not a number. Write digits, or leave it blank if it was not measured.")
    return refusal(text, "there is no number at its head. Write a number and its unit, as 7.5 kg.", NO_NUMBER)


def _fraction(text: str, found: re.Match[str]) -> Decimal:
    whole, top, bottom = (Decimal(found[name] or 0) for name in ("whole", "top", "bottom"))
    if bottom == 0:
        raise refusal(text, "a fraction over 0 has no value. Write it as 1/4, or with a point as 0.25.")
    if found["whole"] and top >= bottom:
        raise refusal(
            text, f"{shortened(found.group())} is no mixed fraction. Write it as 1 1/2, or with a point as 1.5."
        )
    size = EXACT.add(whole, EXACT.divide(top, bottom))
    return EXACT.minus(size) if found["sign"] == "-" else size


def _plain(text: str, found: re.Match[str]) -> Decimal:
    if abs(int(found["exponent"] or 0)) > LARGEST_EXPONENT:
        raise _out_of_reach(text)
    number = Decimal(found.group())
    as_float(number, text)
    return number


def _out_of_reach(text: str) -> UnitError:
    return refusal(text, "this number is too large or too small to be held. Check its digits.")
