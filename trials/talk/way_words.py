"""The ways of measuring compared: a table to choose from, and the same for a plain reader."""

from math import isfinite

from schemas import Trial
from trials.errors import Problem, Refused
from trials.measures.catalogue import measure_named
from trials.plans.advice.enough import why_out_of_reach
from trials.plans.brief import NO_GOLD_SAID, TypedLine, brief_for
from trials.plans.design import Design
from trials.plans.designs import Comparison, compare_designs
from trials.plans.power import MOST_PLANNED
from trials.plans.what_if import WhatIf, what_ifs
from trials.talk.shown import Block, Columns, Sentence
from trials.wording.numbers import figures, mass_words
from trials.wording.steps import step

WAY_HEADER = ("", "", "way", "a run", "{}s", "dirt", "hours", "needs", "your gain", "scatter")
FEWEST_COLUMNS = 8
"""Columns that fit on a narrow page: all but the gain and the scatter."""


def words_of_ways(comparison: Comparison, levers: tuple[WhatIf, ...], line: str) -> tuple[Block, ...]:
    """Every sort of way, the cheapest that can answer marked, and what would have to change where none can."""
    rows = tuple(tuple(_row(number, way, comparison)) for number, way in enumerate(comparison.best, start=1))
    brief = comparison.designs[0].brief
    of_level = "" if brief.arms == 2 else f" of one level against the baseline, in blocks of {brief.arms} runs"
    told: list[Block] = [
        Sentence(f"Ways to find {line}{of_level}, each for the same true change, found 4 times in 5:"),
        Columns(tuple(head.format(brief.what) for head in WAY_HEADER), rows, FEWEST_COLUMNS),
    ]
    for number, way in enumerate(comparison.best, start=1):
        if way.hindrances:
            told.append(Sentence(f"{number}{_whose(way)} can't: {'; '.join(way.hindrances)}.", indent=4, hanging=2))
        elif way.has_own_charge and way is not comparison.cheapest:
            told.append(Sentence(f"{number}{_whose(way)} can: {_dearer(way, comparison)}.", indent=4, hanging=2))
    if comparison.cheapest is not None:
        return (*told, Sentence("> is the cheapest that can answer: the fewest hours, then the least dirt.", indent=2))
    told.append(Sentence("None of them can answer with what is in hand. What would, one thing at a time:"))
    single = [f"- {lever.says}" for lever in levers]
    nothing = "- No single thing: the change is too small for any of them. Ask for a larger one."
    return (*told, *(Sentence(line, indent=2, hanging=2 if levers else 0) for line in single or [nothing]))


def _whose(way: Design) -> str:
    return f", your {mass_words(way.charge_g)}," if way.has_own_charge else ""


def _dearer(way: Design, comparison: Comparison) -> str:
    """What the cheapest way spares over one that can answer too."""
    cheapest = comparison.cheapest
    assert cheapest is not None  # noqa: S101 - one that can answer is there
    number = comparison.best.index(cheapest) + 1
    hours, fewest = (figures((one.minutes or 0.0) / 60.0, 2) for one in (way, cheapest))
    dirt, least = (mass_words(one.dirt_g or 0.0) for one in (way, cheapest))
    return f"{hours} h and {dirt} of dirt, where {number} takes {fewest} h and {least}"


def _row(number: int, way: Design, comparison: Comparison) -> list[str]:
    mark = ">" if way is comparison.cheapest else ""
    too_many = "none" if way.pairs_unlimited is None else f"{MOST_PLANNED}+"
    pairs = too_many if way.pairs is None else str(way.pairs)
    dirt = "" if way.dirt_g is None else mass_words(way.dirt_g)
    hours = "" if way.minutes is None else figures(way.minutes / 60.0, 2)
    measure = measure_named(way.measure)
    unit = " %" if measure.is_ratio else " pt"
    shown = measure.shown(way.difference), measure.spread_shown(way.sd_pair)
    gain, scatter = (figures(value, 2) + unit for value in shown)
    words = f"tracers of {way.tracer_size}, counted" if way.tracers_a_run else measure.words.short
    charge = f"your {mass_words(way.charge_g)}" if way.has_own_charge else mass_words(way.charge_g)
    return [mark, str(number), words, charge, pairs, dirt, hours, _needs(way), gain, scatter]


def _needs(way: Design) -> str:
    """The gold all runs together need, or the tracer grains of one."""
    if way.tracers_a_run:
        return f"{way.tracers_a_run} a run"
    if way.pairs is None:
        return ""
    gold_mg = way.brief.arms * way.pairs * way.situation.dirt.gold_mg
    return f"{figures(gold_mg / 1000, 2)} g gold" if gold_mg >= 1000 else f"{figures(gold_mg, 2)} mg gold"


def ways_of(trial: Trial, tracers: int | None) -> tuple[tuple[Block, ...], dict[str, object]]:
    """The ways compared for a plan's own line: in words, and every way looked at for a plain reader.

    `tracers` are counted grains in hand; 0 none, None they could be had. Refused where the plan has no line, one that
    nothing could bring, or nothing that could be found.
    """
    if trial.worth_having is None:
        raise Refused([Problem(trial.name, f"has no line to compare ways for; {_line_step()}")])
    line = TypedLine(trial.measure, trial.worth_having)
    asked = brief_for(trial, line, tails_kept=trial.tails.caught != "none", tracers=tracers)
    if asked is None:
        raise Refused([Problem(trial.name, f"{why_out_of_reach(trial, line)}; lower the line")])
    comparison = compare_designs(asked)
    if not comparison.designs:
        raise Refused([Problem(trial.name, NO_GOLD_SAID)])
    levers = what_ifs(asked, comparison, line)
    words = words_of_ways(comparison, levers, line.words)
    could_be_had = tracers is None and any(way.tracers_a_run for way in comparison.best)
    cheapest = comparison.cheapest
    return (*words, *((Sentence(_as_if_had()),) if could_be_had else ())), {
        "line": line.words,
        "cheapest": None if cheapest is None else comparison.designs.index(cheapest),
        "ways": [_plain(way) for way in comparison.designs],
        "what_would": [{"what": lever.name, "says": lever.says} for lever in levers],
    }


def _as_if_had() -> str:
    """That tracers are counted as had, and how to say how many there are."""
    none = step("--tracers 0", "0 in the field Tracer grains")
    some = step("--tracers 50", "50")
    return f"Tracers as if they could be had: {none} leaves them out, {some} has so many for one run."


def _line_step() -> str:
    return step('--worth-having "20 %" sets one', "set the smallest gain worth having, below")


def _plain(way: Design) -> dict[str, object]:
    """A way looked at; no number that is not finite."""
    return {
        "measure": way.measure,
        "charge_g": way.charge_g,
        "is_own_charge": way.has_own_charge,
        "tracers_a_run": way.tracers_a_run,
        "tracer_size": way.tracer_size,
        "difference": way.difference,
        "sd_pair": way.sd_pair if isfinite(way.sd_pair) else None,
        "pairs": way.pairs,
        "pairs_without_limit": way.pairs_unlimited,
        "dirt_g": way.dirt_g,
        "minutes": way.minutes,
        "gold_mg_a_run": way.brief.situation.dirt.gold_mg * way.charges,
        "can_answer": way.answers,
        "hindrances": list(way.hindrances),
    }
