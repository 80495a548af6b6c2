"""Gold mass: gold kept, from equal halves of one lot. As a ratio."""

from trials.measures.measure import Measure, Words
from trials.measures.scales import RatioMeasure


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


GOLD_MASS: Measure = GoldMass()
