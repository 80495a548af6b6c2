"""Habits of comparing, rehearsed on the person's own plan: printed, as JSON, and as one chart."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Final

import numpy as np

from schemas import Record, Trial
from trials.commands.printing import say, say_json, say_table
from trials.commands.rehearsing import progress, refuse_what_cannot_be_rehearsed
from trials.measures.catalogue import measure_named
from trials.plans.plan_power import power_of_plan
from trials.rehearsal.habits import MEASURES_TAKEN, Habit, HabitRate, Rate, fair_rate, habit_rates
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
class Shown:
    """Habits of one plan.

    Attributes
    ----------
    trial, plan
        The plan, and what was simulated of it.
    fair
        How often the plan itself would say better.
    rates
        How often each habit would cry gain.
    """

    trial: Trial
    plan: HabitPlan
    fair: Rate
    rates: tuple[HabitRate, ...]


def play(record: Record, typed: str, times: int, seed: int) -> Shown:
    """Rehearse one habit, or "all" of them, with nothing changed.

    Raises
    ------
    Refused
        A plan that can't be rehearsed.
    """
    trial = record.trial
    outlook = power_of_plan(trial)
    refuse_what_cannot_be_rehearsed(trial, outlook)
    plan = HabitPlan(
        measure=trial.measure,
        pairs=trial.pairs,
        situation=outlook.situation,
        line=outlook.line,
        look_after=trial.look_after,
        day_richness_sd=DAYS_APART if _is_dug_daily(trial) else 0.0,
        feeds_tails=trial.feeds_tails,
        times=times,
        seed=seed,
    )
    habits = tuple(TYPED_AS.values()) if typed == "all" else (TYPED_AS[typed],)
    with progress() as said:
        rates = habit_rates(plan, habits, on_progress=said("Habits"))
    return Shown(trial, plan, fair_rate(plan), rates)


def _is_dug_daily(trial: Trial) -> bool:
    return all(lot.kind == "natural" for lot in trial.lots)


def tell(shown: Shown, *, as_json: bool, chart: bool) -> None:
    """Print what was rehearsed, and write its chart."""
    if as_json:
        say_json(habits_as_json(shown))
        return
    plan = shown.plan
    say(
        f"{shown.trial.name}: habits rehearsed {plan.times:,} times on simulated dirt with nothing changed (assumed "
        f"noise, seed {plan.seed}). How often each would call the changed gear better:"
    )
    rows: list[tuple[str, str, str]] = [(rate.habit, _in_100(rate.cried_gain), rate.does) for rate in shown.rates]
    rows.append(("a fair trial", _in_100(shown.fair), "the plan as it stands"))
    say_table(("habit", "in 100", "what is done"), rows)
    for sentence in sentences(shown):
        say(sentence)
    if chart:
        say(f"Chart: {write_chart(shown)}")


def _in_100(rate: Rate) -> str:
    return f"{100 * rate.share:.1f}"


def sentences(shown: Shown) -> list[str]:
    """What has to be known to read the numbers."""
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


def _least_words(shown: Shown) -> str:
    if shown.plan.line is not None:
        return "a difference over your line"
    return "10 % more (no line is set; our default)" if measure_named(shown.trial.measure).is_ratio else "any"


def _measures_words(shown: Shown) -> str:
    if shown.plan.situation.dirt.gold_mg == 0:
        return "Best of the measures: no gold is guessed in the plan, so that of five measures only tracers tell."
    return f"Best of the measures: {', '.join(MEASURES_TAKEN)}.".replace("_", " ")


def _second_pass_words(shown: Shown) -> str:
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


def write_chart(shown: Shown) -> Path:
    """Draw how often each habit would cry gain, beside the fair trial."""
    from trials.charts.files import save_chart
    from trials.charts.habits_chart import habits_chart

    path = Path(f"habits-{shown.trial.name}.html")
    rows = [(f"{rate.habit}: {rate.does}", rate.cried_gain.share) for rate in shown.rates]
    wide, narrow = (habits_chart(rows, shown.fair.share, shown.plan.times, narrow=one) for one in (False, True))
    save_chart(wide, path, narrow=narrow)
    return path


def habits_as_json(shown: Shown) -> dict[str, object]:
    """All of it, for a plain reader."""

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
