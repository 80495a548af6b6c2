"""The charts of a plan: how many pairs it needs, and what its noise is made of."""

from pathlib import Path

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
    if outlook.scatter is not None:
        wide, narrow = (
            pairs_needed_chart(
                sd=outlook.scatter.sd,
                sd_at_line=outlook.sd_at_line,
                measure=trial.measure,
                line=outlook.line,
                pairs=trial.pairs,
                arms=max(2, len(trial.arms)),
                scatter=scatter_words(outlook.scatter, outlook.measure),
                narrow=is_narrow,
            )
            for is_narrow in (False, True)
        )
        written.append(Path(f"pairs-{trial.name}.html"))
        save_chart(wide, written[-1], narrow=narrow)
    budgets = [noise_budget(measure, outlook.situation) for measure in _reckoned(trial, outlook)]
    if budgets:
        written.append(Path(f"noise-{trial.name}.html"))
        save_chart(noise_chart(budgets), written[-1], narrow=noise_chart(budgets, narrow=True))
    return written


def _reckoned(trial: Trial, outlook: PlanPower) -> list[MeasureName]:
    """The measures whose noise can be told: the plan's own first."""
    native: list[MeasureName] = ["recovery", "gold_mass", "grain_counts", "tails_gold"]
    known = [*(native if outlook.situation.dirt.gold_mg > 0 else [])]
    if outlook.situation.tracers.fed:
        known.append("tracers")
    return sorted(known, key=lambda measure: measure != trial.measure)
