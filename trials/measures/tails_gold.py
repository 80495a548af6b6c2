"""Tails gold: gold lost to the tails. As a ratio, less being better."""

import numpy as np

from trials.measures.measure import Measure, RatioMeasure, Words, log_mass_ratio, weighing_floor
from trials.statistics.arrays import Numbers
from trials.wording.numbers import signed


class TailsGold(RatioMeasure):
    """Gold lost in mg; differences are -ln((T1 + g)/(T0 + g)), so that less gold lost is positive."""

    name = "tails_gold"
    inputs = ("tails_gold_mg",)
    words = Words(
        axis="gold lost to the tails, mg",
        signed="% gold lost",
        more="less gold lost",
        less="more gold lost",
        difference="less lost, %",
    )

    def difference(self, baseline: Numbers, changed: Numbers, division: float | None) -> Numbers:
        """Log ratio of the gold lost, turned so that more gold kept is positive."""
        return -log_mass_ratio(baseline[..., 0], changed[..., 0], division)

    def floor(self, baseline: Numbers, changed: Numbers, division: float | None) -> Numbers | None:
        """Weighing luck of the log ratio."""
        return weighing_floor(baseline[..., 0], changed[..., 0], division)

    def line(self, typed: float) -> float:
        """A line of x % less lost is -ln(1 - x/100); x is under 100."""
        return float(-np.log1p(-typed / 100.0))

    def shown(self, difference: float) -> float:
        """A log ratio d is shown as 100(1 - exp(-d)) % less lost."""
        return float(-100.0 * np.expm1(-difference))

    def signed_text(self, shown: float, decimals: int) -> str:
        """Write the change in gold lost with its own sign: less lost is a minus."""
        return f"{signed(-shown, decimals)} {self.words.signed}"


TAILS_GOLD: Measure = TailsGold()
