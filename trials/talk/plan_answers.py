"""Answers of the talk about a plan -> its keys: a line of two is taken apart, a way is spelled out."""

import re
from functools import lru_cache

from schemas import MeasureName, Trial
from schemas.base import MEASURE_WORDS
from trials.files.answers import read_answers
from trials.measures.catalogue import measure_named
from trials.plans.brief import DesignBrief, TypedLine, brief_for
from trials.plans.design import Design
from trials.plans.designs import Comparison, compare_designs
from trials.plans.plan_power import power_of_plan
from trials.plans.power import FEWEST_PLANNED, MOST_PLANNED
from trials.plans.what_if import what_ifs
from trials.talk.question import Given, whole_number
from trials.units.quantity import Kind, UnitError, read_quantity
from trials.units.unit_error import NO_NUMBER, NO_UNIT, OTHER_UNIT
from trials.wording.numbers import typed_figures

SORT, TAILS_TOO, TRACERS, HELD, RUN, LIMITS, WAY, PAIRS, CONFIRM = STEERING = (
    "sort",
    "tails too",
    "tracers to hand",
    "pitch, water",
    "run + cleanup",
    "sand, minutes",
    "way",
    "pairs + spares",
    "store it",
)
"""Answers that steer the conversation, or hold two keys in one line; no keys of a plan."""
A_CHANGE, NOTHING_CHANGED, AUDIT = SORTS = (
    "did a change catch more",
    "how far do two alike runs differ (nothing changed)",
    "where do losses start (audit)",
)
NOT_COMPARED = (LIMITS, WAY, PAIRS, "look_after", "knew", CONFIRM, "seed")
"""Answers that no comparison of ways goes by."""
STAND_INS = {"name": "unnamed", "measure": "gold_mass", "pairs": "6", "lot.kind": "natural", "gear.kind": "other"}
"""What stands in for the keys that a plan must have and that are not asked yet."""
IN_ONE_LINE = (HELD, RUN, LIMITS, PAIRS)
"""Answers that hold two keys."""
LIMIT_KEYS = ("limits.black_sand", "limits.minutes")
USUAL_CLEANUP = "15 min"
PAIRS_WHERE_NOTHING_TELLS = {A_CHANGE: "12", NOTHING_CHANGED: "6", AUDIT: "4"}
GAIN = re.compile(r"\s*(\d+(?:\.\d+)?)\s*(%|points?\b)\s*(.*?)\s*", re.IGNORECASE)
TIMES = re.compile(r"(\d+(?:\.\d+)?)\s*(%|times|x)?(?:\s*(?:more\s*)?(?:as much|sand|minutes))?", re.IGNORECASE)
MORE_GOLD = re.compile(
    r"\s*(?P<more>[\d.]+\s*[a-z]+)(?:\s+more)?(?:\s+(?:of|on)\s+(?P<now>[\d.]+\s*[a-z]+))?(?:\s+(?:a|each|per)\s+clean-?\s?up)?\s*",
    re.IGNORECASE,
)
COUNTED, LOST = ("grain", "colour", "color", "fleck", "flake"), ("lost", "less", "tails")


def read_gain(text: str, measure: MeasureName | None = None) -> TypedLine | None:
    """Read a gain as people say it: a number, % or points, and what it is more of (gold where nothing is said).

    None where it is none. A `measure` that is settled goes before what is said, where it is told in the same unit.

    >>> read_gain("3 points"), read_gain("20 % more grains")
    (TypedLine(measure='recovery', typed=3.0), TypedLine(measure='grain_counts', typed=20.0))
    >>> read_gain("20 %", "tails_gold"), read_gain("some") is None
    (TypedLine(measure='tails_gold', typed=20.0), True)
    >>> read_gain("0.1 g of 0.8 g a clean-up")
    TypedLine(measure='gold_mass', typed=12.5)
    """
    text = as_share_of_now(text) or text
    found = GAIN.fullmatch(text)
    if found is None or float(found.group(1)) == 0:
        return None
    of_what, in_points = found.group(3).lower(), found.group(2) != "%"
    meant: MeasureName
    if in_points:
        meant = "recovery"
    elif any(word in of_what for word in COUNTED):
        meant = "grain_counts"
    else:
        meant = "tails_gold" if any(word in of_what for word in LOST) else "gold_mass"
    if measure is not None and measure_named(measure).is_ratio != in_points:
        meant = measure
    return TypedLine(meant, float(found.group(1)))


