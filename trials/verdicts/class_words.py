"""The sentences of the size classes."""

import re

from schemas import ClassResult, Interval, Trial, Verdict
from trials.measures.catalogue import measure_named
from trials.measures.measure import Measure
from trials.verdicts.classes import BySize
from trials.verdicts.outcome import Outcome
from trials.verdicts.spoken import speak
from trials.wording.lists import and_list, count_of
from trials.wording.numbers import figures

NAMES_SIZES = re.compile(
    r"\b(?:fine|coarse|small|big|large|flour)(?:r|er|st|est)?\s+(?:gold|grains?|colou?rs?|flakes?)\b"
    r"|\b(?:fines|sizes|nuggets?|flour)\b|\d+/\d+|[+-]\d{2,3}\b|\b\d{2,3}\s+mesh\b",
    re.IGNORECASE,
)
TOTAL_IS = {
    "better": "the total is better too",
    "worse": "the total is worse",
    "no_difference": "the total shows no difference worth having",
    "not_settled": "the total is not settled",
}


def class_sentences(found: BySize, measure: Measure, trial: Trial, code: Outcome) -> list[str]:
    """Say where a gain or a loss lies, and the total at one size mix."""
    lines = [*_asked_of_sizes(found, trial), *_passing(found, measure, trial, code), *_one_mix(found, measure, trial)]
    return lines if found.classes else _asked_of_sizes(found, trial)


def _asked_of_sizes(found: BySize, trial: Trial) -> list[str]:
    if trial.sizes.main is not None or not NAMES_SIZES.search(trial.question):
        return []
    if not found.tested:
        return ["The question names sizes; all were taken together, so this can't say which gained."]
    return ["The question names sizes, and the sentence above is of all together; each stands below."]


def _passing(found: BySize, measure: Measure, trial: Trial, code: Outcome) -> list[str]:
    up, down = found.passing("gains"), found.passing("loses")
    joint = f"limits joint for {count_of(len(found.tested), 'class', 'classes')}"
    if found.is_traded:
        gains, loses = (and_list([_in_short(one, measure, trial) for one in side]) for side in (up, down))
        return [f"Gains in {gains}, loses in {loses}, {joint}: do not read the total alone."]
    passing = up or down
    if not passing:
        none = "No size stands out." if trial.sizes.main is None else "No other size stands out."
        return [none] if len(found.tested) > 1 else []
    what = "gain" if up else "loss"
    if len(passing) == 1 < len(found.tested):
        total = TOTAL_IS[code] if trial.sizes.main is None else f"{trial.sizes.main} is what was asked"
        numbers = _numbers(passing[0], measure, trial)
        return [f"The {what} shown is in {passing[0].label} alone: {numbers}, {joint}; {total}."]
    return [f"A {what} beyond luck in {and_list([_in_short(one, measure, trial) for one in passing])}, {joint}."]


def _numbers(one: ClassResult, measure: Measure, trial: Trial) -> str:
    if one.estimate is None:
        return ""
    spoken = speak(measure, one.estimate, one.interval, trial.worth_having)
    return f"{spoken.estimate}{spoken.limits}"


def _in_short(one: ClassResult, measure: Measure, trial: Trial) -> str:
    return f"{one.label} ({_numbers(one, measure, trial).replace(' (', ', ').rstrip(')')})"


def _one_mix(found: BySize, measure: Measure, trial: Trial) -> list[str]:
    mix = found.one_mix
    if mix is None:
        return []
    spoken = speak(measure, mix.estimate, mix.interval, trial.worth_having)
    return [f"At one size mix: {spoken.estimate}{spoken.limits}."]


def amount_unit(measure: Measure) -> str:
    """In what it is told how much of a class was in a run."""
    return "mg" if measure.weighs else "seeded" if measure.is_seeded else "grains"


def class_rows(verdict: Verdict) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """The head and the rows of a table of size classes, coarse to fine."""
    measure = measure_named(verdict.measure)
    rows: list[tuple[str, ...]] = []
    for one in verdict.classes:
        limits: Interval | None = one.interval
        spoken = None if one.estimate is None else speak(measure, one.estimate, limits, verdict.line_typed)
        rows.append(
            (
                one.label,
                figures(one.a_run),
                "" if spoken is None else spoken.estimate,
                "" if spoken is None or limits is None else f"{spoken.low} to {spoken.high}",
                one.why_not
                or {"gains": "gains beyond luck", "loses": "loses beyond luck"}.get(one.passes or "", "not settled"),
            )
        )
    return ("size", f"{amount_unit(measure)} a run", measure.words.difference, "joint 95 % limits", ""), rows
