"""Answers typed one by one -> a plan: the same reader as for `trial.toml`, so that the same rules hold."""

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

import tomlkit

from schemas import Trial
from trials.errors import Problem
from trials.files.cell_rules import NO, YES
from trials.files.trial_file import read_trial
from trials.records.faults import MISSING
from trials.records.keys import plan_keys, unknown_keys

Answers = Mapping[str, str]
WHOLE = re.compile(r"[+-]?\d{1,18}")
NUMBER = re.compile(r"[+-]?\d{1,18}(\.\d+)?")


def plan_text(answers: Answers) -> str:
    """Write answers as the text of a `trial.toml`; blank ones are left out.

    >>> print(plan_text({"name": "mat", "pairs": "6", "change.changed": "looped; brush"}).strip())
    name = "mat"
    pairs = 6
    <BLANKLINE>
    [change]
    changed = ["looped", "brush"]
    """
    known = list(plan_keys())  # top keys first, then section by section
    given = [(key, text) for key, text in answers.items() if text.strip()]
    given.sort(key=lambda item: known.index(item[0]) if item[0] in known else len(known))
    return _text_of(tuple(given))


@lru_cache(maxsize=64)
def _text_of(given: tuple[tuple[str, str], ...]) -> str:
    """Write them in this order; a talk reads the same answers several times at each question."""
    sections: dict[str, list[str]] = {}
    for key, text in given:
        section, _, name = key.rpartition(".")
        value = tomlkit.item(_value(key, text.strip(), plan_keys().get(key)))
        sections.setdefault(section, []).append(f"{name} = {value.as_string()}\n")
    return "\n".join((f"[{section}]\n" if section else "") + "".join(lines) for section, lines in sections.items())


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


def _value(key: str, text: str, kind: type | None) -> object:
    """A number or a yes where the key holds one and the text is one; else the text, for the reader to judge."""
    if kind is bool and text.lower() in YES | NO:
        return text.lower() in YES
    if kind is int and WHOLE.fullmatch(text):
        return int(text)
    if kind is float and NUMBER.fullmatch(text):
        return float(text)
    if key == "change.changed" and ";" in text:
        return [part.strip() for part in text.split(";") if part.strip()]
    return text


def read_answers(answers: Answers, place: str = "plan") -> tuple[Trial | None, list[Problem]]:
    """Read a plan out of answers by key, blank where not answered; None with every problem where there is none.

    >>> print(read_answers({"pairs": "six"})[1][-1])
    plan, pairs: six is not a whole number; write one
    """
    unknown = unknown_keys(answers, place)
    if unknown:
        return None, unknown
    trial, problems = _read(plan_text(answers), place)
    return trial, list(problems)


@lru_cache(maxsize=64)
def _read(text: str, place: str) -> tuple[Trial | None, tuple[Problem, ...]]:
    """Read a text once, however often a talk comes back to the same answers."""
    trial, problems = read_trial(text, place)
    return trial, tuple(problems)


def problems_with(key: str, answers: Answers) -> list[Problem]:
    """What is wrong with one answer, at its own key or by a rule that it breaks together with earlier ones?

    Those not given yet are left aside.
    """
    section, _, name = key.rpartition(".")
    needed = {"name": "unnamed", "measure": "gold_mass", "pairs": "60", "lot.kind": "natural", "gear.kind": "other"}
    without = {k: v for k, v in {**needed, **answers}.items() if k != key}
    before = read_answers(without)[1]
    after = read_answers({**without, key: answers[key]})[1]
    where = f"[{section}] {name}" if section else name
    return [one for one in after if one not in before and (where in one.place or one.code != MISSING)]
