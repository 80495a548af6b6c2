"""What pydantic found wrong, in our own words: value, rule, next step."""

from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import Any

from pydantic import ValidationError

from trials.errors import Problem
from trials.wording.lists import nearest

LONGEST_SHOWN = 60
MISSING = "missing"
"""The code of a problem with what has to be there and is not."""


def shown_value(value: object) -> str:
    """Show a value as it was typed, shortened where it is long.

    >>> shown_value("x" * 80)[-3:], shown_value(-3)
    ('...', '-3')
    """
    text = str(value).removesuffix(".0") if isinstance(value, float) else str(value).replace("\n", " ")
    if not text.strip():
        return "blank"
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 3] + "..."


def problems_of(
    error: ValidationError,
    place_of: Callable[[tuple[int | str, ...]], str],
    typed: Mapping[str, str] = MappingProxyType({}),
    units: Mapping[str, str] = MappingProxyType({}),
) -> Iterator[Problem]:
    """Turn every fault pydantic found into a problem; `place_of` makes a place in a person's file of one in the model.

    By field: `typed` is what was typed where that was not the stored unit, `units` the stored unit, for its range.
    """
    for fault in error.errors(include_url=False):
        field = str(fault["loc"][0]) if fault["loc"] else ""
        context = {key: _limit(value, units.get(field, "")) for key, value in fault.get("ctx", {}).items()}
        value = typed.get(field, fault["input"])
        code = MISSING if fault["type"] == "missing" else ""
        yield Problem(place_of(fault["loc"]), _says(fault["type"], value, context, fault["msg"]), code=code)


def _limit(value: object, unit: str) -> object:
    """A limit as a person writes it, with its unit; anything else as it is."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    number = f"{Decimal(repr(value)):,f}".removesuffix(".0")
    return f"{number} {unit}".rstrip()


# What each kind of fault is called, with {value} as it was typed and the limits pydantic names.
SAYS: Mapping[str, str] = {
    "missing": "is missing; write it in",
    "greater_than_equal": "{value} is under {ge}; check the value and its unit",
    "greater_than": "{value} is not over {gt}; check the value and its unit",
    "less_than_equal": "{value} is over {le}; check the value and its unit",
    "string_type": "{value} is not text; put it in quotes",
    "string_too_short": "is empty; write something, or leave it out",
    "too_short": "is empty; write something, or leave it out",
    "string_too_long": "{value} is too long; {max_length} characters at most",
    "too_long": "{value} are too many; {max_length} at most",
    "int_type": "{value} is not a whole number; write one",
    "int_from_float": "{value} is not a whole number; write one",
    "float_type": "{value} is not a number; write one",
    "finite_number": "{value} is not a number; write one",
    "bool_type": "{value} is not true or false; write one of them",
    "date_type": "{value} is not a date; write it as 2026-05-02, and check day and month",
    "datetime_type": "{value} is not a moment; write it as 2026-05-02T10:30, and check day and month",
    "timezone_naive": "{value} has a time zone; write local time, as 2026-05-02T10:30",
    "model_type": "{value} is not a section; write its keys one a line",
}


def _says(kind: str, value: object, context: dict[str, Any], message: str) -> str:
    if kind == "literal_error":
        return _not_one_of(value, str(context["expected"]))
    if kind == "string_pattern_mismatch":
        return _not_the_pattern(value, str(context["pattern"]))
    if kind == "value_error":
        return message.removeprefix("Value error, ")
    if kind in SAYS:
        return SAYS[kind].format(value=shown_value(value), **context)
    return f"{shown_value(value)}: {message[0].lower()}{message[1:]}"


def _not_one_of(value: object, expected: str) -> str:
    options = [part.strip(" ',") for part in expected.replace("' or '", "', '").split("', '")]
    near = nearest(str(value), options)
    hint = f"did you mean {near}?" if near else f"write one of: {', '.join(options)}"
    return f"{shown_value(value)} is not known here; {hint}"


def _not_the_pattern(value: object, pattern: str) -> str:
    if pattern.startswith("^[A-F]"):
        return f"{shown_value(value)} is not a role letter; write A to F, never a name"
    if pattern.startswith("^[A-Za-z0-9]["):
        return f"{shown_value(value)} is not a name we can use; letters, digits, - and _, at most 64 of them"
    if pattern.startswith("^[A-Za-z0-9-]"):
        return f"{shown_value(value)} is not a tag; letters and digits, at most 12"
    return f"{shown_value(value)!r} holds a control character; take it out"
