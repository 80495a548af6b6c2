"""The charts of a plan: how many pairs it needs, and what its noise is made of."""

from collections.abc import Callable, Mapping
from pathlib import Path

import altair as alt

from schemas import MeasureName, Trial
from trials.charts.files import save_chart
from trials.charts.noise_makeup import noise_chart
from trials.charts.pairs_needed import pairs_needed_chart
from trials.noise.budget import noise_budget
from trials.plans.plan_power import PlanPower
from trials.plans.planned_scatter import scatter_words


def write_plan_charts(trial: Trial, outlook: PlanPower) -> list[Path]:
    """Write the charts, as far as they can be drawn, into the current folder; their files."""
    written = []
    for which, drawn in plan_charts(trial, outlook).items():
        written.append(Path(f"{which}-{trial.name}.html"))
        save_chart(drawn("wide"), written[-1], narrow=drawn("narrow"))
    return written


def plan_charts(trial: Trial, outlook: PlanPower) -> Mapping[str, Callable[[str], alt.VConcatChart]]:
    """The charts that can be drawn of a plan, `pairs` and `noise`; each is drawn as it is asked for, wide or narrow."""
    found: dict[str, Callable[[str], alt.VConcatChart]] = {}
    scatter = outlook.scatter
    if scatter is not None:
        found["pairs"] = lambda form: pairs_needed_chart(
            sd=scatter.sd,
            sd_at_line=outlook.sd_at_line,
            measure=trial.measure,
            line=outlook.line,
            pairs=trial.pairs,
            arms=max(2, len(trial.arms)),
            scatter=scatter_words(scatter, outlook.measure),
            narrow=form == "narrow",
        )
    budgets = [noise_budget(measure, outlook.situation) for measure in _reckoned(trial, outlook)]
    if budgets:
        found["noise"] = lambda form: noise_chart(budgets, narrow=form == "narrow")
    return found


def _reckoned(trial: Trial, outlook: PlanPower) -> list[MeasureName]:
    """The measures whose noise can be told: the plan's own first."""
    native: list[MeasureName] = ["recovery", "gold_mass", "grain_counts", "tails_gold"]
    known = [*(native if outlook.situation.dirt.gold_mg > 0 else [])]
    if outlook.situation.tracers.fed:
        known.append("tracers")
    return sorted(known, key=lambda measure: measure != trial.measure)
