"""Many trials on invented dirt -> what the measure reads of every run of them."""

from dataclasses import dataclass, fields
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from schemas.run import LEAST_WEIGHED
from trials.measures.measure import Measure
from trials.noise.situation import Situation
from trials.simulation.arrays import IntArray
from trials.simulation.gear import TrueEffect
from trials.simulation.noise_model import Noise
from trials.simulation.runs import SimulatedRuns, draw_feed, simulate_gold, simulate_runs
from trials.simulation.schedule import Schedule, block_schedule, paired_schedule
from trials.simulation.streams import Seed, Streams
from trials.simulation.tracers import simulate_tracers
from trials.simulation.work_up import RunGold
from trials.statistics.arrays import Numbers
from trials.statistics.balanced_draw import balanced_blocks, words_of_blocks

# A field of a run, as the measures name it, and what stands for it in simulated runs where that has another name.
SIMULATED_AS = MappingProxyType(
    {
        "gold_mg": "gold_kept_mg",
        "tails_gold_mg": "gold_tails_mg",
        "grains": "grains_kept",
        "kept": "tracers_kept",
        "seeded": "tracers_fed",
    }
)


@dataclass(frozen=True, slots=True, eq=False)
class Readings:
    """What one measure reads of every run of many trials.

    baseline, changed: Shape (trials, pairs, readings of a run), in the order of the measure's inputs: mg or counts.
    changed_first: Whether the changed half of a pair ran first, shape (trials, pairs).
    fed_g: Dirt fed to the two halves of a pair, the baseline's first, shape (trials, pairs, 2).
    """

    baseline: Numbers
    changed: Numbers
    changed_first: npt.NDArray[np.bool_]
    fed_g: Numbers

    def first(self, pairs: int | None) -> "Readings":
        """The same trials as they stood after so many pairs; None for all."""
        return Readings(*(getattr(self, field.name)[:, :pairs] for field in fields(self)))

    def in_blocks(self) -> "BlockReadings":
        """The same runs as blocks of two arms."""
        place = np.stack([self.changed_first, ~self.changed_first], axis=-1)  # 0 or 1 in its pair, the baseline's first
        turn = 1 + 2 * np.arange(place.shape[1])[:, np.newaxis] + place
        return BlockReadings(np.stack([self.baseline, self.changed], axis=2), turn, self.fed_g)


@dataclass(frozen=True, slots=True, eq=False)
class BlockReadings:
    """What one measure reads of every run of many graded trials.

    runs: Shape (trials, blocks, arms, readings of a run), the baseline first, in the order of the measure's inputs.
    turn: Place of each run in its trial, shape (trials, blocks, arms).
    fed_g: Dirt fed to it, the same shape.
    """

    runs: Numbers
    turn: IntArray
    fed_g: Numbers

    def of_one(self, trial: int, blocks: int | None) -> "BlockReadings":
        """One of the trials as it stood after so many blocks, None for all; without the axis of trials."""
        return BlockReadings(*(getattr(self, field.name)[trial, :blocks] for field in fields(self)))

    def beside_baseline(self, arm: int) -> Readings:
        """One level beside the baseline, block by block, as the pairs of a trial of two arms."""
        first = self.turn[..., arm] < self.turn[..., 0]
        return Readings(self.runs[:, :, 0], self.runs[:, :, arm], first, self.fed_g[..., [0, arm]])


