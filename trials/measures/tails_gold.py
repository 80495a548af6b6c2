"""Tails gold: gold lost to the tails. As a ratio, less being better."""

import math

import numpy as np

from schemas import Trial
from trials.measures.measure import Measure, Words, weak_tails_text
from trials.measures.scales import MOST_LOG, RatioMeasure
from trials.statistics.arrays import Numbers
from trials.wording.numbers import figures, plain, signed


class TailsGold(RatioMeasure):
    """Gold lost in mg; differences are -ln((T1 + g)/(T0 + g)), so that less gold lost is positive."""

    name = "tails_gold"
    inputs = ("tails_gold_mg",)
    side = "lost"
    is_simulated = True
    shown_by_hand = "100 x (1 - exp(-d))"
    words = Words(
        axis="gold lost to the tails, mg",
        signed="% gold lost",
        more="less gold lost",
        less="more gold lost",
        gain="less gold lost",
        unit="mg of gold",
        difference="less lost, %",
        taken="gold in the tails, weighed",
        short="gold in tails, weighed",
        by_hand="d = -ln(changed / baseline), so that less gold lost is positive",
    )

    def scaled(self, readings: Numbers, division: float | None) -> Numbers:
        """Log of the gold lost, turned so that more gold kept is higher."""
        return -super().scaled(readings, division)

    def line(self, typed: float) -> float:
        """A line of x % less lost is -ln(1 - x/100); infinite from 100 % on, which nothing brings."""
        return float(-np.log1p(-typed / 100.0)) if typed < 100.0 else math.inf

    def shown(self, difference: float) -> float:
        """A log ratio d is shown as 100(1 - exp(-d)) % less lost."""
        return float(-100.0 * np.expm1(-difference))

    def signed_text(self, shown: float, decimals: int) -> str:
        """Write the change in gold lost with its own sign: less lost is a minus."""
        return f"{signed(-shown, decimals)} {self.words.signed}"

    def signed_limits(self, low: float, high: float, decimals: int) -> tuple[str, str]:
        """A gain is a minus here, so the limits change places."""
        return signed(-high, decimals), signed(-low, decimals)

    def over_baseline(self, shown: float) -> float:
        """Less lost is a ratio under 1."""
        return 1.0 - shown / 100.0

    def size_text(self, difference: float) -> str:
        """Write % less lost, which never reaches all of it.

        >>> [TAILS_GOLD.size_text(log) for log in (0.2877, 5.0, 9.0)]
        ['25 %', '99.3 %', 'over 99.9 %']
        """
        if difference >= MOST_LOG:
            return "over 99.9 %"
        shown = self.shown(difference)
        return f"{plain(shown, 1) if 99 < shown < 100 else figures(shown, 2)} %"

    def base_text(self, trial: Trial) -> str:
        """Not of the gold in the dirt, most of which is kept."""
        return f"A share of the gold that is lost, not of the gold in the dirt.{weak_tails_text(trial)}"


TAILS_GOLD: Measure = TailsGold()
