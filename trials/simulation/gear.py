"""Invented gear and what a change does to it. Assumed, not measured."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from trials.simulation.arrays import require_within
from trials.simulation.dirt import CLASS_COUNT
from trials.statistics.arrays import Numbers

UNCHANGED_RECOVERY = (0.97, 0.97, 0.96, 0.95, 0.93, 0.90, 0.85, 0.75, 0.60, 0.40)
"""Share of the grains kept by unchanged gear in each class, coarsest first; assumed, no source."""


@dataclass(frozen=True)
class SimulatedGear:
    """How the unchanged gear behaves; assumed, not measured.

    recovery: Share of grains kept, by class, coarsest first; each above 0 and below 1.
    minutes: Minutes a run takes at the intended feed rate, above 0.
    black_sand_g: Black sand left with the gold, g, above 0.
    water_l_min: Intended water, L/min, above 0.

    >>> SimulatedGear().recovery[5]
    0.9
    """

    recovery: tuple[float, ...] = UNCHANGED_RECOVERY
    minutes: float = 10.0
    black_sand_g: float = 10.0
    water_l_min: float = 20.0

    def __post_init__(self) -> None:
        if len(self.recovery) != CLASS_COUNT:
            raise ValueError(
                f"SimulatedGear.recovery has {len(self.recovery)} values; there are {CLASS_COUNT} size classes. "
                "Give one for each."
            )
        for share in self.recovery:
            require_within("SimulatedGear.recovery", share, 1e-6, 1 - 1e-6)
        require_within("SimulatedGear.minutes", self.minutes, 0.001, 1e6)
        require_within("SimulatedGear.black_sand_g", self.black_sand_g, 0.001, 1e6)
        require_within("SimulatedGear.water_l_min", self.water_l_min, 0.001, 1e6)


@dataclass(frozen=True)
class TrueEffect:
    """What the change truly does; the default does nothing.

    shift_logit: Added to the logit of recovery in every class, or class by class; -10 to 10. At 90 % recovery 0.1 is
        about 0.9 points.
    minutes_ratio, black_sand_ratio: Changed over baseline, above 0.

    >>> gear = SimulatedGear()
    >>> float(recovery_logits(gear, (TrueEffect(shift_logit=0.45),))[1, 5].round(4))  # 90 % becomes 93.4 %
    2.6472
    """

    shift_logit: float | tuple[float, ...] = 0.0
    minutes_ratio: float = 1.0
    black_sand_ratio: float = 1.0

    def __post_init__(self) -> None:
        shifts = self.shift_logit if isinstance(self.shift_logit, tuple) else (self.shift_logit,)
        if len(shifts) not in {1, CLASS_COUNT}:
            raise ValueError(
                f"TrueEffect.shift_logit has {len(shifts)} values; there are {CLASS_COUNT} size classes. "
                "Give one number, or one for each class."
            )
        for shift in shifts:
            require_within("TrueEffect.shift_logit", shift, -10.0, 10.0)
        require_within("TrueEffect.minutes_ratio", self.minutes_ratio, 1e-3, 1e3)
        require_within("TrueEffect.black_sand_ratio", self.black_sand_ratio, 1e-3, 1e3)


@lru_cache(maxsize=1_024)
def recovery_logits(gear: SimulatedGear, changes: tuple[TrueEffect, ...]) -> Numbers:
    """Give the logit of what each arm would keep, class by class, in a run without any luck; shape (arms, 10).

    Row 0 is the baseline; `changes` has one for each arm after it, none for a one-armed audit. Shifting recovery on the
    logit scale is assumed for simulation, no source.
    """
    share = np.asarray(gear.recovery)
    baseline = np.log(share / (1 - share))
    logits = np.stack([baseline, *(baseline + np.asarray(change.shift_logit) for change in changes)])
    logits.flags.writeable = False  # whoever has them from the cache can't change them
    return logits


def one_effect_an_arm(change: TrueEffect | tuple[TrueEffect, ...], *, arms: int) -> tuple[TrueEffect, ...]:
    """Make sure that there is one effect for each of the `arms` after the baseline; another number is refused."""
    changes = change if isinstance(change, tuple) else (change,)
    if len(changes) != arms - 1:
        raise ValueError(
            f"change holds {len(changes)} for {arms} arms; every arm after the baseline needs one. Give {arms - 1}."
        )
    return changes
