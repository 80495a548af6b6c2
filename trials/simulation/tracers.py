"""Counted tracer grains: so many in, so many kept."""

from dataclasses import dataclass

import numpy as np

from trials.simulation.arrays import IntArray, require_within
from trials.simulation.dirt import CLASS_COUNT
from trials.simulation.gear import SimulatedGear, TrueEffect, one_effect_an_arm, recovery_logits
from trials.simulation.noise_model import Noise
from trials.simulation.run_effects import draw_run_effects
from trials.simulation.schedule import Schedule
from trials.simulation.streams import Seed, Streams
from trials.simulation.work_up import count_each
from trials.statistics.arrays import Numbers


@dataclass(frozen=True)
class SeededTracers:
    """What is seeded into every run.

    fed: Grains of each size, 0 to 5,000.
    size_classes: Which class each size behaves like, 0 (coarsest) to 9; 5 is kept to 90 % by the unchanged gear.

    >>> SeededTracers(fed=25, size_classes=(1, 3, 5, 7)).fed_in_all
    100
    """

    fed: int = 100
    size_classes: tuple[int, ...] = (5,)

    def __post_init__(self) -> None:
        require_within("SeededTracers.fed", self.fed, 0, 5_000)
        for size_class in self.size_classes:
            require_within("SeededTracers.size_classes", size_class, 0, CLASS_COUNT - 1)

    @property
    def fed_in_all(self) -> int:
        """Return the grains seeded into one run, all sizes."""
        return self.fed * len(self.size_classes)


def simulate_tracers(
    rng: Seed,
    *,
    schedule: Schedule,
    noise: Noise,
    tracers: SeededTracers,
    gear: SimulatedGear = SimulatedGear(),  # noqa: B008 - frozen, so one shared default is safe
    change: TrueEffect | tuple[TrueEffect, ...] = TrueEffect(),  # noqa: B008 - as above
) -> IntArray:
    """Draw how many tracers of each size each run keeps: the quick way, without any dirt.

    As `simulate_runs`: the same seed gives the same tracers, shape (trials, pairs, arms, sizes). Process, session,
    operator, drift and the error of the count act; the rest of the noise does not touch tracers. Each run's are taken
    to be told apart: none carry over. What is seeded is taken as known: it is counted in grain by grain.

    >>> from trials.simulation.schedule import paired_schedule
    >>> order = paired_schedule([True, False])
    >>> simulate_tracers(1, schedule=order, noise=Noise(), tracers=SeededTracers(100))[..., 0]
    array([[[92, 92],
            [91, 94]]])
    """
    streams = Streams.from_seed(rng)
    changes = one_effect_an_arm(change, arms=schedule.shape[2])
    effects = draw_run_effects(streams.effects, noise, schedule)
    return draw_tracers(streams, tracers, recovery_logits(gear, changes), effects, noise)


def draw_tracers(
    streams: Streams, tracers: SeededTracers, arm_logits: Numbers, effects: Numbers, noise: Noise
) -> IntArray:
    """Draw how many tracers are counted of each run, given how easy it was: binomial by size, then the count's error.

    `arm_logits` (arms, 10) is the logit of recovery without luck, `effects` (trials, pairs, arms) the run effects on
    it.
    """
    logits = arm_logits[:, list(tracers.size_classes)] + effects[..., np.newaxis]
    kept = streams.tracers.binomial(tracers.fed, 1.0 / (1.0 + np.exp(-logits)))
    return count_tracers(streams, tracers, kept, noise)


def count_tracers(streams: Streams, tracers: SeededTracers, kept: IntArray, noise: Noise) -> IntArray:
    """Draw what is written down of so many tracers of each size; never more than were seeded: that is counted again."""
    if not noise.counting_cv:
        return kept
    cv = np.asarray(noise.counting_cv)[list(tracers.size_classes)]
    return np.minimum(count_each(streams.counting, kept, cv), tracers.fed)
