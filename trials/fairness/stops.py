"""Which trials does a check stop, of those that simulated runs can set off too? Each rule once, for one or for many.

Pairs stand on the last axis, readings and the two halves of a pair on one behind it; the answer has the leading shape.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trials.fairness import thresholds
from trials.measures.measure import Measure
from trials.statistics.arrays import Numbers

IsStopped = NDArray[np.bool_]


def runs_with_none(measure: Measure, baseline: Numbers, changed: Numbers) -> NDArray[np.intp]:
    """How many runs found none beside a half that found some; 0 where the measure is no ratio.

    A pair of none and none says nothing, and is left out of the sum anyway.
    """
    alone = ~measure.is_empty(baseline, changed)
    return np.asarray(sum(np.count_nonzero(measure.zeros(half) & alone, axis=-1) for half in (baseline, changed)))


def has_too_many_zeros(measure: Measure, baseline: Numbers, changed: Numbers, division: float | None) -> IsStopped:
    """Did over 20 % of the runs of a ratio measure find none, or any where masses have no scale division?

    >>> from trials.measures.grain_counts import GRAIN_COUNTS
    >>> baseline, changed = np.array([[0.0], [0], [5]]), np.array([[[7.0], [3], [6]], [[0.0], [0], [6]]])
    >>> has_too_many_zeros(GRAIN_COUNTS, baseline[np.newaxis].repeat(2, axis=0), changed, None)
    array([ True, False])
    """
    zeros = runs_with_none(measure, baseline, changed)
    if measure.weighs and division is None:
        return np.asarray(zeros > 0)
    runs = 2 * np.count_nonzero(~measure.is_empty(baseline, changed), axis=-1)
    return thresholds.past(100.0 * zeros / np.maximum(runs, 1), thresholds.ZERO_RUNS_STOP_PERCENT)


def middle_mass_mg(baseline: Numbers, changed: Numbers) -> Numbers:
    """The gold weighed in the middle run, all that the measure weighs of a run added up."""
    masses = np.sort(np.concatenate([half.sum(axis=-1) for half in (baseline, changed)], axis=-1), axis=-1)
    runs = masses.shape[-1]
    return np.asarray((masses[..., (runs - 1) // 2] + masses[..., runs // 2]) / 2.0)


def has_too_coarse_a_scale(measure: Measure, baseline: Numbers, changed: Numbers, division: float | None) -> IsStopped:
    """Is the gold of the middle run under 10 divisions of the scale? Never where none is weighed or known.

    >>> from trials.measures.gold_mass import GOLD_MASS
    >>> bool(has_too_coarse_a_scale(GOLD_MASS, np.array([[80.0], [82]]), np.array([[81.0], [79]]), 10.0))
    True
    """
    if division is None or not measure.weighs:
        return np.zeros(baseline.shape[:-2], dtype=np.bool_)
    return thresholds.short_of(middle_mass_mg(baseline, changed) / division, thresholds.SCALE_STEPS_STOP)


def fed_gap_percent(fed_g: Numbers) -> Numbers:
    """By how much the other half of each pair is heavier than the unchanged one, in % of their mean; fed (..., 2)."""
    one, other = fed_g[..., 0], fed_g[..., 1]
    return np.asarray(200.0 * (other - one) / (one + other))


def has_unlike_halves(measure: Measure, fed_g: Numbers) -> IsStopped:
    """Was a pair of a ratio measure, where more dirt is more gold, fed over 15 % apart? Fed (..., pairs, 2).

    >>> from trials.measures.gold_mass import GOLD_MASS
    >>> has_unlike_halves(GOLD_MASS, np.array([[[100.0, 100], [92, 108]], [[100, 100], [93, 107]]]))
    array([ True, False])
    """
    return np.asarray(
        (np.abs(fed_gap_percent(fed_g)) > thresholds.HALVES_DIFFER_STOP_PERCENT).any(axis=-1)
        & measure.needs_like_halves
    )


def has_one_order(changed_first: NDArray[np.bool_]) -> IsStopped:
    """Did one arm go first in every pair, of 3 or more?

    >>> has_one_order(np.array([[True, True, True], [True, False, True]]))
    array([ True, False])
    """
    alike = changed_first.all(axis=-1) | ~changed_first.any(axis=-1)
    return np.asarray(alike & (changed_first.shape[-1] >= thresholds.ORDER_NEEDS_PAIRS))


def is_far_from_middle(value: ArrayLike, middle: ArrayLike) -> IsStopped:
    """Is a reading over 50 times more or less than the middle of the others? Both over 0.

    >>> is_far_from_middle(np.array([0.236, 5.0, 12000.0]), 220.0)
    array([ True, False,  True])
    """
    one, other = np.asarray(value, dtype=float), np.asarray(middle, dtype=float)
    return thresholds.past(one / other, thresholds.SLIP_TIMES) | thresholds.past(other / one, thresholds.SLIP_TIMES)


def has_a_slip(baseline: Numbers, changed: Numbers) -> IsStopped:
    """Is any reading so far from the middle of the other runs of its arm that a unit or a point slipped? Not one of 0.

    Where one of an arm is, the largest or the smallest is too: without it, the middle of the others lies no higher, or
    no lower, than without any other.

    >>> arm = np.array([[[220.0], [0.236], [215]], [[220], [216], [215]]])
    >>> has_a_slip(arm, np.full((2, 3, 1), 220.0))
    array([ True, False])
    """
    return np.asarray(_has_far_end(baseline) | _has_far_end(changed))


def _has_far_end(half: Numbers) -> IsStopped:
    by_pair = np.ascontiguousarray(np.moveaxis(half, -2, 0))  # numpy reduces far quicker over the first axis
    apart = by_pair.max(axis=0) / np.where(by_pair > 0, by_pair, np.inf).min(axis=0)
    # Few trials have two readings so far apart.
    stopped = np.asarray(thresholds.past(apart, thresholds.SLIP_TIMES).any(axis=-1))
    if stopped.any():
        stopped[stopped] = _has_end_far_from_middle(half[stopped])
    return stopped


def _has_end_far_from_middle(half: Numbers) -> IsStopped:
    found = np.sort(np.where(half > 0, half, np.nan), axis=-2)  # what found none stands last
    count = np.count_nonzero(half > 0, axis=-2)

    def at(place: NDArray[np.intp]) -> Numbers:
        held = np.clip(place, 0, half.shape[-2] - 1)[..., np.newaxis, :]
        return np.asarray(np.take_along_axis(found, held, axis=-2)[..., 0, :])

    low, high = (count - 2) // 2, (count - 1) // 2  # of all but one, the middle, or the two beside it
    far = is_far_from_middle(at(count - 1), (at(low) + at(high)) / 2.0)
    far |= is_far_from_middle(at(np.zeros_like(count)), (at(low + 1) + at(high + 1)) / 2.0)
    return np.asarray((far & (count > thresholds.SLIP_NEEDS_OTHERS)).any(axis=-1))
