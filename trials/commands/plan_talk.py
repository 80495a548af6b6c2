"""The conversation of `samedirt plan`: questions, the ways compared, the last questions."""

from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import get_args

import tomlkit
from tomlkit.exceptions import TOMLKitError

from schemas import MeasureName, Trial
from trials.commands.asking import Answers, Question, converse
from trials.commands.plan_questions import APART, FIRST, LAST, SORTS, TAILS_TOO, TRACERS_TO_HAND, TRIAL_SORT
from trials.commands.printing import say
from trials.commands.ways_shown import say_ways
from trials.entry.answers import problems_with, read_answers
from trials.measures.catalogue import measure_named
from trials.planning.asked import TypedLine, asked_for, gain_words, line_words
from trials.planning.levers import levers_of
from trials.planning.ways import Comparison, Way, compare_ways
from trials.units.quantity import Kind, UnitError, read_quantity
from trials.wording.numbers import figures

WAY, NEEDED = "way", "pairs needed"
LINE = next(question for question in FIRST if question.key == "worth_having")
STEERING = (*APART, WAY, NEEDED)
DRAFT = "plan-draft.toml"


def talk(answers: Answers, draft: Path) -> Answers:
    """Ask for a whole plan, going on from what is answered already.

    Returns
    -------
    dict
        Every key of the plan.

    Raises
    ------
    Stopped
        The person left; the draft holds all answers so far.
    """
    keep = partial(write_draft, draft)
    say("Enter takes what stands in [brackets]; ? explains, back goes back, Ctrl-C stops and keeps all answers.")
    given = converse(FIRST, answers, _check, keep)
    given = {**given, **_fixed(given)}
    keep(given)
    if given[TRIAL_SORT] == SORTS[0]:
        given = _choose_way(given, keep)
    else:
        given = converse((MEASURE, SEEDED, SIZE), given, _check, keep)
    given = converse(LAST, given, _check, keep)
    return {key: text for key, text in given.items() if key not in STEERING}


def _fixed(given: Mapping[str, str]) -> Answers:
    """What follows from the sort of trial and needs no question."""
    fixed: Answers = {"tails.caught": "all"} if given.get(TAILS_TOO) == "yes" else {}
    if given[TRIAL_SORT] == SORTS[2]:
        fixed |= {"audit": "yes", "measure": "tracers", "sizes.series": "ASTM"}
    return fixed


MEASURE = Question(
    "measure",
    lambda _: "What will be weighed or counted?",
    "One main measure, named before: whoever picks the best of five finds a gain in luck.",
    "recovery: gold kept and gold in the tails. gold_mass: gold kept from like halves. tracers: counted grains in and "
    "out. grain_counts: gold grains counted. tails_gold: gold lost.",
    choices=get_args(MeasureName),
)
SEEDED = Question(
    "grains.seeded",
    lambda _: "How many tracer grains are counted into one run?",
    "The more grains, the less luck: 100 of a size carry 3 points at 90 % kept.",
    "All sizes together, up to 5000.",
    default=lambda given: given.get(TRACERS_TO_HAND, "100") if given.get(TRACERS_TO_HAND) != "0" else "100",
    applies=lambda given: given.get("measure") == "tracers",
)
SIZE = Question(
    "grains.size",
    lambda _: "Of which size?",
    "Grains that the gear keeps to 50 to 80 % tell most.",
    "By ASTM sieves, as 50/100: through 50 mesh, held on 100.",
    default=lambda _: "50/100",
    applies=lambda given: given.get("measure") == "tracers",
)


def _check(question: Question, answer: str, given: Mapping[str, str]) -> list[str]:
    """What is wrong with an answer, in lines."""
    key = question.key
    if key in (TRIAL_SORT, TAILS_TOO, WAY):
        return []
    if key == TRACERS_TO_HAND:
        fits = answer.isascii() and answer.isdigit() and int(answer) <= 5000
        return [] if fits else [f"{answer} is not a count from 0 to 5000."]
    answers = {name: text for name, text in given.items() if name not in STEERING} | {key: answer}
    if key == "worth_having" and "measure" not in given:
        answers["measure"] = line_measure(answer)
    if key == "grains.size":
        answers["sizes.series"] = "ASTM"
    if key == "change.reversible" and answer == "no":
        answers["change.twin"] = "asked next"
    return [problem.says for problem in problems_with(key, answers)]


def line_measure(text: str) -> MeasureName:
    """Which measure is a typed gain meant for? Points are of recovery, % of grains or gold.

    >>> line_measure("3 points"), line_measure("20 %")
    ('recovery', 'gold_mass')
    """
    return "recovery" if "point" in text else "gold_mass"


