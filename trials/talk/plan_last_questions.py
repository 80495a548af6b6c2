"""What is asked last for a plan: the measure, the line, the way, the pairs; with the ways compared before."""

from typing import get_args

from schemas.base import MEASURE_WORDS
from schemas.trial import Grains, Knew, Limits
from trials.measures.catalogue import MEASURES, measure_named
from trials.plans.power import FEWEST_PLANNED, MOST_PLANNED
from trials.talk.plan_answers import (
    A_CHANGE,
    AUDIT,
    LIMIT_KEYS,
    LIMITS,
    NOTHING_CHANGED,
    PAIRS,
    SORT,
    TAILS_TOO,
    WAY,
    as_share_of_now,
    can_compare,
    chosen_way,
    compared_for,
    levers_for,
    line_of_way,
    pairs_wanted,
    read_gain,
    settled,
)
from trials.talk.plan_offers import SCATTER
from trials.talk.plan_questions import MOST_TRACERS
from trials.talk.question import Choice, Given, Question, Several, Telling, Text, WholeNumber, whole_number
from trials.talk.shown import Block, Sentence
from trials.talk.way_words import words_of_ways

MOST_SPARES, FEWEST_BEFORE_A_LOOK = 5, 4
LOOKS_FROM = 12
"""Pairs from which an early look is asked for; fewer can have one by --look, from 5 on."""


def _counts_tracers(given: Given) -> bool:
    return given.get(SORT) == AUDIT or _is_seeded(given.get("measure"))


def _is_seeded(measure: str | None) -> bool:
    return measure is not None and measure in MEASURE_WORDS and measure_named(measure).is_seeded


def _measures(given: Given) -> tuple[str, ...]:
    """What can be measured: what needs tails or their tub only where they are caught."""
    caught = given.get(TAILS_TOO, "yes") == "yes"
    return tuple(measure.name for measure in MEASURES if caught or not measure.searches_tails)


def _usual_measure(given: Given) -> str:
    """Of dirt that was made up its grains, which were counted in."""
    return next((name for name in _measures(given) if given.get("lot.kind") == "made up" and _is_seeded(name)), "")


def example_of_line(given: Given) -> str:
    """Show how a gain is written, by what is measured where that is settled."""
    if given.get("measure"):
        return "20 %" if measure_named(given["measure"]).is_ratio else "3 points"
    return "20 %, 20 % grains or 3 points"


def _ways(given: Given) -> tuple[Block, ...]:
    compared = compared_for(given)
    if compared is None:
        return ()
    asked, comparison, line = compared
    return (Sentence(), *words_of_ways(comparison, levers_for(asked, comparison, line), line.words))


def _numbers(given: Given) -> tuple[str, ...]:
    compared = compared_for(given)
    return tuple(str(number + 1) for number in range(len(compared[1].best))) if compared else ()


def _cheapest(given: Given) -> str:
    compared = compared_for(given)
    if compared is None or compared[1].cheapest not in compared[1].best:
        return ""
    return str(compared[1].best.index(compared[1].cheapest) + 1)


def _line_of_the_way(given: Given) -> tuple[Block, ...]:
    """How the line reads in the terms of the way, where it was typed in others."""
    way, typed = chosen_way(given), read_gain(given.get("worth_having", ""))
    if typed is None or (way is None and WAY in given):
        return ()
    share = as_share_of_now(given.get("worth_having", ""))
    own = f"{given['worth_having']} is {share} more gold" if share else typed.words
    if way is not None and typed.measure != way.measure:
        here = f"the same change as {line_of_way(way, given).words} here: that becomes the line."
        return (Sentence(f"{own}, {here}" if share else f"{own} is {here}"),)
    return (Sentence(f"{own}: that becomes the line."),) if share else ()


def _asks_for_pairs(given: Given) -> str:
    what = "runs" if given.get(SORT) == AUDIT else "blocks" if ";" in given.get("change.changed", "") else "pairs"
    return f"How many {what}, and how many spare ones for void {what}?"


def _planned_pairs(given: Given) -> int:
    return whole_number(settled(given).get("pairs", "")) or 0


