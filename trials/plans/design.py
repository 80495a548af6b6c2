"""One design of a trial: what is weighed or counted, how many pairs find the change, and what stands in its way."""

import dataclasses
import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from schemas import MeasureName
from trials.fairness.thresholds import SCALE_STEPS_STOP, ZERO_RUNS_STOP_PERCENT
from trials.measures.catalogue import measure_named
from trials.noise.budget import Budget
from trials.noise.grains import USUAL_PAIRS
from trials.noise.situation import Situation
from trials.plans import power
from trials.plans.brief import DesignBrief
from trials.plans.effect_size import budget_at, effect_size
from trials.plans.stopped import chance_stopped, middle_run, share_of_zeros
from trials.simulation.tracers import SeededTracers
from trials.statistics.blocks_needed import MOST_BLOCKS, blocks_needed
from trials.wording.lists import count_of
from trials.wording.numbers import figures, mass_words

TRACER_LABELS = ("10/14", "14/20", "20/30", "30/40", "40/50", "50/70", "70/100", "100/140", "140/200", "200/270")
"""The ten size classes of the noise model by the ASTM E11 sieves that bound them."""
SECONDS_A_GRAIN = 3.0
MOST_COUNTED = 1_000.0
"""Grains that anyone counts after one run; our default, not a finding."""
# A check of the verdict may stop a trial by luck alone; a way is offered where that happens to 1 trial in 20 or fewer.
_ONE_IN_TWENTY = 1.645


