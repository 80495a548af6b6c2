"""Recovery: gold kept over gold found in all, with the tails of every run re-treated. In points."""

import numpy as np
from numpy.typing import NDArray

from schemas import Trial
from trials.measures.measure import Measure, Words, weak_tails_text
from trials.measures.scales import PointsMeasure
from trials.statistics.arrays import Numbers


def recovery_uncertainty(
    kept: Numbers, lost: Numbers, kept_uncertainty: Numbers | float, lost_uncertainty: Numbers | float
) -> Numbers:
    """How uncertain is R = C/(C+T), as a share of 0 to 1, given the uncertainty of each weighing?

    Gold kept C and gold found in the tails T are in one unit of mass, 0 or more, of any like shapes; their standard
    uncertainties are in the same unit, independent of each other. NaN where C + T is 0.

    First-order propagation (JCGM 100:2008, GUM, eq. 10) with dR/dC = (1 - R)/F, dR/dT = -R/F, F = C + T.

    >>> import numpy as np
    >>> recovery_uncertainty(np.array([90.0]), np.array([10.0]), 1.8, 3.0).round(5)
    array([0.02706])
    """
    total = np.where(kept + lost > 0, kept + lost, np.nan)
    share = kept / total
    return np.hypot((1.0 - share) * kept_uncertainty, share * lost_uncertainty) / total


def true_recovery(recovery: Numbers, found: float) -> Numbers:
    """What share of all gold was kept, where the tails method finds only a share of what lies in the tails?

    `recovery` is that of the gold we could find, R, and `found` the method's own share u, over 0 to 1: R u/(R u + 1 -
    R). The inverse of R = T/(T + u(1 - T)), by which T, the true share, reads too high.

    >>> float(true_recovery(np.array(0.9), 0.7).round(4)), float(true_recovery(np.array(0.9), 1.0).round(4))
    (0.863, 0.9)
    """
    return np.asarray(recovery * found / (recovery * found + 1.0 - recovery))


class Recovery(PointsMeasure):
    """R = C/(C+T) of the gold we could find, in %; differences in points."""

    name = "recovery"
    inputs = ("gold_mg", "tails_gold_mg")
    is_simulated = True
    words = Words(
        axis="recovery, % of the gold we could find",
        signed="points",
        more="more of the gold",
        less="less of the gold",
        gain="more recovery",
        unit="% of the gold",
        difference="difference, points",
        taken="gold kept and gold in the tails, both weighed",
        short="recovery, kept and tails",
        by_hand="d = R(changed) - R(baseline), R = 100 x kept / (kept + in tails)",
    )

    def value(self, readings: Numbers) -> Numbers:
        """Recovery in %. NaN where a run found no gold at all."""
        total = readings.sum(axis=-1)
        return 100.0 * readings[..., 0] / np.where(total > 0, total, np.nan)

    def is_empty(self, baseline: Numbers, changed: Numbers) -> NDArray[np.bool_]:
        """A run with no gold in catch or tails has no recovery."""
        return _finds_none(baseline) | _finds_none(changed)

    def floor(self, baseline: Numbers, changed: Numbers, division: float | None) -> Numbers | None:
        """Points: 100 sqrt(sum over both runs of w^2 [(1-R)^2 + R^2]/F^2), w = sqrt(2) divisions."""
        if division is None:
            return None
        net = float(np.sqrt(2.0) * division)
        one, other = (recovery_uncertainty(half[..., 0], half[..., 1], net, net) for half in (baseline, changed))
        return np.multiply(100.0, np.hypot(one, other))

    def base_text(self, trial: Trial) -> str:
        """Gold that nobody found is in no recovery."""
        return f"Points of the gold we could find.{weak_tails_text(trial)}"


def _finds_none(readings: Numbers) -> NDArray[np.bool_]:
    found: Numbers = readings.sum(axis=-1)
    return np.equal(found, 0)


RECOVERY: Measure = Recovery()
