"""What is handed in -> what a field stores, where nothing can be mistaken; nothing is read out of a text."""

from functools import cache
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel


def as_stored(model: type[BaseModel], given: Any) -> Any:  # noqa: ANN401 - before it is checked it may be anything
    """Values as the fields of a model store them, where they mean the same; all else as it was given.

    A whole float and a number out of an array count as what they are; a list serves where a tuple is stored.
    """
    if not isinstance(given, dict):
        return given
    counts, rows = _counts_and_rows(model)
    return {name: _one(value, counts, rows, name) for name, value in given.items()}


def _one(value: Any, counts: frozenset[str], rows: frozenset[str], name: str) -> Any:  # noqa: ANN401 - as above
    if hasattr(value, "dtype") and getattr(value, "ndim", None) == 0:  # a number of numpy, whichever its size
        value = value.item()
    if name in counts and isinstance(value, float) and value.is_integer():
        return int(value)
    return tuple(value) if name in rows and isinstance(value, list) else value


@cache
def _counts_and_rows(model: type[BaseModel]) -> tuple[frozenset[str], frozenset[str]]:
    """Which fields hold a whole number, and which a tuple."""
    held = {name: _types_in(field.annotation) for name, field in model.model_fields.items()}
    counts = (name for name, types in held.items() if int in types)
    rows = (name for name, types in held.items() if tuple in types)
    return frozenset(counts), frozenset(rows)


def _types_in(annotation: Any) -> set[Any]:  # noqa: ANN401 - an annotation may be anything
    origin = get_origin(annotation)
    if origin in (Union, UnionType):
        return {inner for part in get_args(annotation) for inner in _types_in(part)}
    return _types_in(get_args(annotation)[0]) if origin is Annotated else {origin or annotation}
