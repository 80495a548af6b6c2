"""The base of a year's worth as a person types it: clean-ups as 2x5x50, gold and dirt with their units, money."""

import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from math import prod
from pathlib import Path

from pydantic import ValidationError

from schemas import WorthBase
from trials.errors import Problem, Refused
from trials.records.faults import MISSING, problems_of
from trials.units.quantity import Kind, UnitError, read_quantity
from trials.units.typed_number import as_float, split_number
from trials.units.unit_error import refusal
from trials.wording.steps import step
from trials.worth.reckon import OwnCosts

Fields = Mapping[str, object]
CODE = re.compile(r"[A-Za-z]{3}")
TIMES = re.compile(r"\s*[x*×]\s*")  # noqa: RUF001 - the sign of times, as typed


@dataclass(frozen=True, slots=True)
class WorthKey:
    """One thing that is typed for a year's worth.

    read: the fields of `WorthBase` that a text makes; a UnitError where it makes none.
    as_typed: how it may be written.
    is_own: it belongs to the one change, and is not remembered for the next.
    """

    read: Callable[[str], Fields]
    as_typed: str
    is_own: bool = False


def _amount(field: str, kind: Kind, factor: float = 1.0) -> Callable[[str], Fields]:
    return lambda text: {field: read_quantity(text, kind) / factor}


def _cleanups(text: str) -> Fields:
    """Clean-ups a year: one number, or several to be multiplied, as 2x5x50 (a day, days a week, weeks)."""
    parts = TIMES.split(text.strip())
    try:
        return {"cleanups": prod(_bare(part) for part in parts)}
    except UnitError as error:
        raise refusal(text, "write clean-ups a year, as 500; or a day x days a week x weeks, as 2x5x50.") from error


def _bare(text: str) -> float:
    number, _, rest = split_number(text)
    if rest:
        raise refusal(text, "write the number alone.")
    return as_float(number, text)


def _number(field: str, says: str, ending: str = "") -> Callable[[str], Fields]:
    def read(text: str) -> Fields:
        number, _, rest = split_number(text)
        if rest not in ("", ending):
            raise refusal(text, says)
        return {field: as_float(number, text)}

    return read


def _money(field: str) -> Callable[[str], Fields]:
    """Money, with the code of its currency or without."""

    def read(text: str) -> Fields:
        number, _, rest = split_number(text)
        if rest and not CODE.fullmatch(rest):
            raise refusal(text, f"{rest} is no code of a currency; write the number, or with its code, as 2400 EUR.")
        return {field: as_float(number, text), **({"currency": rest.upper()} if rest else {})}

    return read


def _currency(text: str) -> Fields:
    if not CODE.fullmatch(text.strip()):
        raise refusal(text, "a currency is written as its code of three letters, as EUR.")
    return {"currency": text.strip().upper()}


def _day(text: str) -> Fields:
    try:
        return {"price_date": date.fromisoformat(text.strip())}
    except ValueError as error:
        raise refusal(text, "write the day as 2026-05-02, and check day and month.") from error


def _sand(text: str) -> Fields:
    """What a kg more of black sand costs: money, or the minutes it takes."""
    rest = split_number(text)[2]
    if not rest or (CODE.fullmatch(rest) and rest.casefold() != "min"):
        return _money("sand_kg")(text)
    return {"sand_minutes_kg": read_quantity(text, Kind.MINUTES)}


def _minutes(text: str) -> Fields:
    number, _, rest = split_number(text)
    return {"minutes": read_quantity(text, Kind.MINUTES) if rest else as_float(number, text)}


FINE = "write parts of a thousand, as 850; pure gold is 1000."
WORTH_KEYS: Mapping[str, WorthKey] = {
    "cleanups": WorthKey(_cleanups, "2x5x50"),
    "gold": WorthKey(_amount("gold_g", Kind.GOLD_MASS, 1000.0), "0.8 g"),
    "charge": WorthKey(_amount("charge_kg", Kind.FEED_MASS, 1000.0), "40 kg"),
    "feed": WorthKey(_amount("feed_kg", Kind.FEED_MASS, 1000.0), "90 t"),
    "grade": WorthKey(_amount("grade_mg_kg", Kind.GRADE), "0.4 mg/kg"),
    "tails_gold": WorthKey(_amount("tails_gold_g", Kind.GOLD_MASS, 1000.0), "12 g"),
    "price": WorthKey(_money("price"), "2400 EUR"),
    "price_date": WorthKey(_day, "2026-05-02"),
    "fineness": WorthKey(_number("fineness", FINE), "850"),
    "payout": WorthKey(_number("payout_percent", "write what the buyer pays in %, as 85.", "%"), "85 %"),
    "currency": WorthKey(_currency, "EUR"),
    "wage": WorthKey(_money("wage_h"), "12"),
    "run_wage": WorthKey(_money("run_wage_h"), "5"),
    "sand": WorthKey(_sand, "10 min"),
    "once": WorthKey(_money("once"), "90", is_own=True),
    "running": WorthKey(_money("running"), "20", is_own=True),
    "minutes": WorthKey(_minutes, "48 min", is_own=True),
}
"""Every key, as a flag is called (--tails-gold for tails_gold)."""


def flag(key: str) -> str:
    """The flag of a key.

    >>> flag("tails_gold")
    '--tails-gold'
    """
    return f"--{key.replace('_', '-')}"


