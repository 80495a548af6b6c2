"""drift: did the unchanged gear's results rise or fall from run to run? A note, and only at the planned end."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from schemas import Finding
from trials.fairness.evidence import Check, Evidence, not_recorded
from trials.fairness.telling import finding
from trials.fairness.thresholds import DRIFT_NEEDS_RUNS, NOTE_LEVEL
from trials.measures.measure import Measure
from trials.statistics import special
from trials.wording.numbers import figures, one_in

NAME = "drift"


@dataclass(frozen=True, slots=True)
class Slope:
    """A straight line through results.

    Attributes
    ----------
    slope
        Change of the result for one run more.
    p
        Two-sided: how often luck alone gives as steep a line; 0 where the points lie on it exactly.
    """

    slope: float
    p: float


def slope_of(turns: ArrayLike, results: ArrayLike) -> Slope:
    """How steeply do results rise with the number of the run, and how often would luck alone do as much?

    Parameters
    ----------
    turns
        Run numbers, shape (n,), n of 3 or more, not all equal.
    results
        One result each, shape (n,), not all equal.

    Returns
    -------
    Slope
        Least squares line, and Student's t test of its slope with n - 2 degrees of freedom.

    Notes
    -----
    Source: NIST/SEMATECH e-Handbook of Statistical Methods, sec. 4.1.4.1 and 4.4.3 (cited from memory).

    Examples
    --------
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


def judge(evidence: Evidence) -> Sequence[Finding]:
    """Do the baseline results of the counted pairs drift over the trial? Silent under 6 of them."""
    pairing = evidence.pairing
    if not evidence.ended or not pairing.counted:
        return []
    pairs = pairing.informative()
    turns = [pair.baseline.turn for pair in pairs if pair.baseline is not None and pair.baseline.turn is not None]
    if len(turns) < len(pairs):
        return not_recorded(NAME, "The turn of each run was not recorded")
    if len(pairs) < DRIFT_NEEDS_RUNS or len(set(turns)) < 2:
        return []
    results = pairing.measure.value(pairing.readings(pairs)[0])
    if not np.isfinite(results).all() or np.ptp(results) == 0:
        return []
    line = slope_of(turns, results)
    if line.p >= NOTE_LEVEL:
        return []
    way = "rose" if line.slope > 0 else "fell"
    return finding(
        NAME,
        "NOTE",
        f"Baseline results {way} by about {figures(abs(line.slope), 2)} {_unit(pairing.measure)} a run over the "
        f"trial; luck alone does as much {one_in(line.p)}. The drawn order spreads that over both arms; look for what "
        "warmed, wore or filled up.",
    )


def _unit(measure: Measure) -> str:
    return "points" if not measure.is_ratio else "mg" if measure.weighs else "grains"


CHECK = Check(
    NAME,
    "baseline results against run number",
    "slope of a straight line, NIST/SEMATECH e-Handbook of Statistical Methods, sec. 4.4.3",
    judge,
)
