"""Does one pair lie further from the rest than luck would put it? Grubbs's test."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from trials.statistics import special
from trials.statistics.arrays import number_or_array, ratio_or_nan
from trials.statistics.checks import checked_differences, checked_level
from trials.statistics.paired_t import paired_t


@dataclass(frozen=True, slots=True)
class OddPair:
    """The pair furthest from the mean, of one trial (plain numbers) or of many (arrays of the leading shape).

    index: Which pair, counted from 0; the first of them if several are equally far.
    g: Its distance from the mean in SDs; 0 where all differences are equal.
    """

    index: Any
    g: Any
    critical: float
    is_odd: Any


def odd_pair(differences: ArrayLike, *, alpha: float = 0.05) -> OddPair:
    """Does one pair, of 3 or more, lie further from the rest than luck would put it?

    `alpha` is how often a trial without an odd pair is flagged.

    - All differences equal: g is 0 and no pair is odd.
    - It looks both ways, up and down, and assumes differences that follow a bell curve; longer tails are flagged
      more often. A prompt to read the notes of the pair, never a reason to drop it.

    Source: Grubbs, Sample criteria for testing outlying observations, Ann. Math. Stat. 21, 1950, p. 27; critical
    value as in NIST/SEMATECH e-Handbook of Statistical Methods, sec. 1.3.5.17 (cited from memory):
    (k-1)/sqrt(k) sqrt(t^2/(k-2+t^2)), t the 1 - alpha/(2k) point of Student's t with k-2 degrees of freedom.

    >>> odd = odd_pair([2.1, 0.4, 3.0, 1.2, -0.5, 2.6, 0.9, 1.7])
    >>> odd.index, round(odd.g, 4), round(odd.critical, 4), odd.is_odd
    (4, 1.6546, 2.1266, False)
    """
    values = checked_differences(differences, at_least=3)
    alpha = checked_level(alpha, name="alpha")
    fit = paired_t(values)
    distance = np.abs(values - np.asarray(fit.mean)[..., np.newaxis])
    g = np.nan_to_num(ratio_or_nan(distance.max(axis=-1), np.asarray(fit.sd)))
    critical = _critical_g(values.shape[-1], alpha)
    return OddPair(
        index=number_or_array(distance.argmax(axis=-1)),
        g=number_or_array(g),
        critical=critical,
        is_odd=number_or_array(g > critical),
    )


def _critical_g(pairs: int, alpha: float) -> float:
    t = float(special.stdtrit(pairs - 2, 1 - alpha / (2 * pairs)))
    return (pairs - 1) / math.sqrt(pairs) * math.sqrt(t**2 / (pairs - 2 + t**2))
