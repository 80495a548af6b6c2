"""The charts of a rehearsal: how often each outcome would come, a typical trial of it, and habits."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import altair as alt

from schemas import LevelsAnswer
from schemas.trial import Price
from trials.charts.answers.levels_chart import levels_chart
from trials.charts.habits_chart import habits_chart
from trials.charts.rehearsal_chart import rehearsal_chart
from trials.charts.verdict_chart import verdict_chart
from trials.rehearsal.plan_rehearsed import HabitsPlayed, Played
from trials.rehearsal.typical_trial import typical_runs
from trials.verdicts.reach import reach_verdict

NARROW = "narrow"


@dataclass(frozen=True, slots=True)
class ChartsOfRehearsal:
    """The charts that can be drawn, by name, each wide or narrow as it is asked for; and why one is left out."""

    drawn: Mapping[str, Callable[[str], alt.VConcatChart]]
    left_out: str = ""


def rehearsal_charts(found: Played | HabitsPlayed) -> ChartsOfRehearsal:
    """Of a plan `rehearsal` and the `typical` trial of it; of habits `habits`."""
    if isinstance(found, HabitsPlayed):
        rows = [(f"{rate.habit}: {rate.does}", rate.cried_gain.share) for rate in found.rates]
        fair, times = found.fair.share, found.plan.times
        return ChartsOfRehearsal({"habits": lambda form: habits_chart(rows, fair, times, narrow=form == NARROW)})
    nothing, at_line = found.nothing, found.at_line
    outcomes = {"rehearsal": lambda form: rehearsal_chart(nothing, at_line, narrow=form == NARROW)}
    # Simulated trials have draws of their own, and no minutes that could be priced.
    trial = found.trial.model_copy(update={"seed": None, "price": Price()})
    try:
        runs = typical_runs(trial, at_line or nothing)
    except ValueError as error:  # more grains than a run can hold
        return ChartsOfRehearsal(outcomes, f"No typical verdict is drawn: {error}")
    verdict = reach_verdict(trial, runs)
    answer = verdict.answer

    def typical(form: str) -> alt.VConcatChart:
        if isinstance(answer, LevelsAnswer):
            return levels_chart(verdict, answer, narrow=form == NARROW, simulated=True)
        return verdict_chart(verdict, runs=runs, narrow=form == NARROW, simulated=True)

    if trial.kind == "graded" and not isinstance(answer, LevelsAnswer):
        return ChartsOfRehearsal(outcomes, "No typical verdict is drawn: the typical trial can't be judged.")
    return ChartsOfRehearsal(outcomes | {"typical": typical})
