"""Is the more lost, the finer (or the coarser) the grains are?"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from trials.statistics import special
from trials.statistics.checks import checked_share


@dataclass(frozen=True, slots=True)
class SizeTrend:
    """The straight trend of the share kept over classes from coarse to fine, stratified by run.

    z: negative where finer grains are kept less often, runs scattering as they do. plain_z: by counting luck alone.
    scatter: psi, how far the runs' own trends scatter in units of counting luck. p: two-sided.
    """

    z: float
    plain_z: float
    scatter: float
    p: float


def size_trend(kept: ArrayLike, seeded: ArrayLike) -> SizeTrend | None:
    """Does the share kept rise or fall straight over the classes, coarse to fine? None where nothing varies.

    Whole grains, (runs, classes), as in `seeded_share`, with scores 0, 1, 2, ...

    S = sum_r (sum x w - m wbar), V_r = m(n - m)(sum n w^2 - n wbar^2)/(n(n - 1)), m of n grains kept in a run; psi =
    sum (S_r - S V_r/V)^2/V_r / (runs - 1); z = S / sqrt(V max(1, psi)). One run: psi is 1.

    Source: Mantel, J. Am. Stat. Assoc. 58, 1963, p. 690 (from memory); psi: a Pearson scale, own use.

    >>> round(size_trend([[83, 90, 129, 70]], [[86, 93, 136, 82]]).plain_z ** 2, 4)
    8.2042
    """
    x, n = checked_share(kept, seeded, found_name="kept", fed_name="seeded")
    if x.ndim != 2:
        raise ValueError(f"kept: shape {x.shape} is not runs by classes; give a row for each run.")
    w = np.arange(x.shape[1], dtype=float)
    total, m = n.sum(axis=1), x.sum(axis=1)
    middle = n @ w / total
    excess = x @ w - m * middle
    spread = np.maximum(total * (total - 1), 1)
    variance = m * (total - m) * (n @ w**2 - total * middle**2) / spread
    tells = variance > 0
    all_excess, all_variance = float(excess.sum()), float(variance.sum())
    if not tells.any():
        return None
    own = (excess - all_excess * variance / all_variance)[tells] ** 2 / variance[tells]
    scatter = float(own.sum()) / (tells.sum() - 1) if tells.sum() > 1 else 1.0
    plain_z = all_excess / math.sqrt(all_variance)
    z = plain_z / math.sqrt(max(1.0, scatter))
    return SizeTrend(z, plain_z, scatter, float(2 * special.ndtr(-abs(z))))
