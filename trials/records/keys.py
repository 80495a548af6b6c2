"""The keys of a plan as a person types them, and the files they stand in."""

from collections.abc import Iterable, Mapping
from functools import cache
from types import MappingProxyType, UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel

from schemas import Lot, Trial, Typed, Word
from schemas.trial import SECTIONS
from trials.errors import Problem
from trials.wording.lists import nearest

TRIAL_FILE = "trial.toml"
RUNS_FILE = "runs.csv"
CHANGES_FILE = "changes.csv"
TOP_KEYS = tuple(name for name in Trial.model_fields if name not in {"typed", "lots", "amended", "photos", *SECTIONS})


ONE_LOT_SECTIONS: Mapping[str, type[Word]] = {"lot": Lot, **SECTIONS}
"""Every section of a plan with one lot."""


@cache
def file_keys(model: type[Word]) -> Mapping[str, tuple[str, Typed | None]]:
    """The keys a section of the file may have, each with its field and how it is typed.

    >>> from schemas import Gear
    >>> file_keys(Gear)["width"][0]
    'width_mm'
    """
    keys: dict[str, tuple[str, Typed | None]] = {}
    for name, field in model.model_fields.items():
        typed = next((part for part in field.metadata if isinstance(part, Typed)), None)
        keys[typed.key if typed else name] = (name, typed)
    return MappingProxyType(keys)


@cache
def plan_keys() -> Mapping[str, type | None]:
    """Every key of a plan with one lot, as "pairs" or "lot.mass"; with bool, int or float where it is not a text.

    >>> plan_keys()["pairs"], plan_keys()["lot.mass"]
    (<class 'int'>, None)
    """
    keys = {key: _plain_type(Trial, key) for key in TOP_KEYS if key != "worth_having"}
    keys["worth_having"] = None
    for section, model in ONE_LOT_SECTIONS.items():
        for key, (field, typed) in file_keys(model).items():
            keys[f"{section}.{key}"] = None if typed is not None else _plain_type(model, field)
    return MappingProxyType(keys)


def _plain_type(model: type[BaseModel], field: str) -> type | None:
    return next((part for part in _parts(model.model_fields[field].annotation) if part in (bool, int, float)), None)


def _parts(annotation: Any) -> tuple[Any, ...]:  # noqa: ANN401 - an annotation may be anything
    """The types an annotation is made of: those of a union, and what is annotated."""
    if get_origin(annotation) in (Union, UnionType):
        return tuple(inner for part in get_args(annotation) for inner in _parts(part))
    return _parts(get_args(annotation)[0]) if get_origin(annotation) is Annotated else (annotation,)


def unknown_keys(keys: Iterable[str], place: str) -> list[Problem]:
    """The keys that no plan has, each with the nearest one that is."""
    known = plan_keys()
    near = {key: nearest(key, list(known)) for key in keys if key not in known}
    schema = "samedirt export --schema prints all keys"
    return [
        Problem(f"{place}, {key}", "is not a key of a plan", f"did you mean {word}?" if word else schema)
        for key, word in near.items()
    ]
