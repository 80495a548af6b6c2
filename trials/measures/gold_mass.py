"""Gold mass: gold kept, from equal halves of one lot. As a ratio."""

from trials.measures.measure import Measure, Words
from trials.measures.scales import RatioMeasure, log_masses, weighing_floor
from trials.statistics.arrays import Numbers


class GoldMass(RatioMeasure):
    """Gold kept in mg; differences are ln((C1 + g)/(C0 + g)), g half a scale division where any run found none."""

    name = "gold_mass"
    inputs = ("gold_mg",)
    side = "kept"
    is_simulated = True
    words = Words(
        axis="gold kept per half, mg",
        signed="% gold kept",
        more="more gold kept",
        less="less gold kept",
        gain="more gold kept",
        unit="mg of gold",
        difference="difference, %",
        taken="gold kept, weighed",
        short="gold kept, weighed",
        by_hand="d = ln(changed / baseline)",
    )

    def scaled(self, readings: Numbers, division: float | None) -> Numbers:
        """Log of the gold kept."""
        return log_masses(readings[..., 0], division)

    def floor(self, baseline: Numbers, changed: Numbers, division: float | None) -> Numbers | None:
        """Weighing luck of the log ratio."""
        return weighing_floor(baseline[..., 0], changed[..., 0], division)


GOLD_MASS: Measure = GoldMass()
