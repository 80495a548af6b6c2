"""Where a trial would be run: on which dirt, with which habits, on which gear. Guesses of the person who plans."""

from dataclasses import dataclass, field

from trials.simulation.dirt import Dirt
from trials.simulation.gear import Gear
from trials.simulation.noise import TYPICAL, Noise
from trials.simulation.tracers import Tracers


@dataclass(frozen=True, slots=True)
class Situation:
    """All that the noise model needs to know of a trial that is not yet run.

    Attributes
    ----------
    dirt
        Gold, sizes and splitting of what one run is fed.
    noise
        Habits, scale and work-up of the tails.
    gear
        The unchanged gear.
    tracers
        Counted grains seeded into every run; `fed` 0 where there are none.

    Examples
    --------
    >>> Situation(dirt=Dirt(gold_mg=9)).noise.scale_sd_g
    0.002
    """

    dirt: Dirt = field(default_factory=Dirt)
    noise: Noise = TYPICAL
    gear: Gear = field(default_factory=Gear)
    tracers: Tracers = field(default_factory=lambda: Tracers(fed=0))
