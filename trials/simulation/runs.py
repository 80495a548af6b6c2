"""Whole runs of many trials at once: what was fed, kept, lost, weighed, counted and spent."""

from dataclasses import dataclass

import numpy as np

from trials.simulation.arrays import IntArray
from trials.simulation.dirt import Dirt
from trials.simulation.gear import SimulatedGear, TrueEffect, one_effect_an_arm, recovery_logits
from trials.simulation.grains import Weighed, draw_grains
from trials.simulation.noise_model import Noise
from trials.simulation.run_effects import draw_run_effects
from trials.simulation.schedule import Schedule
from trials.simulation.streams import Seed, Streams, lognormal
from trials.simulation.tracers import SeededTracers, draw_tracers
from trials.simulation.work_up import RunGold, work_up
from trials.statistics.arrays import Numbers


@dataclass(frozen=True, eq=False)
class RunCosts:
    """Costs of each run; every array has shape (trials, pairs, arms)."""

    minutes: Numbers
    water_l_min: Numbers
    black_sand_g: Numbers


def draw_costs(
    rng: np.random.Generator, noise: Noise, schedule: Schedule, gear: SimulatedGear, changes: tuple[TrueEffect, ...]
) -> RunCosts:
    """Draw what each run cost: all positive, independent of each other and of the gold.

    A faster feed shortens the run: minutes = gear minutes x arm ratio / feed rate over intended. `changes` holds one
    for each arm after the baseline. Source: assumed noise model, no source.
    """
    minutes_ratio = np.asarray([1.0, *(change.minutes_ratio for change in changes)])
    sand_ratio = np.asarray([1.0, *(change.black_sand_ratio for change in changes)])
    return RunCosts(
        minutes=gear.minutes * minutes_ratio / lognormal(rng, noise.feed_cv, schedule.shape),
        water_l_min=gear.water_l_min * lognormal(rng, noise.water_cv, schedule.shape),
        black_sand_g=gear.black_sand_g * sand_ratio * lognormal(rng, noise.black_sand_cv, schedule.shape),
    )


@dataclass(frozen=True, eq=False)
class Feed:
    """Dirt fed to each run; every array has shape (trials, pairs, arms).

    richness: Gold expected in it over that expected of the dirt at large.
    """

    fed_g: Numbers
    richness: Numbers


def draw_feed(rng: np.random.Generator, dirt: Dirt, schedule: Schedule) -> Feed:
    """Draw how much dirt, and how rich, each run got.

    A pair is one lot: its runs share the lot's richness, and a heavier half holds more gold in proportion. Source:
    assumed for simulation, no source.
    """
    trials, pairs, _ = schedule.shape
    lot = lognormal(rng, dirt.lot_cv, (trials, pairs, 1))
    mass = lognormal(rng, dirt.fed_cv, schedule.shape)
    return Feed(fed_g=dirt.fed_g * mass, richness=lot * mass)


@dataclass(frozen=True, eq=False)
class SimulatedRuns(RunGold):
    """Every run of every trial, all size classes together; each array has shape (trials, pairs, arms).

    grains_fed, grains_kept, gold_kept_true_mg, gold_tails_true_mg, gold_kept_mg, gold_tails_mg: As in `RunGold`.
    tracers_fed, tracers_kept: Counted tracers in and kept, all sizes.
    minutes, water_l_min, black_sand_g: As in `RunCosts`.
    """

    schedule: Schedule
    fed_g: Numbers
    tracers_fed: IntArray
    tracers_kept: IntArray
    minutes: Numbers
    water_l_min: Numbers
    black_sand_g: Numbers


def simulate_runs(
    rng: Seed,
    *,
    schedule: Schedule,
    dirt: Dirt,
    noise: Noise,
    gear: SimulatedGear = SimulatedGear(),  # noqa: B008 - frozen, so one shared default is safe
    change: TrueEffect | tuple[TrueEffect, ...] = TrueEffect(),  # noqa: B008 - as above
    tracers: SeededTracers = SeededTracers(fed=0),  # noqa: B008 - as above
) -> SimulatedRuns:
    """Draw what the runs of so many trials would show on such dirt, with such habits.

    rng: Seed, or a generator made from one. The same seed gives the same arrays; each part has its own stream, so
        another scale, cost or tracer leaves the grains as they were.
    noise: How far runs scatter: `LOW`, `TYPICAL`, `POOR`, or ``Noise()`` for the luck of the grains alone.
    change: What the change truly does; one for each arm after the baseline, so () for a one-armed audit.

    The first run of a trial starts in clean gear; gold held in the gear comes out with the next run, whatever
    its arm or session. No gold fed: no grains and no gold. 20,000 trials of 8 pairs take about 0.4 GB while
    they are drawn. Assumed noise model, no source; the single steps name theirs.

    >>> from trials.simulation.noise_model import TYPICAL
    >>> from trials.simulation.schedule import paired_schedule
    >>> order = paired_schedule([True, False])
    >>> runs = simulate_runs(41, schedule=order, dirt=Dirt(gold_mg=90), noise=TYPICAL)
    >>> runs.gold_kept_mg.round(1)
    array([[[68., 71.],
            [83., 73.]]])
    """
    streams = Streams.from_seed(rng)
    changes = one_effect_an_arm(change, arms=schedule.shape[2])
    effects = draw_run_effects(streams.effects, noise, schedule)
    gold, feed = _draw_gold(streams, schedule, dirt, noise, recovery_logits(gear, changes) + effects[..., np.newaxis])
    costs = draw_costs(streams.costs, noise, schedule, gear, changes)
    return SimulatedRuns(
        **vars(gold),
        **vars(costs),
        schedule=schedule,
        fed_g=feed.fed_g,
        tracers_fed=np.full(schedule.shape, tracers.fed_in_all),
        tracers_kept=draw_tracers(streams, tracers, recovery_logits(gear, changes), effects, noise).sum(axis=-1),
    )


def simulate_gold(
    rng: Seed,
    *,
    schedule: Schedule,
    dirt: Dirt,
    noise: Noise,
    gear: SimulatedGear,
    change: TrueEffect | tuple[TrueEffect, ...],
    weighed: Weighed = "all",
) -> tuple[RunGold, Feed]:
    """Draw the gold of the very runs of `simulate_runs`, and what was fed: the quick way, without costs and tracers.

    `weighed`: what is not wanted has masses of 0.
    """
    streams = Streams.from_seed(rng)
    changes = one_effect_an_arm(change, arms=schedule.shape[2])
    effects = draw_run_effects(streams.effects, noise, schedule)
    logits = recovery_logits(gear, changes) + effects[..., np.newaxis]
    return _draw_gold(streams, schedule, dirt, noise, logits, weighed=weighed)


def _draw_gold(
    streams: Streams, schedule: Schedule, dirt: Dirt, noise: Noise, logits: Numbers, *, weighed: Weighed = "all"
) -> tuple[RunGold, Feed]:
    feed = draw_feed(streams.feed, dirt, schedule)
    fates = draw_grains(streams.grains, dirt, noise, logits, feed.richness, weighed=weighed)
    return work_up(streams, schedule, noise, fates), feed