def _choose_way(given: Answers, keep: partial[None]) -> Answers:
    """Compare the ways and ask for one; without a guess of gold and without tracers, ask for the measure alone."""
    if not given.get("guess.gold") and given.get(TRACERS_TO_HAND, "0") == "0":
        say("With no guess of the gold, and no tracer grains, the ways can't be compared.")
        return _ask_for_measure(given, keep)
    if "measure" in given:
        return given
    trial = _trial_so_far(given)
    line = read_line(given["worth_having"])
    asked = asked_for(
        trial, line, tails_kept=given.get(TAILS_TOO) == "yes", tracers=int(given.get(TRACERS_TO_HAND, "0"))
    )
    if asked is None:
        say(f"No change could bring {line.words}: what is kept already leaves less than that to win.")
        return _ask_for_measure(given, keep)
    comparison = compare_ways(asked)
    say()
    say_ways(comparison, levers_of(asked, comparison, partial(gain_words, asked, line)), line.words)
    chosen = _ask_for_way(given, comparison, keep)
    return {**given, **_of_way(chosen, given)}


def _ask_for_measure(given: Answers, keep: partial[None]) -> Answers:
    """Ask what is measured, and for the line again where it was typed in the unit of another measure."""
    given = converse((MEASURE, SEEDED, SIZE), given, _check, keep)
    if _check(LINE, given["worth_having"], given):
        unit = "%" if measure_named(given["measure"]).is_ratio else "points"  # type: ignore[arg-type]
        say(f"Measure {given['measure']} is told in {unit}.")
        given = converse((LINE,), {key: text for key, text in given.items() if key != LINE.key}, _check, keep)
    return given


def _ask_for_way(given: Answers, comparison: Comparison, keep: partial[None]) -> Way:
    numbers = tuple(str(number) for number in range(1, len(comparison.best) + 1))
    at = comparison.best.index(comparison.cheapest) + 1 if comparison.cheapest in comparison.best else 1
    question = Question(
        WAY,
        lambda _: "Which way will you take?",
        "Its measure, charge and pairs become the plan; all of them can still be changed.",
        "Type the number of a row. A way that can't answer can be planned all the same, and will be told so.",
        choices=numbers,
        default=lambda _: str(at),
    )
    answer = converse((question,), {k: v for k, v in given.items() if k != WAY}, _check, keep)[WAY]
    return comparison.best[int(answer) - 1]


def _of_way(way: Way, given: Mapping[str, str]) -> Answers:
    """The keys of a plan that a way settles."""
    measure = measure_named(way.measure)
    unit = "%" if measure.is_ratio else "points"
    line = f"{figures(abs(measure.shown(way.difference)), 2)} {unit}"
    if line != given["worth_having"]:
        say(f"Your {given['worth_having']} is {line_words(way.measure, way.difference)} here; that becomes the line.")
    settled = {
        "measure": way.measure,
        "worth_having": line,
        "held.charge": f"{way.charge_g:g} g",
        NEEDED: str(way.pairs or 12),
    }
    if way.measure == "tracers":
        settled |= {"grains.seeded": str(way.tracers_a_run), "grains.size": way.tracer_size, "sizes.series": "ASTM"}
    return settled


def _trial_so_far(given: Mapping[str, str]) -> Trial:
    """A plan of what is answered, for reckoning: measure and pairs stand in."""
    answers = {key: text for key, text in given.items() if key not in STEERING}
    line = answers.pop("worth_having", "")
    trial, problems = read_answers({**answers, "measure": line_measure(line), "pairs": "6"})
    assert trial is not None, problems  # noqa: S101 - every answer was taken
    return trial


def read_line(text: str) -> TypedLine:
    """Read "20 %" or "3 points".

    >>> read_line("3 points")
    TypedLine(measure='recovery', typed=3.0)
    """
    measure = line_measure(text)
    number = text.replace("points", "").replace("point", "")
    try:
        typed = float(number) if measure == "recovery" else read_quantity(text, Kind.PERCENT)
    except (ValueError, UnitError):
        typed = 1.0
    return TypedLine(measure, typed)


def write_draft(path: Path, answers: Mapping[str, str]) -> None:
    """Keep the answers so far in a small file, so that none is lost."""
    document = tomlkit.document()
    document.add(tomlkit.comment("Answers given to samedirt plan so far; samedirt plan goes on from here."))
    for key, text in answers.items():
        document[key] = text
    path.write_text(tomlkit.dumps(document), encoding="utf-8")


def read_draft(path: Path) -> Answers:
    """The answers kept in a draft; none where there is no draft, or it can't be read."""
    try:
        document = tomlkit.parse(path.read_text(encoding="utf-8")).unwrap()
    except (OSError, ValueError, TOMLKitError):
        return {}
    return {str(key): str(text) for key, text in document.items()}
