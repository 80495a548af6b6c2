"""The ways compared, as a table to choose from."""

from math import isfinite

from trials.commands.printing import line_width, say, say_table
from trials.measures.catalogue import measure_named
from trials.plans.design import Design, mass_words
from trials.plans.designs import Comparison
from trials.plans.power import MOST_PLANNED
from trials.plans.what_if import WhatIf
from trials.wording.numbers import figures

WIDE_FROM = 92


def say_ways(comparison: Comparison, levers: tuple[WhatIf, ...], line: str) -> None:
    """Print every sort of way, the cheapest that can answer marked, and what would have to change where none can."""
    say(f"Ways to find {line}, each for the same true change, found 4 times in 5:")
    header = ["", "", "way", "a run", "pairs", "dirt", "hours", "gold or grains", "your gain", "scatter"]
    shown = len(header) if line_width() >= WIDE_FROM else len(header) - 2
    rows = [_row(number, way, comparison)[:shown] for number, way in enumerate(comparison.best, start=1)]
    say_table(header[:shown], rows)
    for number, way in enumerate(comparison.best, start=1):
        if way.hindrances:
            say(f"{number} can't: {'; '.join(way.hindrances)}.", indent=4, hanging=2)
    if comparison.cheapest is not None:
        say("> is the cheapest that can answer: the fewest hours, then the least dirt.", indent=2)
        return
    say("None of them can answer with what is in hand. What would, one thing at a time:")
    for lever in levers:
        say(f"- {lever.says}", indent=2, hanging=2)
    if not levers:
        say("- No single thing: the change is too small for any of them. Ask for a larger one.", indent=2)


def _row(number: int, way: Design, comparison: Comparison) -> list[str]:
    mark = ">" if way is comparison.cheapest else ""
    too_many = "none" if (way.pairs_unlimited or MOST_PLANNED + 1) <= MOST_PLANNED else f"{MOST_PLANNED}+"
    pairs = too_many if way.pairs is None else str(way.pairs)
    dirt = "" if way.dirt_g is None else mass_words(way.dirt_g)
    hours = "" if way.minutes is None else figures(way.minutes / 60.0, 2)
    measure = measure_named(way.measure)
    unit = " %" if measure.is_ratio else " pt"
    shown = measure.shown(way.difference), measure.spread_shown(way.sd_pair)
    gain, scatter = (figures(value, 2) + unit for value in shown)
    return [mark, str(number), _words(way), mass_words(way.charge_g), pairs, dirt, hours, _needs(way), gain, scatter]


def _words(way: Design) -> str:
    return f"tracers of {way.tracer_size}, counted" if way.tracers_a_run else measure_named(way.measure).words.short


def _needs(way: Design) -> str:
    """The gold all runs together need, or the tracer grains of one."""
    if way.tracers_a_run:
        return f"{way.tracers_a_run} a run"
    if way.pairs is None:
        return ""
    gold_mg = 2.0 * way.pairs * way.situation.dirt.gold_mg
    return f"{figures(gold_mg / 1000, 2)} g gold" if gold_mg >= 1000 else f"{figures(gold_mg, 2)} mg gold"


def ways_as_json(comparison: Comparison, levers: tuple[WhatIf, ...], line: str) -> dict[str, object]:
    """Every way looked at, for a plain reader; no number that is not finite."""
    cheapest = comparison.cheapest
    return {
        "line": line,
        "cheapest": None if cheapest is None else comparison.designs.index(cheapest),
        "ways": [_plain(way) for way in comparison.designs],
        "what_would": [{"what": lever.name, "says": lever.says} for lever in levers],
    }


def _plain(way: Design) -> dict[str, object]:
    return {
        "measure": way.measure,
        "charge_g": way.charge_g,
        "tracers_a_run": way.tracers_a_run,
        "tracer_size": way.tracer_size,
        "difference": way.difference,
        "sd_pair": way.sd_pair if isfinite(way.sd_pair) else None,
        "pairs": way.pairs,
        "pairs_without_limit": way.pairs_unlimited,
        "dirt_g": way.dirt_g,
        "minutes": way.minutes,
        "gold_mg_a_run": way.situation.dirt.gold_mg,
        "can_answer": way.answers,
        "hindrances": list(way.hindrances),
    }
