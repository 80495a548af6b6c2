"""Runs with nothing changed, laid out as habits lay them out: in pairs, on two days, or twice over the same dirt."""

import dataclasses
import math
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from trials.noise.situation import Situation
from trials.rehearsal.rehearsal import Scenario
from trials.rehearsal.simulated_trials import draw_orders, simulate_on
from trials.simulation.arrays import IntArray
from trials.simulation.gear import TrueEffect
from trials.simulation.grains import draw_grains
from trials.simulation.run_effects import draw_run_effects
from trials.simulation.runs import SimulatedRuns, draw_feed
from trials.simulation.schedule import Schedule, paired_schedule
from trials.simulation.streams import Streams
from trials.simulation.tracers import SeededTracers, count_tracers
from trials.simulation.work_up import work_up
from trials.statistics.arrays import Numbers

BARE_TRACERS: Final = 100
"""Tracers seeded where a plan names none, for those who take every measure there is; our default."""
HABITS_SEED: Final = 1_000_000
"""What the parts of a seed are numbered on from, so that no habit looks at the runs of the rehearsal itself."""


@dataclass(frozen=True, slots=True)
class HabitPlan(Scenario):
    """What is simulated, whatever the habit; the line and the look are those of the fair trial.

    day_richness_sd: SD of the natural log of richness between two days' dirt; 0 where both days run one lot.
    feeds_tails: Whether the dirt is tails already, so that any pass over it is a second one.
    """

    day_richness_sd: float = 0.0
    feeds_tails: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class SecondPass:
    """Dirt run once, and its tails once more over the same gear, stripped in between; arrays of shape (trials,).

    second_grains, second_tracers: Native grains and tracers counted of the second pass.
    """

    first_mg: Numbers
    second_mg: Numbers
    second_grains: IntArray
    second_tracers: IntArray

    @property
    def shares(self) -> Numbers:
        """Gold of the second pass over that of the first, where the first weighed any."""
        weighed = self.first_mg > 0
        shares: Numbers = self.second_mg[weighed] / self.first_mg[weighed]
        return shares


class UnchangedRuns:
    """Runs of some trials of a plan with nothing changed; each sort is drawn once, when it is first asked for.

    plan: What is simulated.
    part, times: Which trials of it: the part's number from 0 makes their seed, and so many are drawn.
    """

    def __init__(self, plan: HabitPlan, part: int, times: int) -> None:
        self.plan = plan
        self.times = times
        seed = np.random.SeedSequence(plan.seed, spawn_key=(HABITS_SEED + part,))
        self._order, self._pairs, self._days, self._twice = seed.spawn(4)

    @property
    def tracers(self) -> SeededTracers:
        """The plan's tracers; a hundred where it has none."""
        own = self.plan.situation.tracers
        return own if own.fed else dataclasses.replace(own, fed=BARE_TRACERS)

    @cached_property
    def in_pairs(self) -> SimulatedRuns:
        """Fair pairs in a balanced order, each in a session of its own; shape (trials, pairs, 2)."""
        orders = draw_orders(np.random.default_rng(self._order), self.times, self.plan.pairs)
        return self._simulated(self._pairs, paired_schedule(orders), self.plan.situation)

    @cached_property
    def on_two_days(self) -> SimulatedRuns:
        """All runs of one set-up on one day, all of the other on the next; shape (trials, 2 days, pairs).

        A day is one session. Each day has dirt of its own, as rich as the plan lets two days differ.
        """
        shape = (self.times, 2, self.plan.pairs)
        turn = np.arange(1, 2 * self.plan.pairs + 1).reshape(2, self.plan.pairs)
        day = np.array([[0], [1]])
        zeros = np.zeros(shape, dtype=np.int64)
        schedule = Schedule(turn=zeros + turn, session=zeros + day, feeder=zeros)
        cv = math.sqrt(math.expm1(self.plan.day_richness_sd**2))  # of a lognormal with that SD of its log
        dirt = dataclasses.replace(self.plan.situation.dirt, lot_cv=cv)
        return self._simulated(self._days, schedule, dataclasses.replace(self.plan.situation, dirt=dirt))

    def _simulated(self, seed: np.random.SeedSequence, schedule: Schedule, situation: Situation) -> SimulatedRuns:
        nothing = (TrueEffect(),) * (schedule.shape[2] - 1)
        with_tracers = dataclasses.replace(situation, tracers=self.tracers)
        return simulate_on(with_tracers, np.random.default_rng(seed), schedule, nothing)

    @cached_property
    def twice(self) -> SecondPass:
        """The dirt of one run, and its tails once more.

        Whether a grain is kept the second time is a new coin with the chance of its size class, in a run with luck of
        its own. A grain lost and then kept, (1 - p) p', is thrown apart from one kept at once, so that all can be drawn
        as Poisson numbers together (Kingman, Poisson Processes, 1993, sec. 5.1); where the split is worse than luck
        this leaves out that a rich half makes both passes rich.
        """
        situation = self.plan.situation
        noise = dataclasses.replace(situation.noise, carry_over=0.0)
        streams = Streams.from_seed(np.random.default_rng(self._twice))
        schedule = paired_schedule([False], trials=self.times)
        effects = draw_run_effects(streams.effects, noise, schedule)
        share = np.asarray(situation.gear.recovery)
        kept = 1.0 / (1.0 + np.exp(-(np.log(share / (1.0 - share)) + effects[..., np.newaxis])))
        found = kept.copy()
        found[:, :, 1] = (1.0 - kept[:, :, 0]) * kept[:, :, 1]
        richness = draw_feed(streams.feed, situation.dirt, schedule).richness[:, :, :1]
        fates = draw_grains(
            streams.grains, situation.dirt, noise, np.log(found / (1.0 - found)), np.repeat(richness, 2, axis=2)
        )
        gold = work_up(streams, schedule, noise, fates)
        chances = kept[:, 0][..., list(self.tracers.size_classes)]
        once = streams.tracers.binomial(self.tracers.fed, chances[:, 0])
        again = streams.tracers.binomial(self.tracers.fed - once, chances[:, 1])
        again = count_tracers(streams, self.tracers, again, noise)
        return SecondPass(
            first_mg=gold.gold_kept_mg[:, 0, 0],
            second_mg=gold.gold_kept_mg[:, 0, 1],
            second_grains=gold.grains_kept[:, 0, 1],
            second_tracers=again.sum(axis=-1),
        )
