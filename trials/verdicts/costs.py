"""What the change costs in black sand, minutes and the like, against the limits of the plan; and what it saves."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from schemas import Cost, Limits, Run, Trial
from schemas.cost import CostStatus, Part
from schemas.trial import Price
from trials.fairness.thresholds import past
from trials.measures.measure import root_mean_square
from trials.measures.pairing import Pair
from trials.measures.scales import log_masses, weighing_floor
from trials.statistics.arrays import Numbers, scatter_or_zero
from trials.statistics.paired_t import t_limits

ALPHA = 0.05  # a one-sided 95 % limit is an end of a 90 % interval
Reads = Callable[[Run], float | None]


@dataclass(frozen=True, slots=True)
class CostKind:
    """One thing a gain may cost.

    name, unit: as they are printed.
    limit_of: reads its limit.
    of_run: reads it of one run.
    division_of: reads one division of what it is weighed on; None where it is not weighed.
    less_of: what a saving of it is called; blank where saving it is no reason to change gear.
    parts: what it is the sum of, each with its name.
    price_of: reads what one unit of it weighs against gold.
    """

    name: str
    unit: str
    limit_of: Callable[[Limits], float | None]
    of_run: Reads
    division_of: Callable[[Trial], float | None]
    less_of: str = ""
    parts: tuple[tuple[str, Reads], ...] = ()
    price_of: Callable[[Price], float | None] = lambda _: None


COSTS: tuple[CostKind, ...] = (
    CostKind(
        "black sand",
        "g",
        lambda x: x.black_sand,
        lambda r: r.black_sand_g,
        lambda t: t.scales.sand_g,
        less_of="less black sand",
        price_of=lambda p: p.black_sand_g,
    ),
    CostKind(
        "minutes",
        "min",
        lambda x: x.minutes,
        lambda r: r.total_minutes,
        lambda _: None,
        less_of="fewer minutes",
        price_of=lambda p: p.minute,
        parts=(
            ("run", lambda r: None if r.cleanup_minutes is None else r.minutes),
            ("clean-up", lambda r: None if r.minutes is None else r.cleanup_minutes),
        ),
    ),
    CostKind("concentrate", "g", lambda x: x.concentrate, lambda r: r.concentrate_g, lambda t: t.scales.sand_g),
    CostKind("water", "L/min", lambda x: x.water, lambda r: r.water_l_min, lambda _: None),
)
LESS_OF = {kind.name: kind.less_of for kind in COSTS if kind.less_of}


def reckon_costs(trial: Trial, pairs: Sequence[Pair]) -> tuple[Cost, ...]:
    """What does the change cost over these pairs, in each thing the plan limits, and what does it save?

    Ratio of geometric means with one-sided 95 % limits, by the larger of the scatter of the log ratios and their
    weighing floor. within: the upper limit is not over the limit; over: the lower limit is; not shown: between, or
    fewer than 2 pairs could be compared; not recorded: no pair has both halves.

    A saving counts where the ratio is lower than 1 by the smallest saving of the plan or more, and its upper limit is
    under 1 when the 5 % are shared by all costs that could save (Bonferroni), so that luck finds a saving in none of
    them in 95 trials of 100.
    """
    kinds = limited_kinds(trial)
    read = [_both_halves(kind.of_run, pairs) for kind in kinds]
    may_save = sum(1 for kind, (baseline, _) in zip(kinds, read, strict=True) if kind.less_of and len(baseline))
    share = ALPHA / max(1, may_save)
    return tuple(_reckon(kind, trial, pairs, both, share) for kind, both in zip(kinds, read, strict=True))


def limited_kinds(trial: Trial) -> list[CostKind]:
    """What the plan limits."""
    return [kind for kind in COSTS if kind.limit_of(trial.cost_limits) is not None]


def _both_halves(of_run: Reads, pairs: Sequence[Pair]) -> tuple[Numbers, Numbers]:
    halves = [(of_run(p.baseline), of_run(p.changed)) for p in pairs if p.baseline and p.changed]
    kept = np.array([half for half in halves if None not in half], dtype=float).reshape(-1, 2)
    return kept[:, 0], kept[:, 1]


@dataclass(frozen=True, slots=True)
class _Ratio:
    """Log ratios of one thing over so many pairs: their mean, and the larger of scatter and weighing floor.

    None where under 2 pairs have any. Equal logs with no floor known: the limits are the ratio.
    """

    pairs: int
    mean: float
    sd: float

    @classmethod
    def of(cls, baseline: Numbers, changed: Numbers, division: float | None) -> "_Ratio | None":
        logs = np.diff(log_masses(np.stack([baseline, changed], axis=-1), division))[:, 0]
        if len(logs) < 2 or not np.isfinite(logs).all():
            return None
        scatter = float(scatter_or_zero(logs.std(ddof=1), logs))
        return cls(len(logs), float(logs.mean()), max(scatter, log_floor(baseline, changed, division)))

    @property
    def middle(self) -> float:
        return float(np.exp(self.mean))

    def one_sided(self, alpha: float) -> tuple[float, float]:
        """Both one-sided limits of the ratio."""
        limits = t_limits(self.mean, self.sd, self.pairs, level=1.0 - 2.0 * alpha)
        return float(np.exp(limits.low)), float(np.exp(limits.high))


def _reckon(kind: CostKind, trial: Trial, pairs: Sequence[Pair], both: tuple[Numbers, Numbers], share: float) -> Cost:
    baseline, changed = both
    blank = blank_cost(kind, trial).model_copy(update={"pairs": len(baseline)})
    if not len(baseline):
        return blank
    ratio = _Ratio.of(baseline, changed, kind.division_of(trial))
    if ratio is None:
        return blank.model_copy(update={"status": "not shown"})
    low, high = ratio.one_sided(ALPHA)
    is_large = not past(ratio.middle, 1.0 - trial.cost_limits.smallest_saving)
    saves = bool(kind.less_of) and is_large and ratio.one_sided(share)[1] < 1.0
    known = known_cost(blank, ratio.middle, (low, high), baseline, changed)
    return known.model_copy(update={"saves": saves, "parts": _parts(kind, pairs)})


def log_floor(baseline: Numbers, changed: Numbers, division: float | None) -> float:
    """SD of a log ratio by weighing luck alone, root mean square; 0 where it is not known."""
    floors = weighing_floor(baseline, changed, division)
    return 0.0 if floors is None else float(root_mean_square(floors))


def known_cost(blank: Cost, ratio: float, limits: tuple[float, float], baseline: Numbers, changed: Numbers) -> Cost:
    """A cost with its ratio, its one-sided limits, how these stand to the most it may be, and both means."""
    return blank.model_copy(
        update={
            "status": _status_of(*limits, blank.limit),
            "ratio": ratio,
            "low": limits[0],
            "high": limits[1],
            "baseline_mean": _geometric_mean(baseline),
            "changed_mean": _geometric_mean(changed),
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


def _parts(kind: CostKind, pairs: Sequence[Pair]) -> tuple[Part, ...]:
    """Each part by itself, over the pairs that have all of them; none where no pair has."""
    parts = []
    for name, of_run in kind.parts:
        baseline, changed = _both_halves(of_run, pairs)
        if not len(baseline):
            return ()
        ratio = _Ratio.of(baseline, changed, None)
        low, high = (None, None) if ratio is None else ratio.one_sided(ALPHA)
        means = {"baseline_mean": _geometric_mean(baseline), "changed_mean": _geometric_mean(changed)}
        parts.append(Part(name=name, ratio=None if ratio is None else ratio.middle, low=low, high=high, **means))
    return tuple(parts)


def _geometric_mean(values: Numbers) -> float:
    """The geometric mean; of values with a 0 among them, which has none, the plain one."""
    return float(np.exp(np.log(values).mean())) if (values > 0).all() else float(values.mean())


def _status_of(low: float, high: float, limit: float | None) -> CostStatus:
    """How do one-sided limits of a ratio stand to the most it may be?"""
    if limit is None or high <= limit:
        return "within"
    return "over" if low > limit else "not shown"
