"""drift: did the unchanged gear's results rise or fall from run to run? A note, and only at the planned end."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from trials.fairness.evidence import Check, Evidence
from trials.fairness.remark import Remark, not_recorded, remark
from trials.fairness.thresholds import DRIFT_LEVEL, DRIFT_NEEDS_RUNS, DRIFT_NEEDS_SESSIONS
from trials.statistics import special
from trials.statistics.arrays import Numbers
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


def slope_of(turns: ArrayLike, results: ArrayLike, groups: Sequence[object] = ()) -> Slope | None:
    """How steeply do results rise with the number of the run, and how often would luck alone do as much?

    Least squares line through n results and Student's t test of its slope with n - 2 degrees of freedom (NIST/SEMATECH
    e-Handbook of Statistical Methods, sec. 4.1.4.1 and 4.4.3; from memory). With `groups`, a label for each result,
    every group has a height of its own and all share one slope, n - groups - 1 degrees of freedom (analysis of
    covariance; Fisher, Statistical Methods for Research Workers, 4th ed. 1932, sec. 49.1; from memory). None where no
    degree is left, or no group has two turns.

    >>> line = slope_of([1, 2, 3, 4, 5], [2.0, 4.1, 5.9, 8.2, 9.8])
    >>> round(line.slope, 2), line.p < 0.001
    (1.97, True)
    >>> days = slope_of([1, 2, 5, 6], [80.0, 80.5, 90.0, 90.4], ["am", "am", "pm", "pm"])
    >>> round(days.slope, 2)
    0.45
    """
    labels = list(groups) or [0] * len(np.asarray(turns))
    names = sorted(set(labels), key=labels.index)
    x, y = (_less_group_means(np.asarray(values, dtype=float), labels, names) for values in (turns, results))
    df, spread = len(x) - len(names) - 1, float(x @ x)
    if df < 1 or spread == 0:
        return None
    slope = float(x @ y) / spread
    left = float(((y - slope * x) ** 2).sum())
    error = np.sqrt(left / df / spread)
    p = 2.0 * special.stdtr(df, -abs(slope) / error) if error > 0 else 0.0
    return Slope(slope, float(p))


def _less_group_means(values: Numbers, labels: Sequence[object], names: Sequence[object]) -> Numbers:
    places = np.array([names.index(label) for label in labels])
    means = np.bincount(places, weights=values) / np.bincount(places)
    return np.asarray(values - means[places])


def line_of(turns: ArrayLike, results: ArrayLike, sessions: Sequence[str | None]) -> Slope | None:
    """The slope of results over a trial, with the luck that the runs of one session share kept out of it.

    Where sessions hold more than one of the runs: from 4 sessions on the line goes through their means, which scatter
    by that luck; under 4 each session keeps its own height. Runs of which the session is not known share one.

    >>> line_of([1, 3, 5, 7, 9], [1.0, 3.1, 4.9, 7.1, 9.0], [None] * 5) == slope_of([1, 3, 5, 7, 9],
    ...     [1.0, 3.1, 4.9, 7.1, 9.0])
    True
    """
    labels = [session or "" for session in sessions]
    names = sorted(set(labels), key=labels.index)
    if len(names) == len(labels):
        return slope_of(turns, results)
    if len(names) < DRIFT_NEEDS_SESSIONS:
        return slope_of(turns, results, labels)
    places = np.array([names.index(label) for label in labels])
    x, y = (np.bincount(places, weights=np.asarray(v, dtype=float)) / np.bincount(places) for v in (turns, results))
    return slope_of(x, y)


def drifts(evidence: Evidence) -> Sequence[Remark]:
    """Do the baseline results of the counted pairs drift over the trial? Silent under 6 of them."""
    pairing = evidence.pairing
    if not evidence.ended or not pairing.counted:
        return []
    pairs = pairing.informative
    runs = [run for pair in pairs if (run := pair.baseline) is not None and run.turn is not None]
    if len(runs) < len(pairs):
        return not_recorded("The turn of each run was not recorded")
    turns = [run.turn for run in runs if run.turn is not None]
    if len(pairs) < DRIFT_NEEDS_RUNS or len(set(turns)) < 2:
        return []
    results = pairing.measure.value(pairing.readings(pairs)[0])
    if not np.isfinite(results).all() or np.ptp(results) == 0:
        return []
    line = line_of(turns, results, [run.session for run in runs])
    if line is None or line.p >= DRIFT_LEVEL:
        return []
    number = figures(abs(line.slope), 2)
    unit = "point" if not pairing.measure.is_ratio else "mg" if pairing.measure.weighs else "grain"
    amount = f"{number} {unit}{'' if unit == 'mg' or number == '1' else 's'}"
    way = "rose" if line.slope > 0 else "fell"
    return remark("NOTE", (), DRIFTED.format, way, amount, one_in(line.p))


DRIFT = Check(
    "drift",
    "baseline results against run number",
    drifts,
    "slope of a straight line, NIST/SEMATECH e-Handbook of Statistical Methods, sec. 4.4.3",
)