def as_share_of_now(text: str) -> str:
    """A gain in gold a clean-up, told with what a clean-up gives now, in % of that; blank where it is none.

    >>> as_share_of_now("0.1 g of 0.8 g a clean-up"), as_share_of_now("50 mg on 1 g"), as_share_of_now("0.1 g")
    ('12.5 %', '5 %', '')
    """
    found = MORE_GOLD.fullmatch(text)
    if found is None or not found["now"]:
        return ""
    try:
        more, now = (read_quantity(found[name], Kind.GOLD_MASS) for name in ("more", "now"))
    except UnitError:
        return ""
    return f"{typed_figures(100.0 * more / now)} %" if now > 0 else ""


def is_gold_alone(text: str) -> bool:
    """Whether a text is an amount of gold that is told without what a clean-up gives now."""
    found = MORE_GOLD.fullmatch(text)
    return found is not None and not found["now"] and _problem(found["more"], Kind.GOLD_MASS) is None


def taken_apart(key: str, text: str) -> tuple[dict[str, str], list[str]]:
    """Take a line of two answers apart, as "4 deg, 8 L/min" or "12 + 1": the keys, and what is wrong with it."""
    if key == HELD:
        return _held(text)
    if key == LIMITS:
        return _limits(text)
    parts = [part.strip() for part in re.split(r"\+|,|\band\b", text)]
    if not 1 <= len(parts) <= 2:
        example = "20 min + 15 min" if key == RUN else "12 + 1"
        return {}, [f"{text} is more than two; write it as {example}."]
    if key == RUN:
        return dict(zip(("guess.run", "guess.cleanup"), [*parts, USUAL_CLEANUP], strict=False)), []
    return dict(zip(("pairs", "spares"), parts, strict=False)), []


def _limits(text: str) -> tuple[dict[str, str], list[str]]:
    """The most that black sand and minutes may become, each as so many times or so many % more."""
    found = [TIMES.fullmatch(part.strip()) for part in re.split(r",|;|\+|\band\b", text)]
    if len(found) != len(LIMIT_KEYS) or None in found:
        return {}, [f"{text} is not two limits; write black sand, then minutes, as 1.5, 1.2 or 50 %, 20 %."]
    return {key: _times(one) for key, one in zip(LIMIT_KEYS, found, strict=True) if one is not None}, []


def _times(found: re.Match[str]) -> str:
    number = float(found[1])
    return typed_figures(1.0 + number / 100.0 if found[2] == "%" else number, 6)


def _held(text: str) -> tuple[dict[str, str], list[str]]:
    """A pitch, a water rate, or both: each is known by its unit."""
    found: dict[str, str] = {}
    problems: list[str] = []
    for part in [text] if _kind_of(text) else [part.strip() for part in re.split(r",|;|\+|\band\b", text)]:
        kind = _kind_of(part)
        key = "held.water" if kind is Kind.FLOW else "held.pitch"
        if kind is None:
            problems.append(_neither(part))
        elif key in found:
            problems.append(f"{text} has two of a kind; write one pitch and one water rate, as 4 deg, 8 L/min.")
        else:
            found[key] = part
    return found, problems


def _kind_of(text: str) -> Kind | None:
    return next((kind for kind in (Kind.ANGLE, Kind.FLOW) if _problem(text, kind) is None), None)


def _neither(text: str) -> str:
    """Why a text is neither: the reader's own words, where they know the unit."""
    for kind in (Kind.FLOW, Kind.ANGLE):
        error = _problem(text, kind)
        if error is not None and error.code not in (NO_NUMBER, NO_UNIT, OTHER_UNIT):
            return str(error)
    return f"{text} is neither a pitch nor a water rate; write them with their units, as 4 deg, 8 L/min."


def _problem(text: str, kind: Kind) -> UnitError | None:
    try:
        read_quantity(text, kind)
    except UnitError as error:
        return error
    return None


def settled(given: Given) -> dict[str, str]:
    """Every key of the plan that these answers settle."""
    plan = _plain(given)
    if given.get(SORT) == AUDIT:
        plan |= {"audit": "yes", "measure": "tracers"}
    if (way := chosen_way(given)) is not None:
        plan |= _of_way(way, given)
    measure = measure_named(plan["measure"]) if plan.get("measure") in MEASURE_WORDS else None
    if measure is not None and measure.is_seeded and plan.get("grains.size"):
        plan |= {"sizes.series": "ASTM"}
    if measure is not None and measure.searches_tails and TAILS_TOO in given:
        plan |= {"tails.caught": "all" if given[TAILS_TOO] == "yes" else "none"}
    return plan


