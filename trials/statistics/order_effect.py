"""Does it matter which half of a pair is run first, and what is the difference with that taken out?"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trials.statistics import special
from trials.statistics.arrays import Numbers, number_or_array, ratio_or_nan, scatter_or_zero
from trials.statistics.checks import checked_differences, checked_level
from trials.statistics.limits import critical_t


@dataclass(frozen=True, slots=True)
class OrderEffect:
    """The effect of going first, of one trial (plain numbers) or of many (arrays of the leading shape).

    difference: Mean difference of the baseline-first pairs less that of the changed-first pairs. Over 0: whichever half
        was run second came out better.
    t: `difference` over its standard error; NaN where neither order has any scatter.
    p: Two-sided; NaN where t is.
    adjusted: Mean of the two orders' mean differences: what the change does with the effect of going first taken out.
    """

    difference: Any
    t: Any
    df: int
    p: Any
    adjusted: Any
    adjusted_se: Any
    adjusted_low: Any
    adjusted_high: Any
    level: float


def order_effect(differences: ArrayLike, changed_first: ArrayLike, *, level: float = 0.95) -> OrderEffect:
    """Does it matter which half of a pair, of 4 or more, is run first?

    `changed_first` is True where the changed half was run first, shape (pairs,) or (..., pairs); a trial with one order
    only is refused.

    - The two orders are taken to scatter alike: one SD is pooled from both, df = pairs - 2. An order with a single
      pair adds nothing to it.
    - No scatter within either order: t and p are NaN and both limits are `adjusted`.
    - With few pairs an effect is easily missed (one of 1 SD in 78 % of trials of 4 pairs, 34 % at 8): a large p is
      not "no order effect".

    Source: Hills & Armitage, The two-period cross-over clinical trial, Br. J. Clin. Pharmacol. 8, 1979, p. 7 (cited
    from memory): period effect and difference adjusted for it, from the pairs' differences.

    >>> seen = order_effect([2.1, 0.4, 3.0, 1.2, -0.5, 2.6, 0.9, 1.7], [0, 1, 0, 1, 1, 0, 1, 0])
    >>> round(seen.t, 4), round(seen.p, 4), round(seen.adjusted, 3), round(seen.adjusted_se, 4)
    (3.9517, 0.0075, 1.425, 0.2341)
    """
    values = checked_differences(differences, at_least=4)
    values, changed = _checked_orders(values, changed_first)
    level = checked_level(level)
    pairs = values.shape[-1]
    df = pairs - 2
    changed_pairs = changed.sum(axis=-1)
    baseline_pairs = pairs - changed_pairs
    changed_mean = np.where(changed, values, 0.0).sum(axis=-1) / changed_pairs
    baseline_mean = np.where(changed, 0.0, values).sum(axis=-1) / baseline_pairs
    residuals = values - np.where(changed, changed_mean[..., np.newaxis], baseline_mean[..., np.newaxis])
    pooled_sd = scatter_or_zero(np.sqrt((residuals**2).sum(axis=-1) / df), values)
    standard_error = pooled_sd * np.sqrt(1 / baseline_pairs + 1 / changed_pairs)
    difference = baseline_mean - changed_mean
    t = ratio_or_nan(difference, standard_error)
    adjusted = (baseline_mean + changed_mean) / 2
    reach = critical_t(df, level) * standard_error / 2
    return OrderEffect(
        difference=number_or_array(difference),
        t=number_or_array(t),
        df=df,
        p=number_or_array(2.0 * special.stdtr(df, -np.abs(t))),
        adjusted=number_or_array(adjusted),
        adjusted_se=number_or_array(standard_error / 2),
        adjusted_low=number_or_array(adjusted - reach),
        adjusted_high=number_or_array(adjusted + reach),
        level=level,
    )


def _checked_orders(values: Numbers, changed_first: ArrayLike) -> tuple[Numbers, NDArray[np.bool_]]:
    orders = np.asarray(changed_first)
    if orders.ndim == 0 or orders.shape[-1] != values.shape[-1]:
        raise ValueError(
            f"changed_first: shape {orders.shape} for {values.shape[-1]} pairs; give one True or False per pair."
        )
    known = (orders == 0) | (orders == 1)
    if not known.all():
        raise ValueError(
            f"changed_first: {orders[~known].flat[0]} is neither True nor False; give the order of each pair."
        )
    values, changed = np.broadcast_arrays(values, orders.astype(bool))
    if (changed.all(axis=-1) | ~changed.any(axis=-1)).any():
        raise ValueError(
            "changed_first: all pairs of a trial were run in one order; both must occur, or the effect of going "
            "first can't be told from that of the change. Leave this check out."
        )
    return values, changed