@dataclass(frozen=True)
class Design:
    """One design of the trial.

    brief: What is in hand, and the change to be found.
    charges: How many times the usual charge is fed to one run.
    tracers: Seeded into one run; None: those of the brief.
    """

    brief: DesignBrief
    measure: MeasureName
    charges: float = 1.0
    tracers: SeededTracers | None = None

    @cached_property
    def situation(self) -> Situation:
        """As asked, with this charge and these tracers; of tracers, the charge makes no odds to what they tell."""
        asked = self.brief.situation
        if measure_named(self.measure).is_seeded:
            return dataclasses.replace(asked, tracers=self.tracers or asked.tracers)
        gold_mg, fed_g = asked.dirt.gold_mg * self.charges, asked.dirt.fed_g * self.charges
        dirt = dataclasses.replace(asked.dirt, gold_mg=gold_mg, fed_g=fed_g)
        return dataclasses.replace(asked, dirt=dirt)

    @property
    def charge_g(self) -> float:
        """Dirt fed to one run."""
        return self.brief.situation.dirt.fed_g * self.charges

    @property
    def has_own_charge(self) -> bool:
        """Whether one run is fed the very charge that was typed."""
        return self.brief.has_own_charge and self.charges == 1.0

    @property
    def run_minutes(self) -> float:
        """Feeding one run of this charge."""
        return self.brief.run_minutes * self.charges

    @property
    def minutes_a_run(self) -> float:
        """Running, cleaning up, going over the tails and counting."""
        measure = measure_named(self.measure)
        tails = self.run_minutes if measure.needs_tails else 0.0
        counted = self.tracers_a_run if measure.is_seeded else 0.0 if measure.weighs else self.budget.expected
        return self.run_minutes + self.brief.cleanup_minutes + tails + counted * SECONDS_A_GRAIN / 60.0

    @cached_property
    def budget(self) -> Budget:
        """Where the noise of two unchanged arms is from, in a usual trial."""
        return budget_at(self.measure, self.situation)

    @cached_property
    def sd_pair(self) -> float:
        """SD of a pair difference of two unchanged arms, in a trial of the pairs it needs."""
        return budget_at(self.measure, self.situation, self.pairs or USUAL_PAIRS).sd_pair

    @cached_property
    def difference(self) -> float:
        """What the change truly does on the measure's scale, in a usual trial."""
        return effect_size(self.measure, self.situation, self.brief.change).difference

    @cached_property
    def pairs(self) -> int | None:
        """Pairs, or blocks of a graded plan, that find it 4 times in 5, 3 or more; None where 60 are too few."""
        if self.brief.arms > 2:
            return power.blocks_to_find(self.measure, self.situation, self.brief.change, self.brief.arms)
        return power.pairs_to_find(self.measure, self.situation, self.brief.change)

    @cached_property
    def pairs_by_luck(self) -> int | None:
        """Pairs it needs with no end to a plan, if no check stopped any trial; None over a million."""
        if self.pairs is not None:
            return self.pairs
        if self.brief.arms > 2:
            effect = power.effect_in_blocks(self.measure, self.situation, self.brief.change)
            return blocks_needed(effect, self.brief.arms) if effect else None
        return power.pairs_for(effect_size(self.measure, self.situation, self.brief.change).effect)

    @property
    def pairs_unlimited(self) -> int | None:
        """The same with the checks; None over a million, or where they stop too many trials for any number to do."""
        if self.pairs is not None:
            return self.pairs
        stopped = chance_stopped(self.measure, self.situation, self.brief.change, power.MOST_PLANNED)
        return None if stopped > power.SELDOM_FOUND else self.pairs_by_luck

    @property
    def dirt_g(self) -> float | None:
        """Dirt for all runs."""
        return None if self.pairs is None else float(self.brief.arms) * self.pairs * self.charge_g

    @property
    def minutes(self) -> float | None:
        """Time for all runs."""
        return None if self.pairs is None else float(self.brief.arms) * self.pairs * self.minutes_a_run

    @property
    def least_minutes(self) -> float:
        """Time for the runs of the fewest pairs that are planned; it takes no less."""
        return float(self.brief.arms) * power.FEWEST_PLANNED * self.minutes_a_run

    @property
    def _fewest_fit(self) -> bool:
        """Whether there are dirt and time for the fewest pairs that are planned."""
        dirt_g = float(self.brief.arms) * power.FEWEST_PLANNED * self.charge_g
        time = self.brief.time_minutes
        return dirt_g <= self.brief.lot_g * (1 + 1e-9) and (time is None or self.least_minutes <= time)

    @property
    def tracers_a_run(self) -> int:
        """Counted grains seeded into one run; 0 for other measures."""
        return self.situation.tracers.fed_in_all if measure_named(self.measure).is_seeded else 0

    @property
    def tracer_size(self) -> str:
        """Their size class by ASTM sieves; blank for other measures."""
        return TRACER_LABELS[self.situation.tracers.size_classes[0]] if measure_named(self.measure).is_seeded else ""

    @cached_property
    def steps(self) -> float | None:
        """Scale divisions under the gold of the middle run, in all but 1 trial of 20; None for what is counted."""
        middle = middle_run(self.measure, self.situation, self.brief.change, self.pairs or power.MOST_PLANNED)
        return None if middle is None else middle.at_least(_ONE_IN_TWENTY)

    @cached_property
    def zeros_percent(self) -> float:
        """Runs that find none, %, in all but 1 trial of 20."""
        pairs = self.pairs or power.MOST_PLANNED
        share = share_of_zeros(self.measure, self.situation, self.brief.change, pairs)
        return 100.0 * (share + _ONE_IN_TWENTY * math.sqrt(share * (1.0 - share) / (2 * pairs)))

    @cached_property
    def hindrances(self) -> tuple[str, ...]:
        """Why it can't answer, each in a few words; none where it can."""
        return tuple(says for rule in HINDRANCES if (says := rule(self)) is not None)

    @cached_property
    def answers(self) -> bool:
        """Whether it can answer with what is in hand; what is known at once is looked at first."""
        return self._fewest_fit and all(
            rule(self) is None for rule in (_too_few_tracers, _too_many_grains, *HINDRANCES)
        )

    @property
    def shortfall(self) -> float:
        """How far it is from answering: the worst ratio of need to have, 1 or less where it can; large where none."""
        pairs = self.pairs_by_luck
        if pairs is None:
            return math.inf
        ratios = [
            pairs / power.MOST_PLANNED,
            self.brief.arms * pairs * self.charge_g / self.brief.lot_g,
            self.zeros_percent / ZERO_RUNS_STOP_PERCENT,
        ]
        if self.brief.time_minutes is not None:
            ratios.append(self.brief.arms * pairs * self.minutes_a_run / self.brief.time_minutes)
        if self.steps is not None:
            ratios.append(SCALE_STEPS_STOP / max(self.steps, 1e-9))
        if self.brief.tracers is not None and self.tracers_a_run:
            ratios.append(self.tracers_a_run / max(self.brief.tracers, 1e-9))
        if measure_named(self.measure).what == "native grains":
            ratios.append(self.budget.expected / MOST_COUNTED)
        return max(ratios)


