"""`trial.toml`: the plan of a trial as a person writes it."""

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from pydantic import ValidationError

from schemas import Amendment, Change, Gear, Lot, Photo, Trial, Word
from schemas.base import MEASURE_WORDS
from schemas.trial import SECTIONS
from trials.errors import Problem
from trials.records.faults import MISSING, problems_of, shown_value
from trials.records.keys import TOP_KEYS, TRIAL_FILE, file_keys
from trials.units.quantity import Kind, UnitError, read_quantity
from trials.wording.lists import nearest

LISTS: Mapping[str, tuple[str, type[Word]]] = {
    "lot": ("lots", Lot),
    "amended": ("amended", Amendment),
    "photo": ("photos", Photo),
}
STAND_INS: Mapping[str, Any] = {
    "name": "unread",
    "measure": "gold_mass",
    "pairs": 200,
    "lots": (Lot(kind="natural"),),
    "gear": Gear(kind="other"),
}
LINE = re.compile(r"\s*(\d+(?:\.\d+)?)\s*(%|points?)\s*")
UNPARSED = "not TOML"
"""The code of the problem with a text that is no TOML at all."""


@dataclass(slots=True)
class _Reading:
    """What was read so far: problems found, and what was typed, by place in the file."""

    file: str
    problems: list[Problem] = field(default_factory=list)
    typed: dict[str, str] = field(default_factory=dict)

    def refuse(self, where: str, what: str, next_step: str = "", code: str = "") -> None:
        """Note a problem."""
        self.problems.append(Problem(f"{self.file}, {where}", what, next_step, code))


def read_trial(text: str, place: str = TRIAL_FILE) -> tuple[Trial | None, list[Problem]]:
    """Read the text of a `trial.toml`: the trial, or None with every problem found.

    >>> trial, problems = read_trial('''
    ... name = "mat"
    ... measure = "gold_mass"
    ... pairs = 6
    ... lot = {kind = "natural", mass = "120 kg"}
    ... gear.kind = "sluice"
    ... ''')
    >>> trial.lots[0].mass_g, trial.kind, problems
    (120000.0, 'nothing-changed check', [])
    """
    data, says = _parsed(text)
    if data is None:
        return None, [Problem(place, says, "samedirt export --schema prints the form of a trial file", UNPARSED)]
    return read_keys(data, place)


def read_keys(data: Mapping[str, Any], place: str) -> tuple[Trial | None, list[Problem]]:
    """Read a plan out of the keys of a trial file, its sections being mappings; see `read_trial`."""
    reading = _Reading(place)
    values = _top(data, reading)
    for section, model in SECTIONS.items():
        if section in data:
            word = _section(data[section], f"[{section}]", model, reading)
            values |= {} if word is None else {section: word}
    for section, (name, model) in LISTS.items():
        if section in data:
            values[name] = _sections(data[section], section, model, reading)
    least = "the least that loads is name, measure, pairs, [gear] kind, [lot] kind, and [change] or audit = true"
    for key in ("name", "measure", "pairs", "lot", "gear"):
        if key not in data:
            reading.refuse(f"[{key}]" if key in ("lot", "gear") else key, "is missing", least, MISSING)
    trial, problems = _built(values, reading)
    return (None, problems) if problems else (trial, [])


def _parsed(text: str) -> tuple[dict[str, Any] | None, str]:
    """The data of a TOML text, or why there is none."""
    try:
        data = tomllib.loads(text)
        repr(data)  # what Python can't write out can't be named in a message either
    except tomllib.TOMLDecodeError as error:
        return None, str(error)
    except ValueError:  # a whole number of more than 4,300 digits
        return None, "a number in it is too long to be read"
    except RecursionError:
        return None, "brackets in it are nested too deep to be read"
    return data, ""


def _built(values: dict[str, Any], reading: _Reading) -> tuple[Trial | None, list[Problem]]:
    """Build the trial; where a section is wrong, stand-ins let the rest be looked at all the same."""
    whole = dict(values)
    if reading.problems:
        known = {key: value for key, value in values.items() if value is not None}
        whole = {**STAND_INS, **known, "lots": known.get("lots") or STAND_INS["lots"]}
    try:
        return Trial(**whole, typed=reading.typed), reading.problems
    except ValidationError as error:
        place = reading.file
        found = problems_of(error, lambda loc: f"{place}, {'.'.join(map(str, loc))}" if loc else place)
        return None, [*reading.problems, *found]


def _top(data: Mapping[str, Any], reading: _Reading) -> dict[str, Any]:
    values = {}
    for key, value in data.items():
        if key in SECTIONS or key in LISTS:
            continue
        if key not in TOP_KEYS:
            reading.refuse(key, _unknown(key, [*TOP_KEYS, *SECTIONS, *LISTS]))
        else:
            values[key] = value
    if "worth_having" in values:
        values["worth_having"] = _line(values, reading)
    if "locked" in values:
        values["locked"] = _day(values["locked"], "locked", reading)
    return values


