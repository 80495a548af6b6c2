"""How often would the verdict call a gain better that is just worth having?"""

import math
from functools import lru_cache
from typing import Final

import numpy as np

from trials.statistics import special
from trials.statistics.arrays import Numbers
from trials.statistics.checks import checked_level, checked_pairs
from trials.statistics.limits import critical_t
from trials.statistics.pairs_needed import LARGEST_EFFECT

_SLICES: Final = 64


def chance_called_better(effect: float, pairs: int, *, level: float = 0.95) -> float:
    """How often, 0 to 1, is a gain of just the worth-having line called better in so many pairs?

    `effect` is the gain over the SD of one pair difference, 0 or more; pairs 2 or more. Better is an interval that lies
    over 0 and does not lie inside the line: one inside it is called no difference worth having, which befalls a gain at
    the line in (1 - level)/2 of the trials at the most, so that no number of pairs finds it oftener than in the rest.

    - effect 0: (1 - level)/2, half of the false alarms. A loss of such a size is called worse as often.
    - In SDs of the mean, z is normal about the noncentrality effect x sqrt(k), and the half-width t s, s^2 of k - 1
      degrees of freedom. Better is z > t s, by the noncentral t (`pairs_needed.power`), less t s < z < effect x
      sqrt(k) - t s, averaged over s in slices of equal chance.

    Source: Johnson & Welch, Biometrika 31, 1940, p. 362 (from memory); the rule is that of `trials.verdicts.outcome`.

    >>> [round(chance_called_better(1.0, pairs), 3) for pairs in (6, 12, 60)]
    [0.503, 0.875, 0.975]
    """
    df = int(checked_pairs(pairs)) - 1
    critical, reach = _half_widths(df, checked_level(level))
    off = min(effect, LARGEST_EFFECT) * math.sqrt(df + 1)
    over_zero = 1.0 - float(np.nan_to_num(special.nctdtr(df, off, critical)))
    inside = np.maximum(special.ndtr(-reach) - special.ndtr(reach - off), 0.0)
    return over_zero - float(inside.mean())


@lru_cache(maxsize=1_024)
def _half_widths(df: int, level: float) -> tuple[float, Numbers]:
    """Give the critical t, and half-widths in SDs of the mean in slices of equal chance."""
    critical = float(critical_t(df, level))
    middles = (np.arange(_SLICES) + 0.5) / _SLICES
    return critical, critical * np.sqrt(2.0 * special.gammaincinv(df / 2.0, middles) / df)