LAST: tuple[Question | Telling, ...] = (
    Question(
        "measure",
        "What will be weighed or counted?",
        "One main measure, named before: whoever picks the best of five finds a gain in luck.",
        " ".join(f"{measure.name}: {measure.words.taken}." for measure in MEASURES),
        kind=lambda given: Choice(_measures(given)),
        default=_usual_measure,
        needed=lambda given: given.get(SORT) != AUDIT and not can_compare(given),
    ),
    Question(
        "grains.seeded",
        "How many tracer grains are counted into one run?",
        "The more grains, the less luck: 100 of a size carry 3 points at 90 % kept, 25 carry 6.",
        "All sizes together, up to 5000. Four sizes of 25 are 100.",
        kind=WholeNumber(1, MOST_TRACERS),
        default="100",
        needed=_counts_tracers,
    ),
    Question(
        "grains.size",
        "Of which size?",
        "Grains that the gear keeps to 50 to 80 % tell most.",
        "By ASTM sieves, as 50/100: through 50 mesh, held on 100. Of several sizes leave it open: runs.csv then has a "
        "column for each.",
        default=lambda given: "" if given.get(SORT) == AUDIT else "50/100",
        needed=_counts_tracers,
        may_be_blank=True,
    ),
    Question(
        "worth_having",
        lambda given: f"What is the smallest gain worth having ({example_of_line(given)})?",
        "Typed before the first run and then locked: afterwards any gain looks worth it.",
        "20 % is that much more gold kept, 20 % grains that many more gold grains counted, 3 points that much more of "
        "the gold that is there (recovery). Or in gold, with what a clean-up gives now: 0.1 g of 0.8 g. Think "
        "of the sand and minutes it may cost.",
        needed=lambda given: given.get(SORT) == A_CHANGE,
    ),
    Question(
        "worth_having",
        lambda given: f"Within what would you call the two alike ({example_of_line(given)})?",
        "Only then can they be shown alike; left open, the check tells the scatter alone.",
        "The smallest gain that you will look for with them: twins must not differ by as much.",
        needed=lambda given: given.get(SORT) == NOTHING_CHANGED,
        may_be_blank=True,
    ),
    Telling(_ways),
    Question(
        WAY,
        lambda given: (
            "Which way will you take?"
            if _cheapest(given)
            else "Which way will you take all the same? (back: change the gain, or what is in hand)"
        ),
        "Its measure, charge and pairs become the plan; all of them can still be changed.",
        "Type the number of a row. A way that can't answer can be planned all the same, and will be told so.",
        kind=lambda given: Choice(_numbers(given)),
        default=_cheapest,
        needed=can_compare,
    ),
    Question(
        "grains.stuff",
        "What are the tracer grains made of?",
        "What is not gold is a stand-in, and every chart says so.",
        "Lead is less dense and rounder than gold; tungsten is nearly as dense, and blocky.",
        kind=Choice(get_args(Grains.model_fields["stuff"].annotation)),
        default="gold",
        needed=lambda given: _is_seeded(settled(given).get("measure")),
    ),
    Telling(_line_of_the_way),
    Question(
        LIMITS,
        "How much black sand, and how many minutes, may such a gain cost?",
        "Gold bought with twice the sand is work put off: past a limit, keeping it is your call.",
        "As many times as with the unchanged gear, 1 to 10: 1.5, 1.2 is half as much sand again, and a fifth more "
        "minutes of run and cleanup. 50 %, 20 % says the same. The two in brackets are our defaults.",
        kind=Several((Text(), Text())),
        default=", ".join(str(getattr(Limits(), key.partition(".")[2])) for key in LIMIT_KEYS),
        needed=lambda given: given.get(SORT) == A_CHANGE and not set(LIMIT_KEYS) & set(given),
    ),
    Question(
        SCATTER,
        "By the scatter of which earlier trial shall it be reckoned?",
        "What your own pairs did tells more than any guess of dirt and habits.",
        "One of those on this gear, weighed or counted the same way. - leaves it open: reckoned from dirt, scale and "
        "habits.",
        kind=lambda _: Choice(()),
        needed=lambda _: False,  # where the logbook knows one, see `plan_offers.offering`
        may_be_blank=True,
    ),
    Question(
        PAIRS,
        _asks_for_pairs,
        "Fixed before the first run: stopping while ahead is how luck wins. A spare stands in for a spilt jar.",
        "Two numbers: 12 + 1; 12 alone is 12 and no spare. Pairs go from 3 to 60, and under 6 the exact check by the "
        "draw can't speak; spares from 0 to 5: they are run only when a pair is void, and need dirt kept back.",
        kind=Several((WholeNumber(FEWEST_PLANNED, MOST_PLANNED), WholeNumber(0, MOST_SPARES))),
        default=pairs_wanted,
        needed=lambda given: "pairs" not in given,
    ),
    Question(
        "look_after",
        lambda given: f"One early look, after about half of the {_planned_pairs(given)} pairs?",
        "It may end a clear case sooner, and costs a little at the end: 96 % instead of 95 %.",
        "Write the number of pairs after which you look, at least 4 and before the last; or leave it open: no look.",
        kind=WholeNumber(FEWEST_BEFORE_A_LOOK, MOST_PLANNED - 1),
        needed=lambda given: given.get(SORT) == A_CHANGE and _planned_pairs(given) >= LOOKS_FROM,
        may_be_blank=True,
    ),
    Question(
        "knew",
        "Who will know which set-up a jar came from?",
        "Who counts and knows, counts in favour, and means no harm.",
        "The feeder must see the set-up; give the panner the other paper and tagged jars only. Alone: both.",
        kind=Choice(get_args(Knew)),
        default="feeder",
        needed=lambda given: given.get(SORT) != AUDIT,
    ),
)