def _unknown(key: str, known: list[str]) -> str:
    near = nearest(key, known)
    return "is not a key we know; " + (f"did you mean {near}?" if near else f"known: {', '.join(known)}")


def _line(values: Mapping[str, Any], reading: _Reading) -> float | None:
    """Read "20 %" or "1 point", by what the measure is told in."""
    text, measure = values["worth_having"], values.get("measure")
    word = MEASURE_WORDS.get(str(measure))
    in_points = word is not None and word.unit == "points"
    example = '"1 point"' if in_points else '"20 %"'
    found = LINE.fullmatch(text) if isinstance(text, str) else None
    if found is None:
        says = f"{shown_value(text)} is not a line; write it with its unit, as {example}"
        reading.refuse("worth_having", says)
        return None
    if (found.group(2) != "%") != in_points:
        says = f"{shown_value(text)} does not fit measure {shown_value(measure)}; write it as {example}"
        reading.refuse("worth_having", says)
        return None
    reading.typed["worth_having"] = text
    return float(found.group(1))


def _day(value: object, where: str, reading: _Reading) -> object:
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    try:
        return date.fromisoformat(str(value))
    except ValueError:
        says = f"{shown_value(value)} is not a day; write it as 2026-05-02, and check day and month"
        reading.refuse(where, says)
        return None


def _sections(value: object, section: str, model: type[Word], reading: _Reading) -> tuple[Any, ...]:
    tables = value if isinstance(value, list) else [value]
    heads = [f"[[{section}]] {number}" for number in range(1, len(tables) + 1)] if len(tables) > 1 else [f"[{section}]"]
    found = [_section(table, head, model, reading) for head, table in zip(heads, tables, strict=False)]
    return tuple(word for word in found if word is not None)


def _section(value: object, where: str, model: type[Word], reading: _Reading) -> Any | None:  # noqa: ANN401 - any word
    if not isinstance(value, Mapping):
        says = f"{shown_value(value)} is not a section; write {where} on a line of its own and its keys under it"
        reading.refuse(where, says)
        return None
    before = len(reading.problems)
    values = dict(_fields(value, where, model, reading))
    if len(reading.problems) > before:
        return None
    keys = {field: key for key, (field, _) in file_keys(model).items()}
    typed = {field: reading.typed[path] for field, key in keys.items() if (path := f"{where} {key}") in reading.typed}
    units = {field: Kind(how.kind).stored.name for field, how in file_keys(model).values() if how}
    try:
        return model(**values)
    except ValidationError as error:
        reading.problems += problems_of(
            error,
            lambda loc: f"{reading.file}, {where} {keys.get(str(loc[0]), loc[0]) if loc else ''}".rstrip(),
            typed,
            units,
        )
        return None


def _fields(section: Mapping[str, Any], where: str, model: type[Word], reading: _Reading) -> Iterator[tuple[str, Any]]:
    keys = file_keys(model)
    for key, value in section.items():
        spot = f"{where} {key}"
        if key not in keys:
            reading.refuse(spot, _unknown(key, list(keys)))
            continue
        name, typed = keys[key]
        if model is Change and key == "changed":
            yield name, tuple(value) if isinstance(value, list) else (value,)
        elif model is Change and key == "variable":
            yield name, _one_variable(value, spot, reading)
        elif model is Amendment:
            yield name, _day(value, spot, reading) if key == "when" else _as_text(value)
        else:
            yield name, value if typed is None else _quantity(value, Kind(typed.kind), spot, reading)


def _one_variable(value: object, spot: str, reading: _Reading) -> object:
    several = value if isinstance(value, list) else str(value).split(",")
    if len(several) > 1:
        names = ", ".join(str(part).strip() for part in several)
        says = f"two variables in one change ({names}); split them into two trials, or hold one"
        reading.refuse(spot, says)
    return value


def _as_text(value: object) -> str:
    return value if isinstance(value, str) else shown_value(value)


def _quantity(value: object, kind: Kind, spot: str, reading: _Reading) -> float | None:
    if kind in (Kind.COUNT, Kind.SPEED) and isinstance(value, int | float) and not isinstance(value, bool):
        try:
            return float(value) + 0.0  # a zero has no sign
        except OverflowError:
            reading.refuse(spot, f"{shown_value(value)} is too large to be held; check its digits")
            return None
    text = _as_text(value)
    try:
        number = read_quantity(text, kind)
    except UnitError as error:
        reading.refuse(spot, str(error))
        return None
    reading.typed[spot] = text
    return number
