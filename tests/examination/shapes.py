"""The shapes of trial that faults are planted in: gear, dirt, measure and pairs. Assumed, not measured."""

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from schemas import MeasureName
from schemas.gear import GearKind
from schemas.lot import LotKind
from trials.simulation.dirt import Dirt
from trials.simulation.tracers import SeededTracers

FINE = Dirt(gold_mg=900.0, size_set="fine", fed_cv=0.01)
COUNTABLE = Dirt(gold_mg=4.0, size_set="fine", fed_g=350.0, fed_cv=0.01)


@dataclass(frozen=True)
class Shape:
    """One shape of trial.

    Attributes
    ----------
    name
        What the table of the examination calls it.
    measure, gear, lot, pairs, worth_having
        Of the plan.
    dirt, tracers
        What its runs are fed.
    levels
        Of a graded trial; empty for pairs.
    labels
        Size class of each size of tracers, counted by class; empty where they are counted together.
    """

    name: str
    measure: MeasureName
    gear: GearKind
    lot: LotKind
    pairs: int = 6
    worth_having: float = 3.0
    dirt: Dirt = FINE
    tracers: SeededTracers = field(default_factory=lambda: SeededTracers(fed=50, size_classes=(4, 6)))
    levels: tuple[str, ...] = ()
    labels: tuple[str, ...] = ()

    @property
    def arms(self) -> tuple[str, ...]:
        """As its runs are called."""
        return ("baseline", *self.levels) if self.levels else ("baseline", "changed")

    def plan(self) -> dict[str, Any]:
        """The plan as a person fills it in, all that the checks ask for."""
        return {
            "name": "planted",
            "measure": self.measure,
            "worth_having": self.worth_having,
            "pairs": self.pairs,
            "knew": "feeder",
            "locked": date(2026, 5, 1),
            "lots": [{"kind": self.lot, "splitting": "riffle splitter", "size": "-30"}],
            "sizes": {"series": "ASTM"},
            "gear": {"kind": self.gear},
            "change": {"variable": "mat", "baseline": "ribbed", "changed": self.levels or ("looped",)},
            "held": {"pitch_deg": 4.0, "water_l_min": 20.0},
            "tails": {"caught": "all"},
            "scales": {"gold_g": 0.001, "sand_g": 0.1},
        }


TABLE = Shape(
    "grain counts, table", "grain_counts", "finishing table", "table tailings", worth_having=5.0, dirt=COUNTABLE
)
SLUICE = Shape("recovery, sluice", "recovery", "sluice", "natural", pairs=8)
TRACERS = Shape("tracers, sluice", "tracers", "sluice", "made up")
MASS = Shape("gold mass, sluice", "gold_mass", "sluice", "natural", worth_having=5.0)
TAILS = Shape("tails gold, jig", "tails_gold", "jig", "natural", pairs=8, worth_having=10.0)
WHEEL = Shape("gold mass, wheel", "gold_mass", "wheel", "sluice tailings", worth_having=5.0)
TRACERS_TABLE = Shape("tracers, table", "tracers", "finishing table", "made up")
TRACERS_BOWL = Shape("tracers, bowl", "tracers", "spinning bowl", "made up", pairs=10)
RECOVERY_TABLE = Shape("recovery, table", "recovery", "finishing table", "concentrate")

USUAL = (TABLE, SLUICE, TRACERS)
WEIGHED = (MASS, SLUICE, TAILS)
BY_GOLD = (MASS, TABLE, WHEEL)
BY_COUNT = (TRACERS, TRACERS_TABLE, TRACERS_BOWL)