def draw_orders(rng: np.random.Generator, trials: int, pairs: int) -> npt.NDArray[np.bool_]:
    """In which pairs, shape (trials, pairs), does the changed half run first? A fresh balanced draw for each trial.

    In half of the pairs, the odd one to either side by a coin, every such sequence as likely (see
    `trials.statistics.balanced_draw`, which draws the order of a real trial).

    >>> draw_orders(np.random.default_rng(1), 4, 5).sum(axis=-1).tolist()
    [2, 3, 3, 3]
    """
    extra = rng.integers(0, 2, trials) if pairs % 2 else np.zeros(trials, dtype=np.int64)
    sorted_out = np.arange(pairs) < (pairs // 2 + extra)[:, np.newaxis]
    return rng.permuted(sorted_out, axis=1)


def simulate_readings(
    seed: np.random.SeedSequence, *, measure: Measure, trials: int, pairs: int, situation: Situation, change: TrueEffect
) -> Readings:
    """Run so many trials on invented dirt and read what the measure needs; what no scale shows is none found.

    The same seed always gives the same readings, and every measure the same dirt and habits. Each pair has a session of
    its own, and one feeder feeds all. Tracers are drawn without any dirt.
    """
    for_order, for_runs = (int(word) for word in seed.generate_state(2, np.uint64))
    schedule = paired_schedule(draw_orders(np.random.default_rng(for_order), trials, pairs))
    runs, fed_g = _run(for_runs, measure, schedule, situation, change)
    return BlockReadings(runs, schedule.turn, fed_g).beside_baseline(1)


def simulate_blocks(
    seed: np.random.SeedSequence,
    *,
    measure: Measure,
    trials: int,
    blocks: int,
    situation: Situation,
    changes: tuple[TrueEffect, ...],
) -> BlockReadings:
    """Run so many graded trials on invented dirt, one of the `changes` a level, and read what the measure needs.

    As `simulate_readings`; every trial has a balanced draw of its own, as a real one has.
    """
    for_order, for_runs = (int(word) for word in seed.generate_state(2, np.uint64))
    arms = len(changes) + 1
    words = np.random.default_rng(for_order).integers(
        np.iinfo(np.uint64).max, size=(trials, words_of_blocks(blocks, arms)), dtype=np.uint64
    )
    schedule = block_schedule(balanced_blocks(words, blocks, arms))
    runs, fed_g = _run(for_runs, measure, schedule, situation, changes)
    return BlockReadings(runs, schedule.turn, fed_g)


def readings_of(measure: Measure, runs: RunGold) -> Numbers:
    """What a measure reads of simulated runs, shape (..., readings of a run)."""
    return np.stack([getattr(runs, SIMULATED_AS.get(name, name)) for name in measure.inputs], axis=-1).astype(float)


def division_mg(measure: Measure, noise: Noise) -> float | None:
    """One division of the gold scale in mg; None where the measure is counted or the scale does not round."""
    return 1000.0 * noise.scale_division_g if measure.weighs and noise.scale_division_g else None


def _reads_gold_alone(measure: Measure) -> bool:
    return {SIMULATED_AS.get(name, name) for name in measure.inputs} <= RunGold.__dataclass_fields__.keys()


def _run(
    seed: int, measure: Measure, schedule: Schedule, situation: Situation, change: TrueEffect | tuple[TrueEffect, ...]
) -> tuple[Numbers, Numbers]:
    """What the measure reads of every run, (trials, blocks, arms, readings of a run), and the dirt fed to it."""
    noise, tracers, gear = situation.noise, situation.tracers, situation.gear
    if not measure.is_seeded and not _reads_gold_alone(measure):
        runs = simulate_on(situation, seed, schedule, change)
        return _shown(readings_of(measure, runs)), runs.fed_g
    if not measure.is_seeded:
        gold, feed = simulate_gold(
            seed,
            schedule=schedule,
            dirt=situation.dirt,
            noise=noise,
            gear=gear,
            change=change,
            weighed="none" if not measure.weighs else "all" if measure.needs_tails else "kept",
        )
        return _shown(readings_of(measure, gold)), feed.fed_g
    # The same tracers, and the same feed, as `simulate_runs` draws from this seed.
    kept = simulate_tracers(seed, schedule=schedule, noise=noise, tracers=tracers, gear=gear, change=change)
    drawn = {"kept": kept.sum(axis=-1), "seeded": np.full(schedule.shape, tracers.fed_in_all)}
    feed = draw_feed(Streams.from_seed(seed).feed, situation.dirt, schedule)
    return _shown(np.stack([drawn[name] for name in measure.inputs], axis=-1).astype(float)), feed.fed_g


def simulate_on(
    situation: Situation, seed: Seed, schedule: Schedule, change: TrueEffect | tuple[TrueEffect, ...]
) -> SimulatedRuns:
    """Run such a schedule where the situation says: on its dirt, with its habits, gear and tracers."""
    return simulate_runs(
        seed,
        schedule=schedule,
        dirt=situation.dirt,
        noise=situation.noise,
        gear=situation.gear,
        change=change,
        tracers=situation.tracers,
    )


def _shown(read: Numbers) -> Numbers:
    """The readings with what is less than any scale shows as none."""
    read[read < LEAST_WEIGHED] = 0.0
    return read
