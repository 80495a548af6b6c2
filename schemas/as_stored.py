"""What is handed in -> what a field stores, where nothing can be mistaken; nothing is read out of a text."""

from collections.abc import Callable
from functools import cache
from typing import Any, get_args, get_origin

from pydantic import BaseModel


def as_stored(model: type[BaseModel]) -> Callable[[Any], Any]:
    """What takes the values handed to a model as its fields store them, where they mean the same; all else as given.

    A whole float and a number out of an array count as what they are; a list serves where a tuple is stored.
    """

    def taken(name: str, value: Any) -> Any:  # noqa: ANN401 - before it is checked it may be anything
        # A number of numpy, whichever its size.
        if type(value) is not float and hasattr(value, "dtype") and getattr(value, "ndim", None) == 0:
            value = value.item()
        if isinstance(value, float) and value.is_integer() and name in _fields_of(model, int):
            return int(value)
        return tuple(value) if isinstance(value, list) and name in _fields_of(model, tuple) else value

    def all_taken(given: Any) -> Any:  # noqa: ANN401 - as above
        if not isinstance(given, dict):
            return given
        return {name: value if type(value) in _PLAIN else taken(name, value) for name, value in given.items()}

    return all_taken


_PLAIN = frozenset({str, int, bool, type(None)})  # stored as they are


@cache
def _fields_of(model: type[BaseModel], kind: type) -> frozenset[str]:
    """The fields of a model that may hold such a value; found when one is first handed in."""
    return frozenset(name for name, field in model.model_fields.items() if _holds(field.annotation, kind))


def _holds(annotation: Any, kind: type) -> bool:  # noqa: ANN401 - an annotation may be anything
    """Whether a field of this type may hold such a value itself, not within a tuple."""
    if kind in (annotation, get_origin(annotation)):
        return True
    return get_origin(annotation) is not tuple and any(_holds(part, kind) for part in get_args(annotation))