def read_worth(answers: Mapping[str, str]) -> tuple[WorthBase | None, OwnCosts, list[Problem]]:
    """Read what was typed, by key: the base, what the one change costs, and every problem.

    The base is None too where a price, its day, fineness, payout or wage was not typed: see `missing_for`.

    >>> year = {"cleanups": "2x5x50", "gold": "0.8 g", "price": "2400 EUR", "price_date": "2026-05-03",
    ...         "fineness": "850", "payout": "85 %", "wage": "12", "once": "90"}
    >>> base, own, problems = read_worth(year)
    >>> base.gold_kept_g, base.currency, own.once, problems
    (400.0, 'EUR', 90.0, [])
    """
    fields: dict[str, object] = {}
    key_of: dict[str, str] = {}
    problems: list[Problem] = []
    for key, text in ((key, text.strip()) for key, text in answers.items()):
        if not text:
            continue
        try:
            found = dict(WORTH_KEYS[key].read(text))
        except UnitError as error:
            problems.append(Problem(flag(key), str(error)))
            continue
        code = found.get("currency", fields.get("currency"))
        if fields.get("currency", code) != code:
            problems.append(Problem(flag(key), f"{text} is not in {fields['currency']}", "no currency is converted"))
        fields |= found
        key_of |= dict.fromkeys(found, key)
    own = OwnCosts(**{name: float(fields.pop(name)) for name in ("once", "running", "minutes") if name in fields})  # type: ignore[arg-type]
    if own.once < 0:
        problems.append(Problem(flag("once"), f"{answers['once']} is under 0; write what was spent"))
    typed = {key: text for key, text in answers.items() if text.strip() and not WORTH_KEYS[key].is_own}
    try:
        return WorthBase(**fields, typed=typed), own, problems  # type: ignore[arg-type]
    except ValidationError as error:
        told = {field: answers[key] for field, key in key_of.items()}
        wrong = problems_of(error, lambda loc: flag(key_of.get(str(loc[0]), "")), told)
        return None, own, [*problems, *(one for one in wrong if one.code != MISSING)]


def own_texts(answers: Mapping[str, str]) -> dict[str, str]:
    """What was typed of the one change, not of the year."""
    return {key: text for key, text in answers.items() if text.strip() and WORTH_KEYS[key].is_own}


ALWAYS = ("price", "price_date", "fineness", "payout", "wage")


def missing_for(measure: str, answers: Mapping[str, str]) -> list[str]:
    """Which keys are still to be typed before a gain of this measure can be priced?

    Gold is told as clean-ups and what one gives; a recovery may have dirt and its gold in their stead, and gold in the
    tails has a key of its own. Other measures have no gold to be priced.

    >>> missing_for("recovery", {"feed": "90 t", "grade": "0.4 mg/kg", "price": "2400"})
    ['price_date', 'fineness', 'payout', 'wage']
    """
    told = {key for key, text in answers.items() if text.strip()}
    by_dirt = "grade" in told and (("feed" in told) or {"charge", "cleanups"} <= told)
    gold = ("tails_gold",) if measure == "tails_gold" else ("cleanups", "gold")
    needed = ALWAYS if measure == "recovery" and by_dirt else (*gold, *ALWAYS)
    return [key for key in needed if key not in told and not (key == "price_date" and "price" not in told)]


def _written_as(key: str) -> str:
    example = WORTH_KEYS[key].as_typed
    return step(f'write it as {flag(key)} "{example}"', f"write it as {example}")


def missing_problems(measure: str, answers: Mapping[str, str]) -> list[Problem]:
    """A problem for each key still to be typed, with how it may be written."""
    return [
        Problem(flag(key), "is needed: nothing is guessed", _written_as(key)) for key in missing_for(measure, answers)
    ]


WORTH_FILE = "worth.toml"
OF_YEAR, OF_CHANGE = "year", "change"


def worth_text(year: Mapping[str, str], own: Mapping[str, Mapping[str, str]]) -> str:
    """Write what was typed of a year, and of each change by the name of its trial, as a file beside their folders.

    >>> print(worth_text({"cleanups": "2x5x50"}, {"two-mats": {"once": "90 EUR"}}))
    [year]
    cleanups = "2x5x50"
    <BLANKLINE>
    [change.two-mats]
    once = "90 EUR"
    <BLANKLINE>
    """
    import tomlkit

    return tomlkit.dumps({OF_YEAR: dict(year), OF_CHANGE: {name: dict(typed) for name, typed in own.items()}})


def read_worth_file(path: Path) -> tuple[WorthBase | None, dict[str, dict[str, str]]]:
    """Read that file back: the base of a year, where one was typed, and what each change costs of its own.

    Raises Refused: it can't be read, with every problem.
    """
    try:
        told = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise Refused([Problem(str(path), f"can't be read ({error})", "export it again, or leave it out")]) from error
    year, own = told.get(OF_YEAR, {}), told.get(OF_CHANGE, {})
    if set(told) - {OF_YEAR, OF_CHANGE} or not all(map(_is_typed, [year, *own.values()])):
        raise Refused([Problem(str(path), "holds what is not of a year's worth", "export it again, or leave it out")])
    base, _, problems = read_worth(year)
    problems += [problem for typed in own.values() for problem in read_worth(typed)[2]]
    if problems:
        raise Refused([Problem(f"{path}, {one.place}", one.what, one.next_step) for one in problems])
    return base, own


def _is_typed(table: object) -> bool:
    return isinstance(table, dict) and all(key in WORTH_KEYS and isinstance(text, str) for key, text in table.items())
