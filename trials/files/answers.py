"""Answers typed one by one -> a plan: the same reader as for `trial.toml`, so that the same rules hold."""

import re
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType, UnionType
from typing import Annotated, Any, Union, get_args, get_origin

import tomlkit
from pydantic import BaseModel

from schemas import Lot, Trial, Word
from schemas.trial import SECTIONS
from trials.errors import Problem
from trials.files.trial_file import read_trial
from trials.records.faults import MISSING
from trials.records.keys import TOP_KEYS, file_keys
from trials.wording.lists import nearest

Answers = Mapping[str, str]
WHOLE = re.compile(r"[+-]?\d{1,18}")
NUMBER = re.compile(r"[+-]?\d{1,18}(\.\d+)?")
ONE_LOT_SECTIONS: Mapping[str, type[Word]] = {"lot": Lot, **SECTIONS}
"""Every section of a plan with one lot."""
YES, NO = ("yes", "y", "true"), ("no", "n", "false")


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


def plan_text(answers: Answers) -> str:
    """Write answers as the text of a `trial.toml`; blank ones are left out.

    Examples
    --------
    >>> print(plan_text({"name": "mat", "pairs": "6", "change.changed": "looped; brush"}).strip())
    name = "mat"
    pairs = 6
    <BLANKLINE>
    [change]
    changed = ["looped", "brush"]
    """
    kinds = plan_keys()
    document = tomlkit.document()
    for key, text in sorted(answers.items(), key=lambda item: _place(item[0], kinds)):
        if text.strip():
            put_answer(document, key, text)
    return tomlkit.dumps(document)


def put_answer(document: tomlkit.TOMLDocument, key: str, text: str) -> None:
    """Put one answer into a TOML document, in its section; a blank one takes the key out."""
    section, dot, name = key.rpartition(".")
    if dot and section not in document:
        document[section] = tomlkit.table()
    table: Any = document[section] if dot else document
    if text.strip():
        table[name] = _value(key, text.strip(), plan_keys().get(key))
    else:
        table.pop(name, None)


def _place(key: str, kinds: Mapping[str, object]) -> int:
    """Where a key stands in a file: top keys first, then section by section."""
    known = list(kinds)
    return known.index(key) if key in kinds else len(known)


def _value(key: str, text: str, kind: type | None) -> object:
    """A number or a yes where the key holds one and the text is one; else the text, for the reader to judge."""
    if kind is bool and text.lower() in (*YES, *NO):
        return text.lower() in YES
    if kind is int and WHOLE.fullmatch(text):
        return int(text)
    if kind is float and NUMBER.fullmatch(text):
        return float(text)
    if key == "change.changed" and ";" in text:
        return [part.strip() for part in text.split(";") if part.strip()]
    return text


def read_answers(answers: Answers, place: str = "plan") -> tuple[Trial | None, list[Problem]]:
    """Read a plan out of answers.

    Parameters
    ----------
    answers
        Typed texts by key; blank: not answered.
    place
        What to call them in problems.

    Returns
    -------
    tuple
        The plan, or None with every problem.

    Examples
    --------
    >>> print(read_answers({"pairs": "six"})[1][-1])
    plan, pairs: six is not a whole number; write one
    """
    unknown = unknown_keys(answers, place)
    if unknown:
        return None, unknown
    return read_trial(plan_text(answers), place)


def unknown_keys(answers: Answers, place: str) -> list[Problem]:
    """The keys among the answers that no plan has."""
    return [Problem(f"{place}, {key}", _unknown(key)) for key in answers if key not in plan_keys()]


def _unknown(key: str) -> str:
    near = nearest(key, list(plan_keys()))
    hint = f"did you mean {near}?" if near else "samedirt export --schema prints all keys"
    return f"is not a key of a plan; {hint}"


def problems_with(key: str, answers: Answers) -> list[Problem]:
    """What is wrong with one answer, leaving aside what is not answered yet?

    Parameters
    ----------
    key
        The answer in question; it and those before it are looked at.
    answers
        All so far.

    Returns
    -------
    list of Problem
        Those that stand at that key, or at a rule which it breaks together with earlier answers.
    """
    section, _, name = key.rpartition(".")
    needed = {"name": "unnamed", "measure": "gold_mass", "pairs": "60", "lot.kind": "natural", "gear.kind": "other"}
    without = {k: v for k, v in {**needed, **answers}.items() if k != key}
    before = read_answers(without)[1]
    after = read_answers({**without, key: answers[key]})[1]
    where = f"[{section}] {name}" if section else name
    return [p for p in after if p not in before and (where in p.place or p.code != MISSING)]
