"""Invented habits: how far runs scatter when nothing is changed. Assumed, not measured."""

import dataclasses
from dataclasses import dataclass

from trials.simulation.arrays import require_within
from trials.simulation.dirt import CLASS_COUNT

POINTS_PER_LOGIT = 9.0
"""Points of recovery in one unit of logit at 90 %: 100 x 0.9 x 0.1 (derived)."""

_CEILINGS = {
    "process_sd_points": 50.0,
    "session_sd_points": 50.0,
    "operator_sd_points": 50.0,
    "feed_cv": 2.0,
    "water_cv": 2.0,
    "black_sand_cv": 2.0,
    "carry_over": 0.9,
    "panout_loss_fine": 0.99,
    "scale_sd_g": 10.0,
    "scale_division_g": 10.0,
    "tails_cv": 2.0,
}


@dataclass(frozen=True)
class Noise:
    """How much each habit adds; every default is none, so ``Noise()`` leaves the luck of the grains alone.

    Points are points of recovery at 90 %, turned into logits by `logit_sd`.

    process_sd_points: SD from run to run, 0 to 50.
    session_sd_points: SD between sessions (day, water), 0 to 50; runs of one session share it.
    operator_sd_points: SD between feeders, 0 to 50; runs by one feeder share it.
    drift_points_per_run: Added from run to run up to the twelfth, -10 to 10; positive improves. A hand then stops
        improving, and the mean over a trial is 0 (`drift_by_turn`).
    feed_cv: CV of the feed rate, 0 to 2. It moves the minutes; what it does to recovery is part of the process SD.
    water_cv: CV of the water, 0 to 2. It moves the water reading only, for the same reason.
    black_sand_cv: CV of the black sand from run to run, 0 to 2.
    carry_over: Share of a run's kept gold that stays in the gear and comes out with the next run, 0 to 0.9.
    panout_loss_fine: Share of the caught gold under 0.150 mm lost in the final pan-out, 0 to 0.99; found nowhere again.
    scale_sd_g: SD of one reading of the scale, g, 0 to 10; a net weight is two readings.
    scale_division_g: Smallest step of the scale, g, 0 to 10; 0 does not round.
    tails_cv: CV of the work-up of the tails, 0 to 2.
    tails_found: Share of the gold in the tails that the work-up finds, 0 to 1.
    counting_cv: CV of one count of grains by size class, coarsest first, each 0 to 2; () where counts are exact.

    Assumed noise model, no source.

    >>> TYPICAL.process_sd_points, TYPICAL.carry_over
    (2.5, 0.02)
    >>> dataclasses.replace(TYPICAL, drift_points_per_run=1.0).drift_points_per_run
    1.0
    """

    process_sd_points: float = 0.0
    session_sd_points: float = 0.0
    operator_sd_points: float = 0.0
    drift_points_per_run: float = 0.0
    feed_cv: float = 0.0
    water_cv: float = 0.0
    black_sand_cv: float = 0.0
    carry_over: float = 0.0
    panout_loss_fine: float = 0.0
    scale_sd_g: float = 0.0
    scale_division_g: float = 0.0
    tails_cv: float = 0.0
    tails_found: float = 1.0
    counting_cv: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        for name, ceiling in _CEILINGS.items():
            require_within(f"Noise.{name}", getattr(self, name), 0.0, ceiling)
        require_within("Noise.drift_points_per_run", self.drift_points_per_run, -10.0, 10.0)
        require_within("Noise.tails_found", self.tails_found, 0.0, 1.0)
        if len(self.counting_cv) not in {0, CLASS_COUNT}:
            raise ValueError(
                f"Noise.counting_cv has {len(self.counting_cv)} values; there are {CLASS_COUNT} size classes. "
                "Give one for each, or none."
            )
        for cv in self.counting_cv:
            require_within("Noise.counting_cv", cv, 0.0, 2.0)


LOW = Noise(
    process_sd_points=1.0,
    session_sd_points=0.5,
    operator_sd_points=0.5,
    drift_points_per_run=0.0,
    feed_cv=0.05,
    water_cv=0.03,
    black_sand_cv=0.05,
    carry_over=0.005,
    panout_loss_fine=0.02,
    scale_sd_g=0.001,
    scale_division_g=0.001,
    tails_cv=0.05,
)
"""A careful bench: assumed, not measured."""

TYPICAL = dataclasses.replace(
    LOW,
    process_sd_points=2.5,
    session_sd_points=1.5,
    operator_sd_points=1.5,
    drift_points_per_run=0.3,
    feed_cv=0.10,
    water_cv=0.05,
    black_sand_cv=0.10,
    carry_over=0.02,
    panout_loss_fine=0.08,
    scale_sd_g=0.002,
    tails_cv=0.10,
)
"""An ordinary weekend: assumed, not measured."""

POOR = Noise(
    process_sd_points=5.0,
    session_sd_points=4.0,
    operator_sd_points=5.0,
    drift_points_per_run=1.0,
    feed_cv=0.25,
    water_cv=0.15,
    black_sand_cv=0.25,
    carry_over=0.10,
    panout_loss_fine=0.30,
    scale_sd_g=0.01,
    scale_division_g=0.01,
    tails_cv=0.20,
)
"""A hurried day with a coarse scale: assumed, not measured."""


def logit_sd(points: float) -> float:
    """Turn points of recovery at 90 %, of any sign, into logits: points / 9, by the slope R (1 - R) of the logistic.

    Elsewhere than at 90 % the same logit moves recovery by 100 R (1 - R) points.

    >>> logit_sd(4.5)
    0.5
    """
    return points / POINTS_PER_LOGIT