def _too_many_pairs(design: Design) -> str | None:
    needed, what = design.pairs_by_luck, design.brief.what
    if needed is not None and needed <= power.MOST_PLANNED:
        return None
    many = "over a million" if what == "pair" else f"over {MOST_BLOCKS:,}"
    return f"{many if needed is None else f'{needed:,}'} {what}s ({power.MOST_PLANNED} is the most)"


def _too_little_dirt(design: Design) -> str | None:
    if design.dirt_g is None or design.dirt_g <= design.brief.lot_g * (1 + 1e-9):
        return None
    return f"{mass_words(design.dirt_g)} of dirt (there are {mass_words(design.brief.lot_g)})"


def _too_little_time(design: Design) -> str | None:
    if design.minutes is None or design.brief.time_minutes is None or design.minutes <= design.brief.time_minutes:
        return None
    return f"{figures(design.minutes / 60, 2)} h (there are {figures(design.brief.time_minutes / 60)})"


def _too_coarse_a_scale(design: Design) -> str | None:
    if design.steps is None or design.steps >= SCALE_STEPS_STOP:
        return None
    return f"{figures(design.steps, 2)} steps of the scale in the middle run ({SCALE_STEPS_STOP:g} is the least)"


def _too_many_zeros(design: Design) -> str | None:
    if design.zeros_percent <= ZERO_RUNS_STOP_PERCENT:
        return None
    zeros = min(design.zeros_percent, 100.0)
    return f"up to {zeros:.0f} % of the runs find none ({ZERO_RUNS_STOP_PERCENT:g} % is the most)"


def _too_many_grains(way: Design) -> str | None:
    if measure_named(way.measure).what != "native grains" or way.budget.expected <= MOST_COUNTED:
        return None
    return f"{round(way.budget.expected, -2):,.0f} grains a run, too many to count"


def _too_few_tracers(way: Design) -> str | None:
    if way.brief.tracers is None or way.tracers_a_run <= way.brief.tracers:
        return None
    return f"{way.tracers_a_run} tracer grains a run (there are {way.brief.tracers})"


HINDRANCES: tuple[Callable[[Design], str | None], ...] = (
    _too_many_pairs,
    _too_little_dirt,
    _too_little_time,
    _too_coarse_a_scale,
    _too_many_zeros,
    _too_many_grains,
    _too_few_tracers,
)


def design_words(way: Design) -> str:
    """Say a design in a few words.

    >>> from trials.simulation.gear import TrueEffect
    >>> brief = DesignBrief(Situation(), TrueEffect(), lot_g=7_500.0, run_minutes=10.0, cleanup_minutes=5.0)
    >>> design_words(Design(brief, "tracers", tracers=SeededTracers(fed=100, size_classes=(7,))))
    '100 tracer grains of 100/140 mesh a run, counted'
    """
    if way.tracers_a_run:
        return f"{count_of(way.tracers_a_run, 'tracer grain')} of {way.tracer_size} mesh a run, counted"
    return measure_named(way.measure).words.taken
