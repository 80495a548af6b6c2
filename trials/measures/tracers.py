"""Tracers: counted grains in, counted grains out. In points."""

import numpy as np
from numpy.typing import NDArray

from schemas import Run, Trial
from trials.measures.measure import Measure, Words
from trials.measures.scales import PointsMeasure
from trials.statistics.arrays import Numbers
from trials.wording.numbers import plain


class SeededGrains(PointsMeasure):
    """Share of the seeded grains that were kept, in %; differences in points."""

    name = "tracers"
    inputs = ("kept", "seeded")
    what = "seeded grains"
    is_simulated = True
    words = Words(
        axis="seeded grains kept, %",
        signed="points",
        more="more of the grains",
        less="fewer of the grains",
        gain="more grains kept",
        unit="% of the grains",
        difference="difference, points",
        taken="tracer grains, counted",
        short="tracers, counted",
        by_hand="d = 100 x kept/seeded (changed) - 100 x kept/seeded (baseline)",
    )

    def value(self, readings: Numbers) -> Numbers:
        """Grains kept in % of grains seeded. NaN where none were seeded."""
        seeded = readings[..., 1]
        return 100.0 * readings[..., 0] / np.where(seeded > 0, seeded, np.nan)

    def is_empty(self, baseline: Numbers, changed: Numbers) -> NDArray[np.bool_]:
        """A run with no grain seeded says nothing."""
        return np.equal(baseline[..., 1], 0) | np.equal(changed[..., 1], 0)

    def floor(self, baseline: Numbers, changed: Numbers, division: float | None) -> Numbers | None:  # noqa: ARG002 - counts have no scale
        """Points: 100 sqrt(p(1-p)(1/n0 + 1/n1)), p = (all found + 1)/(all fed + 2).

        Binomial counting luck with Laplace's rule of succession, so that p is never 0 or 1.

        >>> import numpy as np
        >>> kept0, kept1 = np.array([88, 91, 85, 93, 90.0]), np.array([93, 92, 91, 94, 95.0])
        >>> fed = np.full(5, 100.0)
        >>> TRACERS.floor(np.stack([kept0, fed], -1), np.stack([kept1, fed], -1), None).round(4)[0]
        np.float64(4.0233)
        """
        found = baseline[..., 0].sum(axis=-1, keepdims=True) + changed[..., 0].sum(axis=-1, keepdims=True)
        fed = baseline[..., 1].sum(axis=-1, keepdims=True) + changed[..., 1].sum(axis=-1, keepdims=True)
        p = (found + 1.0) / (fed + 2.0)
        fed_of_pair = [np.where(half[..., 1] > 0, half[..., 1], np.nan) for half in (baseline, changed)]
        luck: Numbers = 100.0 * np.sqrt(p * (1.0 - p) * (1.0 / fed_of_pair[0] + 1.0 / fed_of_pair[1]))
        return luck

    def counting_luck(self, run: Run) -> str:
        """Clopper-Pearson limits of the share kept, in %."""
        if run.kept is None or not run.seeded:
            return ""
        from trials.statistics.exact_limits import proportion_limits  # special functions load slowly, and few ask

        limits = proportion_limits(run.kept, run.seeded)
        return f"{plain(100 * float(limits.low), 0)} to {plain(100 * float(limits.high), 0)} %"

    def base_text(self, trial: Trial) -> str | None:
        """What stands in for gold is not gold."""
        stuff = trial.grains.stuff
        return None if stuff == "gold" else f"The grains are {stuff}, a stand-in for gold."


TRACERS: Measure = SeededGrains()