def _plain(given: Given) -> dict[str, str]:
    """The keys of a plan among the answers, lines of two taken apart."""
    plan = {key: text for key, text in given.items() if key not in STEERING}
    for key in IN_ONE_LINE:
        if given.get(key):
            found, _ = taken_apart(key, given[key])
            plan = {**found, **plan}
    line = read_gain(plan.get("worth_having", ""))
    if line is not None:
        plan["worth_having"] = _typed(line)
    return plan


def _typed(line: TypedLine) -> str:
    return f"{typed_figures(line.typed, 6)} {'%' if measure_named(line.measure).is_ratio else 'points'}"


def _of_way(way: Design, given: Given) -> dict[str, str]:
    keys = {
        "measure": way.measure,
        "worth_having": _typed(line_of_way(way, given)),
        "guess.run": f"{typed_figures(way.run_minutes)} min",
    }
    if not way.has_own_charge:
        keys["held.charge"] = _charge(way.charge_g)
    if way.tracers_a_run:
        keys |= {"grains.seeded": str(way.tracers_a_run), "grains.size": way.tracer_size}
    return keys


def _charge(charge_g: float) -> str:
    return f"{typed_figures(charge_g / 1000, 6)} kg" if charge_g >= 1000 else f"{typed_figures(charge_g, 6)} g"


def line_of_way(way: Design, given: Given) -> TypedLine:
    """The line in the terms of a way: as typed where it was typed for that measure, else the same change there."""
    typed = read_gain(given.get("worth_having", ""))
    if typed is not None and typed.measure == way.measure:
        return typed
    shown = abs(measure_named(way.measure).shown(way.difference))
    return TypedLine(way.measure, float(typed_figures(shown, 2)))


def chosen_way(given: Given) -> Design | None:
    """The way that was chosen; None where none was, or it is not among those there are."""
    number = whole_number(given.get(WAY, "")) or 0
    compared = compared_for(given) if number else None
    return compared[1].best[number - 1] if compared is not None and number <= len(compared[1].best) else None


def compared_for(given: Given) -> tuple[DesignBrief, Comparison, TypedLine] | None:
    """The ways compared for these answers; None where nothing can bring the gain that was typed."""
    before = {key: text for key, text in given.items() if key not in NOT_COMPARED}
    return _compared(tuple(sorted(before.items())))


@lru_cache(maxsize=4)
def _compared(items: tuple[tuple[str, str], ...]) -> tuple[DesignBrief, Comparison, TypedLine] | None:
    given = dict(items)
    line = read_gain(given.get("worth_having", ""))
    trial = trial_so_far(given)
    if line is None or trial is None:
        return None
    tracers = whole_number(given.get(TRACERS, "")) or 0
    asked = brief_for(trial, line, tails_kept=given.get(TAILS_TOO) == "yes", tracers=tracers)
    return None if asked is None else (asked, compare_designs(asked), line)


levers_for = lru_cache(maxsize=4)(what_ifs)
"""What would let something answer; reckoned once."""


def can_compare(given: Given) -> bool:
    """Whether ways are compared: the measure is open, and the gold is guessed that every way is reckoned from."""
    return given.get(SORT) == A_CHANGE and not given.get("measure") and bool(given.get("guess.gold"))


def trial_so_far(given: Given) -> Trial | None:
    """A plan of what is settled so far, for reckoning: measure and pairs stand in where they are open."""
    plan = _told_so_far(given)
    if "measure" not in plan:
        plan = {**plan, "measure": "gold_mass", "worth_having": ""}
    return read_answers({**STAND_INS, **plan})[0]


def measure_is_open(given: Given) -> bool:
    """Whether it is not settled yet what is measured."""
    return "measure" not in _told_so_far(given)


def _told_so_far(given: Given) -> Given:
    return settled(given) if WAY in given else _plain(given)


def pairs_wanted(given: Given) -> str:
    """How many pairs, and spares, would suit: those that find the line, as far as the dirt goes, and a spare."""
    trial = trial_so_far(given)
    sort = given.get(SORT, A_CHANGE)
    pairs = int(PAIRS_WHERE_NOTHING_TELLS[sort])
    if trial is None:
        return f"{pairs} + 0"
    if sort == A_CHANGE:
        way = chosen_way(given)
        pairs = power_of_plan(trial).needed or (way.pairs if way is not None and way.pairs else pairs)
    charge, mass = trial.held.charge_g, trial.lots[0].mass_g
    dirt_for = MOST_PLANNED if charge is None or mass is None else int(mass / (charge * len(trial.arms)) + 1e-9)
    planned = max(min(pairs, dirt_for), FEWEST_PLANNED)
    return f"{planned} + {1 if planned < dirt_for and sort != AUDIT else 0}"
