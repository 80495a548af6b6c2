"""drift: did the unchanged gear's results rise or fall from run to run? A note, and only at the planned end."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from trials.fairness.evidence import Check, Evidence
from trials.fairness.remark import Remark, not_recorded, remark
from trials.fairness.thresholds import DRIFT_NEEDS_RUNS, NOTE_LEVEL
from trials.statistics import special
from trials.wording.numbers import figures, one_in

DRIFTED = (
    "Baseline results {} by about {} a run over the trial; luck alone does as much {}. The drawn order spreads that "
    "over both arms; look for what warmed, wore or filled up."
)


@dataclass(frozen=True, slots=True)
class Slope:
    """A straight line through results.

    slope: change of the result for one run more.
    p: two-sided, how often luck alone gives as steep a line; 0 where the points lie on it exactly.
    """

    slope: float
    p: float


def slope_of(turns: ArrayLike, results: ArrayLike) -> Slope:
    """How steeply do results rise with the number of the run, and how often would luck alone do as much?

    Least squares line through n results, n of 3 or more and neither all equal, and Student's t test of its slope with
    n - 2 degrees of freedom (NIST/SEMATECH e-Handbook of Statistical Methods, sec. 4.1.4.1 and 4.4.3; from memory).

    >>> line = slope_of([1, 2, 3, 4, 5], [2.0, 4.1, 5.9, 8.2, 9.8])
    >>> round(line.slope, 2), line.p < 0.001
    (1.97, True)
    """
    x, y = np.asarray(turns, dtype=float), np.asarray(results, dtype=float)
    x, y = x - x.mean(), y - y.mean()
    slope, df = float(x @ y / (x @ x)), len(x) - 2
    left = float(((y - slope * x) ** 2).sum())
    error = np.sqrt(left / df / (x @ x))
    p = 2.0 * special.stdtr(df, -abs(slope) / error) if error > 0 else 0.0
    return Slope(slope, float(p))


def drifts(evidence: Evidence) -> Sequence[Remark]:
    """Do the baseline results of the counted pairs drift over the trial? Silent under 6 of them."""
    pairing = evidence.pairing
    if not evidence.ended or not pairing.counted:
        return []
    pairs = pairing.informative()
    turns = [pair.baseline.turn for pair in pairs if pair.baseline is not None and pair.baseline.turn is not None]
    if len(turns) < len(pairs):
        return not_recorded("The turn of each run was not recorded")
    if len(pairs) < DRIFT_NEEDS_RUNS or len(set(turns)) < 2:
        return []
    results = pairing.measure.value(pairing.readings(pairs)[0])
    if not np.isfinite(results).all() or np.ptp(results) == 0:
        return []
    line = slope_of(turns, results)
    if line.p >= NOTE_LEVEL:
        return []
    unit = "points" if not pairing.measure.is_ratio else "mg" if pairing.measure.weighs else "grains"
    way = "rose" if line.slope > 0 else "fell"
    return remark("NOTE", (), DRIFTED.format, way, f"{figures(abs(line.slope), 2)} {unit}", one_in(line.p))


DRIFT = Check(
    "drift",
    "baseline results against run number",
    drifts,
    "slope of a straight line, NIST/SEMATECH e-Handbook of Statistical Methods, sec. 4.4.3",
)
