"""What is handed in -> what a field stores, where nothing can be mistaken; nothing is read out of a text."""

from collections.abc import Callable
from typing import Any, get_args, get_origin

from pydantic import BaseModel


def as_stored(model: type[BaseModel]) -> Callable[[Any], Any]:
    """What takes the values handed to a model as its fields store them, where they mean the same; all else as given.

    A whole float and a number out of an array count as what they are; a list serves where a tuple is stored.
    """
    counts = {name for name, field in model.model_fields.items() if _holds(field.annotation, int)}
    rows = {name for name, field in model.model_fields.items() if _holds(field.annotation, tuple)}

    def taken(name: str, value: Any) -> Any:  # noqa: ANN401 - before it is checked it may be anything
        if hasattr(value, "dtype") and getattr(value, "ndim", None) == 0:  # a number of numpy, whichever its size
            value = value.item()
        if name in counts and isinstance(value, float) and value.is_integer():
            return int(value)
        return tuple(value) if name in rows and isinstance(value, list) else value

    def all_taken(given: Any) -> Any:  # noqa: ANN401 - as above
        return {name: taken(name, value) for name, value in given.items()} if isinstance(given, dict) else given

    return all_taken


def _holds(annotation: Any, kind: type) -> bool:  # noqa: ANN401 - an annotation may be anything
    """Whether a field of this type may hold such a value itself, not within a tuple."""
    if kind in (annotation, get_origin(annotation)):
        return True
    return get_origin(annotation) is not tuple and any(_holds(part, kind) for part in get_args(annotation))
