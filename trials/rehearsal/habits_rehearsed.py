"""Habits of comparing, rehearsed on the person's own plan; and what has to be known to read the numbers."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np

from schemas import Trial
from trials.measures.catalogue import measure_named
from trials.rehearsal.habits import MEASURES_TAKEN, Habit, HabitRate, Rate, fair_rate, habit_rates
from trials.rehearsal.plan_rehearsed import Progress, Told, outlook_to_rehearse
from trials.rehearsal.unchanged_runs import HabitPlan, UnchangedRuns
from trials.wording.numbers import figures

TYPED_AS: Final[Mapping[str, Habit]] = MappingProxyType(
    {
        "one-each": "one each",
        "no-unchanged": "no unchanged half",
        "two-days": "two days",
        "looking": "looking",
        "stop-ahead": "stopping when ahead",
        "drop-worst": "dropping the worst",
        "best-of": "best of the measures",
    }
)
DAYS_APART: Final = 0.3
"""SD of the natural log of richness between two days' natural dirt: assumed, no source."""
SECOND_PASSES: Final = 2_000


@dataclass(frozen=True, slots=True)
class HabitsPlayed:
    """Habits of one plan.

    fair: How often the plan itself would say better.
    """

    trial: Trial
    plan: HabitPlan
    fair: Rate
    rates: tuple[HabitRate, ...]


def rehearse_habits(trial: Trial, typed: str, times: int, seed: int, progress: Progress) -> HabitsPlayed:
    """Rehearse one habit, or "all" of them, with nothing changed; a plan that can't be rehearsed is refused."""
    outlook = outlook_to_rehearse(trial)
    is_dug_daily = all(lot.kind == "natural" for lot in trial.lots)
    plan = HabitPlan(
        measure=trial.measure,
        pairs=trial.pairs,
        situation=outlook.situation,
        line=outlook.line,
        look_after=trial.look_after,
        day_richness_sd=DAYS_APART if is_dug_daily else 0.0,
        feeds_tails=trial.feeds_tails,
        times=times,
        seed=seed,
    )
    habits = tuple(TYPED_AS.values()) if typed == "all" else (TYPED_AS[typed],)
    rates = habit_rates(plan, habits, on_progress=progress("Habits"))
    return HabitsPlayed(trial, plan, fair_rate(plan), rates)


def tell_habits(shown: HabitsPlayed) -> Told:
    """How often each habit would call the changed gear better, beside the fair trial."""
    plan = shown.plan
    rows = [(rate.habit, _in_100(rate.cried_gain), rate.does) for rate in shown.rates]
    return Told(
        f"{shown.trial.name}: habits rehearsed {plan.times:,} times on simulated dirt with nothing changed (assumed "
        f"noise, seed {plan.seed}). How often each would call the changed gear better:",
        ("habit", "in 100", "what is done"),
        [*rows, ("a fair trial", _in_100(shown.fair), "the plan as it stands")],
        _sentences(shown),
        _plain(shown),
    )


def _in_100(rate: Rate) -> str:
    return f"{100 * rate.share:.1f}"


def _sentences(shown: HabitsPlayed) -> list[str]:
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
    runs = UnchangedRuns(shown.plan, part=0, times=min(SECOND_PASSES, shown.plan.times))
    shares = runs.twice.shares
    if shares.size == 0:
        return "No unchanged half: a second pass over the unchanged gear finds some of what the first one lost."
    return (
        "No unchanged half: a second pass of the tails over the unchanged gear finds about "
        f"{figures(100 * float(np.mean(shares)), 2)} % of the gold of the first one."
    )


def _plain(shown: HabitsPlayed) -> dict[str, object]:
    def rate(one: Rate) -> dict[str, float]:
        return {"share": one.share, "standard_error": one.standard_error}

    typed = {habit: key for key, habit in TYPED_AS.items()}
    return {
        "trial": shown.trial.name,
        "pairs": shown.plan.pairs,
        "times": shown.plan.times,
        "seed": shown.plan.seed,
        "day_richness_sd": shown.plan.day_richness_sd,
        "fair_trial": {"cried_gain": rate(shown.fair)},
        "habits": [
            {
                "habit": typed[one.habit],
                "does": one.does,
                "cried_gain": rate(one.cried_gain),
                "cried_loss": rate(one.cried_loss),
            }
            for one in shown.rates
        ],
    }
