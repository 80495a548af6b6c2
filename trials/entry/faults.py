"""What pydantic found wrong, in our own words: value, rule, next step."""

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType
from typing import Any

from pydantic import ValidationError

from trials.errors import Problem
from trials.wording.lists import nearest

MOST_SHOWN = 60


def shown(value: object) -> str:
    """Show a value as it was typed, shortened where it is long.

    >>> shown("x" * 80)[-3:], shown(-3)
    ('...', '-3')
    """
    text = str(value).replace("\n", " ")
    return text if len(text) <= MOST_SHOWN else text[: MOST_SHOWN - 3] + "..."


def problems_of(
    error: ValidationError,
    place_of: Callable[[tuple[int | str, ...]], str],
    typed: Mapping[str, str] = MappingProxyType({}),
) -> Iterator[Problem]:
    """Turn every fault pydantic found into a problem.

    Parameters
    ----------
    error
        What was raised.
    place_of
        Turns a location within the model into a place in the person's file.
    typed
        What was typed for a field, where that was not the stored unit.
    """
    for fault in error.errors(include_url=False):
        value = typed.get(str(fault["loc"][0]), fault["input"]) if fault["loc"] else fault["input"]
        yield Problem(place_of(fault["loc"]), _says(fault["type"], value, fault.get("ctx", {}), fault["msg"]))


def _says(kind: str, value: object, context: dict[str, Any], message: str) -> str:
    match kind:
        case "missing":
            return "is missing; write it in"
        case "greater_than_equal":
            return f"{shown(value)} is under {context['ge']:,g}; check the value and its unit"
        case "greater_than":
            return f"{shown(value)} is not over {context['gt']:,g}; check the value and its unit"
        case "less_than_equal":
            return f"{shown(value)} is over {context['le']:,g}; check the value and its unit"
        case "literal_error":
            return _not_one_of(value, str(context["expected"]))
        case "value_error":
            return message.removeprefix("Value error, ")
        case "string_type":
            return f"{shown(value)} is not text; put it in quotes"
        case "string_too_short" | "too_short":
            return "is empty; write something, or leave it out"
        case "string_too_long" | "too_long":
            return f"{shown(value)} is too long; {context.get('max_length')} at most"
        case "string_pattern_mismatch":
            return _not_the_pattern(value, str(context["pattern"]))
        case "int_type" | "int_from_float" | "int_parsing":
            return f"{shown(value)} is not a whole number; write one"
        case "float_type" | "float_parsing" | "finite_number":
            return f"{shown(value)} is not a number; write one"
        case "bool_type":
            return f"{shown(value)} is not true or false; write one of them"
        case "date_type" | "datetime_type":
            return f"{shown(value)} is not a date; write it as 2026-05-02, and check day and month"
        case _:
            return f"{shown(value)}: {message[0].lower()}{message[1:]}"


def _not_one_of(value: object, expected: str) -> str:
    options = [part.strip(" ',") for part in expected.replace("' or '", "', '").split("', '")]
    near = nearest(str(value), options)
    hint = f"did you mean {near}?" if near else f"write one of: {', '.join(options)}"
    return f"{shown(value)} is not known here; {hint}"


def _not_the_pattern(value: object, pattern: str) -> str:
    if pattern.startswith("^[A-F]"):
        return f"{shown(value)} is not a role letter; write A to F, never a name"
    if pattern.startswith("^[A-Za-z0-9]["):
        return f"{shown(value)} is not a name we can use; letters, digits, - and _, at most 64 of them"
    if pattern.startswith("^[A-Za-z0-9-]"):
        return f"{shown(value)} is not a tag; letters and digits, at most 12"
    return f"{shown(value)!r} holds a control character; take it out"
