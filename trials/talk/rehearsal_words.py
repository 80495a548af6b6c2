"""A rehearsal in words: how often each outcome would come, or each habit cry gain, and what that means."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from trials.measures.catalogue import measure_named
from trials.plans.plan_power import PlanPower
from trials.rehearsal.habits import MEASURES_TAKEN, Rate
from trials.rehearsal.judged import ENDINGS
from trials.rehearsal.level_rehearsal import LevelsRehearsal
from trials.rehearsal.plan_rehearsed import HabitsPlayed, Played
from trials.rehearsal.rehearsal import Rehearsal
from trials.verdicts.outcome import OUTCOME_WORDS
from trials.wording.lists import count_of
from trials.wording.numbers import figures
from trials.wording.steps import ways_step

FOUND_SELDOM = 75.0
ENDING_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {**OUTCOME_WORDS, "too_few": "too few pairs with any gold", "blocked": "stopped by a check"}
)


@dataclass(frozen=True, slots=True)
class Told:
    """What rehearsals have to say.

    A table of how often what would come, times in 100, and sentences.
    """

    heading: str
    header: Sequence[str]
    rows: Sequence[Sequence[str]]
    sentences: Sequence[str]


def tell_both(played: Played) -> Told:
    """How often each outcome would come, and what that means."""
    trial, nothing, at_line = played.trial, played.nothing, played.at_line
    header = ["outcome, times in 100", "nothing changed"]
    columns = [nothing]
    if at_line is not None and played.outlook.line is not None:
        gain = measure_named(trial.measure).gain_text(played.outlook.line)
        header.append(f"{_last_level(at_line)} alone {gain}" if isinstance(at_line, LevelsRehearsal) else gain)
        columns.append(at_line)
    shown = [one for one in ENDINGS if any(column.share(one) > 0 for column in columns) or one in ("better", "worse")]
    return Told(
        f"{trial.name}, rehearsed {nothing.times:,} times on simulated dirt (assumed noise, seed {nothing.seed}):",
        header,
        [
            *([ENDING_WORDS[one], *(f"{100 * column.share(one):.1f}" for column in columns)] for one in shown),
            *_level_rows(columns),
        ],
        _sentences(played),
    )


def _last_level(rehearsal: LevelsRehearsal) -> str:
    return rehearsal.scenario.levels[-1]


def _level_rows(columns: Sequence[Rehearsal]) -> list[list[str]]:
    """How often each level would be named as the one to use; none for a plan of pairs."""
    told = [one for one in columns if isinstance(one, LevelsRehearsal)]
    names = told[0].scenario.levels if told else ()
    return [
        [f"{name} is the one to use", *(f"{100 * one.named(at):.1f}" for one in told)] for at, name in enumerate(names)
    ]


def _sentences(played: Played) -> list[str]:
    nothing, at_line, line = played.nothing, played.at_line, played.outlook.line
    false = nothing.share("better")
    error = 100 * nothing.standard_error(false)
    cries = "call some level better" if isinstance(nothing, LevelsRehearsal) else "cry better"
    alarm = (
        f"With nothing changed, luck alone would {cries} {100 * false:.1f} times in 100 (give or take "
        f"{max(error, 0.05):.1f}, the rehearsal's own luck)."
    )
    said = [alarm]
    if at_line is not None and line is not None:
        found, told = _found(at_line, measure_named(played.trial.measure).gain_text(line))
        said.append(told)
        if found < FOUND_SELDOM:
            said.append(f"{_more_often(played.outlook)}: {ways_step(played.trial.name)}")
    elif line is None:
        said.append("No line is set, so no change worth having was rehearsed.")
    else:
        said.append("Nothing could bring the line here, so no change worth having was rehearsed.")
    if played.trial.look_after is not None and at_line is not None:
        said.append(
            f"With such a change the early look after pair {played.trial.look_after} would end "
            f"{100 * at_line.stopped_at_look:.0f} in 100 trials; on average {at_line.mean_pairs:.1f} pairs are run."
        )
    return said


def _found(at_line: Rehearsal, gain: str) -> tuple[float, str]:
    """How many times in 100 a change worth the line is found, and that in a sentence."""
    found = 100 * at_line.found
    if not isinstance(at_line, LevelsRehearsal):
        return found, f"A change truly worth {gain} would be found {found:.0f} times in 100."
    named = 100 * at_line.named(len(at_line.scenario.levels) - 1)
    return found, (
        f"If {_last_level(at_line)} alone were truly worth {gain}, it would be found {found:.0f} times in 100, and "
        f"named as the one to use {named:.0f}; any other level as often. What levels cost is not rehearsed."
    )


def _more_often(outlook: PlanPower) -> str:
    """What would find the line more often: pairs, where a plan holds enough of them; else another way alone."""
    if outlook.needed is None or outlook.needed <= outlook.trial.pairs:
        return "Another way to measure it may find it more often"
    what = "block" if outlook.trial.kind == "graded" else "pair"
    return f"{count_of(outlook.needed, what)} would find it 4 times in 5; or another way may"


def tell_habits(shown: HabitsPlayed) -> Told:
    """How often each habit would call the changed gear better, beside the fair trial."""
    plan = shown.plan
    rows = [(rate.habit, _in_100(rate.cried_gain), rate.does) for rate in shown.rates]
    return Told(
        f"{shown.trial.name}: habits rehearsed {plan.times:,} times on simulated dirt with nothing changed (assumed "
        f"noise, seed {plan.seed}). How often each would call the changed gear better:",
        ("habit", "in 100", "what is done"),
        [*rows, ("a fair trial", _in_100(shown.fair), "the plan as it stands")],
        _habit_sentences(shown),
    )


def _in_100(rate: Rate) -> str:
    return f"{100 * rate.share:.1f}"


def _habit_sentences(shown: HabitsPlayed) -> list[str]:
    plan, rates = shown.plan, {rate.habit: rate for rate in shown.rates}
    widest = max(rate.standard_error for rate in (shown.fair, *(rate.cried_gain for rate in shown.rates)))
    luck = figures(max(100 * widest, 0.05), 1)
    said = [
        f"Only calls for the changed gear are counted; all are false. Give or take {luck}, the rehearsal's own luck."
    ]
    if "one each" in rates:
        said.append(f"One each: a gain is {_least_words(shown)}.")
    if "two days" in rates and plan.day_richness_sd:
        said.append(
            f"Two days: the richness of a day's dirt is taken to scatter by {100 * plan.day_richness_sd:.0f} % "
            "(assumed, no source)."
        )
    if "no unchanged half" in rates:
        said.append(_second_pass_words(shown))
    if "best of the measures" in rates:
        said.append(_measures_words(shown))
    return said


def _least_words(shown: HabitsPlayed) -> str:
    if shown.plan.line is not None:
        return "a difference over your line"
    return "10 % more (no line is set; our default)" if measure_named(shown.trial.measure).is_ratio else "any"


def _measures_words(shown: HabitsPlayed) -> str:
    if shown.plan.situation.dirt.gold_mg == 0:
        return "Best of the measures: no gold is guessed in the plan, so that of five measures only tracers tell."
    return f"Best of the measures: {', '.join(MEASURES_TAKEN)}.".replace("_", " ")


def _second_pass_words(shown: HabitsPlayed) -> str:
    if shown.plan.feeds_tails:
        return "No unchanged half: these are tails already, and any pass over them finds what the gear keeps of them."
    share = shown.second_pass
    if share is None:
        return "No unchanged half: a second pass over the unchanged gear finds some of what the first one lost."
    return (
        "No unchanged half: a second pass of the tails over the unchanged gear finds about "
        f"{figures(100 * share, 2)} % of the gold of the first one."
    )
