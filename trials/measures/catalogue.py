"""All measures. A new one is a file in this folder and a line here."""

from schemas import MeasureName
from trials.measures.gold_mass import GOLD_MASS
from trials.measures.grain_counts import GRAIN_COUNTS
from trials.measures.measure import Measure
from trials.measures.recovery import RECOVERY
from trials.measures.tails_gold import TAILS_GOLD
from trials.measures.tracers import TRACERS

MEASURES: tuple[Measure, ...] = (RECOVERY, GOLD_MASS, TRACERS, GRAIN_COUNTS, TAILS_GOLD)


def measure_named(name: MeasureName) -> Measure:
    """Find the measure of that name.

    >>> measure_named("tails_gold").words.axis
    'gold lost to the tails, mg'
    """
    return next(measure for measure in MEASURES if measure.name == name)
