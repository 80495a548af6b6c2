"""What the change costs in black sand, minutes and the like, against the limits of the plan."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from schemas import Cost, Limits, Run, Trial
from schemas.cost import CostStatus
from trials.measures.measure import root_mean_square
from trials.measures.pairing import Pair
from trials.measures.scales import log_masses, weighing_floor
from trials.statistics.arrays import Numbers, scatter_or_zero
from trials.statistics.paired_t import t_limits

ONE_SIDED_LEVEL = 0.90  # the upper end of a 90 % interval is a one-sided 95 % limit


@dataclass(frozen=True, slots=True)
class CostKind:
    """One thing a gain may cost.

    name, unit: as they are printed.
    limit_of: reads its limit.
    of_run: reads it of one run.
    division_of: reads one division of what it is weighed on; None where it is not weighed.
    """

    name: str
    unit: str
    limit_of: Callable[[Limits], float | None]
    of_run: Callable[[Run], float | None]
    division_of: Callable[[Trial], float | None]


COSTS: tuple[CostKind, ...] = (
    CostKind("black sand", "g", lambda x: x.black_sand, lambda r: r.black_sand_g, lambda t: t.scales.sand_g),
    CostKind("minutes", "min", lambda x: x.minutes, lambda r: r.total_minutes, lambda _: None),
    CostKind("concentrate", "g", lambda x: x.concentrate, lambda r: r.concentrate_g, lambda t: t.scales.sand_g),
    CostKind("water", "L/min", lambda x: x.water, lambda r: r.water_l_min, lambda _: None),
)


def reckon_costs(trial: Trial, pairs: Sequence[Pair]) -> tuple[Cost, ...]:
    """What does the change cost over these pairs, in each thing the plan limits?

    Ratio of geometric means with one-sided 95 % limits, by the larger of the scatter of the log ratios and their
    weighing floor. within: the upper limit is not over the limit; over: the lower limit is; not shown: between, or
    fewer than 2 pairs could be compared; not recorded: no pair has both halves.
    """
    return tuple(_reckon(kind, trial, pairs) for kind in COSTS if kind.limit_of(trial.cost_limits) is not None)


def _both_halves(kind: CostKind, pairs: Sequence[Pair]) -> tuple[Numbers, Numbers]:
    halves = [(kind.of_run(p.baseline), kind.of_run(p.changed)) for p in pairs if p.baseline and p.changed]
    kept = np.array([half for half in halves if None not in half], dtype=float).reshape(-1, 2)
    return kept[:, 0], kept[:, 1]


def _reckon(kind: CostKind, trial: Trial, pairs: Sequence[Pair]) -> Cost:
    baseline, changed = _both_halves(kind, pairs)
    blank = blank_cost(kind, trial).model_copy(update={"pairs": len(baseline)})
    if not len(baseline):
        return blank
    division = kind.division_of(trial)
    logs = np.diff(log_masses(np.stack([baseline, changed], axis=-1), division))[:, 0]
    if len(logs) < 2 or not np.isfinite(logs).all():
        return blank.model_copy(update={"status": "not shown"})
    low, high = _one_sided(logs, weighing_floor(baseline, changed, division))
    return blank.model_copy(
        update={
            "status": status_of(low, high, blank.limit),
            "ratio": float(np.exp(logs.mean())),
            "low": low,
            "high": high,
            "baseline_mean": geometric_mean(baseline),
            "changed_mean": geometric_mean(changed),
        }
    )


def blank_cost(kind: CostKind, trial: Trial) -> Cost:
    """A cost of which nothing is known yet but its limit."""
    return Cost(
        name=kind.name,
        unit=kind.unit,
        limit=kind.limit_of(trial.cost_limits),
        limit_is_ours=trial.limits is None,
        status="not recorded",
    )


def _one_sided(logs: Numbers, floors: Numbers | None) -> tuple[float, float]:
    """Both one-sided 95 % limits of the ratio. Equal logs with no floor known: the limits are the ratio."""
    floor = 0.0 if floors is None else float(root_mean_square(floors))
    sd = float(scatter_or_zero(logs.std(ddof=1), logs))
    limits = t_limits(float(logs.mean()), max(sd, floor), len(logs), level=ONE_SIDED_LEVEL)
    return float(np.exp(limits.low)), float(np.exp(limits.high))


def geometric_mean(values: Numbers) -> float:
    """The geometric mean; of values with a 0 among them, which has none, the plain one."""
    return float(np.exp(np.log(values).mean())) if (values > 0).all() else float(values.mean())


def status_of(low: float, high: float, limit: float | None) -> CostStatus:
    """How do one-sided limits of a ratio stand to the most it may be?"""
    if limit is None or high <= limit:
        return "within"
    return "over" if low > limit else "not shown"
