"""What each level costs in black sand, minutes and the like, against the limits of the plan."""

import math
from collections.abc import Sequence

import numpy as np

from schemas import Cost, Trial
from schemas.trial import Price
from trials.measures.blocks import Block
from trials.measures.measure import Measure
from trials.measures.scales import log_masses
from trials.statistics.arrays import Numbers
from trials.statistics.block_fit import fit_blocks
from trials.statistics.limits import critical_t
from trials.verdicts.costs import ALPHA, COSTS, CostKind, blank_cost, known_cost, limited_kinds, log_floor
from trials.verdicts.level_outcome import fitted, judged_columns


def costs_of_levels(trial: Trial, blocks: Sequence[Block]) -> tuple[tuple[Cost, ...], ...]:
    """What does each level cost over these blocks, in each thing the plan limits? One tuple of costs a level.

    The logs are fitted as the gold is, by blocks and levels; one-sided 95 % limits of the ratio to the baseline by the
    larger of the trial's scatter, the level's own and the weighing floor. Each level is held to its limit by itself.
    """
    by_kind = [_of_kind(kind, trial, blocks) for kind in limited_kinds(trial)]
    return tuple(tuple(costs[at] for costs in by_kind) for at in range(len(trial.arms) - 1))


def net_differences(trial: Trial, measure: Measure, blocks: Sequence[Block], values: Numbers) -> dict[int, float]:
    """What does each level gain over the baseline once its minutes and black sand are taken off, by the plan's price?

    By its column in `values`, which are the readings on the scale; taken off every run, and fitted by blocks and levels
    as the gold is (our own rule). Blank without a price, or where a run in the sum lacks its minutes or its black sand.
    """
    net = values.copy()
    for kind in COSTS:
        price = kind.price_of(trial.price)
        if price is not None:
            net -= measure.line(price) * _values(kind, trial, blocks)
    both = fitted(net)
    if trial.price == Price() or both is None or not np.isfinite(net[np.isfinite(values)]).all():
        return {}
    fit, taken = both
    return {at: float(fit.differences[place, 0]) for place, at in enumerate(taken) if at}


def _of_kind(kind: CostKind, trial: Trial, blocks: Sequence[Block]) -> tuple[Cost, ...]:
    values = _values(kind, trial, blocks)
    both = np.isfinite(values) & np.isfinite(values[:, :1])
    taken = judged_columns(values)
    blank = blank_cost(kind, trial)
    costs = {
        at: blank.model_copy(
            update={"status": "not shown" if both[:, at].any() else "not recorded", "pairs": int(both[:, at].sum())}
        )
        for at in range(1, len(trial.arms))
    }
    division = kind.division_of(trial)
    logs = log_masses(values[:, taken], division)
    rows = np.isfinite(logs).sum(axis=1) >= 2
    is_told = len(taken) > 1 and bool((np.isfinite(logs) == np.isfinite(values[:, taken])).all())
    if not is_told:
        return tuple(costs.values())
    fit = fit_blocks(logs[rows])
    for place, at in enumerate(taken[1:], start=1):
        mean = float(fit.differences[place, 0])
        baseline, changed = values[both[:, at], 0], values[both[:, at], at]
        floor = log_floor(baseline, changed, division)
        error = float(fit.factor[place, 0]) * max(float(fit.larger_sd(0)[place]), floor / math.sqrt(2))
        reach = float(critical_t(fit.df, 1.0 - 2.0 * ALPHA)) * error
        limits = math.exp(mean - reach), math.exp(mean + reach)
        costs[at] = known_cost(costs[at], math.exp(mean), limits, baseline, changed)
    return tuple(costs.values())


def _values(kind: CostKind, trial: Trial, blocks: Sequence[Block]) -> Numbers:
    """One row a block, one column a set-up; NaN where it is not known."""
    found = [[_value(kind, block, at) for at in range(len(trial.arms))] for block in blocks]
    return np.array(found, dtype=float).reshape(len(blocks), len(trial.arms))


def _value(kind: CostKind, block: Block, at: int) -> float:
    run = block.runs[at]
    found = None if run is None or not block.measured[at] else kind.of_run(run)
    return math.nan if found is None else found
