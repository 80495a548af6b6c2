"""Grain counts: native gold grains counted in the catch. As a ratio."""

import numpy as np

from schemas import Run
from trials.measures.measure import Measure, Words
from trials.measures.scales import RatioMeasure
from trials.statistics.arrays import Numbers
from trials.wording.numbers import plain


class GrainCounts(RatioMeasure):
    """Grains kept; differences are ln((x1 + 0.5)/(x0 + 0.5))."""

    name = "grain_counts"
    inputs = ("grains",)
    what = "native grains"
    side = "kept"
    is_simulated = True
    words = Words(
        axis="gold grains kept",
        signed="% grains",
        more="more grains",
        less="fewer grains",
        gain="more grains",
        unit="grains",
        difference="difference, %",
        taken="gold grains kept, counted",
        short="gold grains, counted",
        by_hand="d = ln((changed + 0.5) / (baseline + 0.5))",
    )

    def scaled(self, readings: Numbers, division: float | None) -> Numbers:  # noqa: ARG002 - counts have no scale
        """Log of the count with half a grain added, so that a count of 0 has one.

        The half is the usual correction of the empirical log (Haldane 1956; Anscombe 1956; from memory).
        """
        return np.asarray(np.log(readings[..., 0] + 0.5))

    def floor(self, baseline: Numbers, changed: Numbers, division: float | None) -> Numbers | None:  # noqa: ARG002 - counts have no scale
        """Poisson counting luck of the log ratio: sqrt(1/(x0 + .5) + 1/(x1 + .5))."""
        return np.sqrt(1.0 / (baseline[..., 0] + 0.5) + 1.0 / (changed[..., 0] + 0.5))

    def counting_luck(self, run: Run) -> str:
        """Garwood limits of a native count."""
        if run.grains is None:
            return ""
        from trials.statistics.exact_limits import count_limits  # special functions load slowly, and few ask

        limits = count_limits(run.grains)
        return f"{plain(float(limits.low), 0)} to {plain(float(limits.high), 0)}"


GRAIN_COUNTS: Measure = GrainCounts()
