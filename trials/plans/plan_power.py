"""What may a plan hope to find? Its scatter, the pairs its line needs, and the smallest difference it finds."""

import math
from dataclasses import dataclass
from functools import cached_property

from schemas import Trial
from trials.measures.catalogue import measure_named
from trials.measures.measure import Measure
from trials.noise.budget import Budget
from trials.noise.effect import shift_reaching
from trials.noise.situation import Situation, situation_of
from trials.plans.effect_size import budget_at, effect_size
from trials.plans.planned_scatter import PlannedScatter, typed_scatter
from trials.plans.power import (
    FEWEST_PLANNED,
    MOST_PLANNED,
    SELDOM_FOUND,
    USUAL_POWER,
    chance_to_find,
    fewest_pairs,
    pairs_for,
    smallest_found,
)
from trials.plans.stopped import chance_stopped
from trials.simulation.gear import TrueEffect
from trials.statistics.blocks_needed import block_power, blocks_needed, smallest_findable_in_blocks
from trials.statistics.called_better import chance_called_better
from trials.statistics.pairs_needed import smallest_findable
from trials.verdicts.analysis import LEVEL, LEVEL_AFTER_LOOK


@dataclass(frozen=True)
class PlanPower:
    """What a plan may hope to find, on the measure's scale.

    budget: The noise foretold for a trial of so many pairs; None where neither gold nor tracers were guessed.
    scatter: The SD of pair differences to plan with; None where nothing tells it.
    line: The worth-having line; None where none was set.
    change: What would truly bring that line in a usual trial; None where nothing can, or no line was set.
    level: Of the interval that decides: 0.95, or 0.96 with an early look.
    """

    trial: Trial
    measure: Measure
    situation: Situation
    budget: Budget | None
    scatter: PlannedScatter | None
    line: float | None
    change: TrueEffect | None
    level: float

    @property
    def is_out_of_reach(self) -> bool:
        """Whether no change can bring the line, as 20 points more where 90 % is kept."""
        return bool(self.line) and self.budget is not None and self.change is None

    @cached_property
    def needed(self) -> int | None:
        """Pairs that call a change at the line better 4 times in 5; None where 60 are too few, or nothing is known."""
        return None if self.chance_of(MOST_PLANNED) is None else fewest_pairs(self._found_by, self._needed_by_luck)

    @cached_property
    def needed_without_limit(self) -> int | None:
        """The same with no end to a plan; None over a million too, and where checks stop so many that none would do."""
        if self.needed is not None or self.stopped_of(MOST_PLANNED) > SELDOM_FOUND:
            return self.needed
        return self._needed_by_luck

    @property
    def _needed_by_luck(self) -> int | None:
        """Pairs, or blocks, for the line if no check stopped any trial."""
        if not self.line or self.scatter is None or self.is_out_of_reach:
            return None
        if self._in_blocks:
            return blocks_needed(self._effect, len(self.trial.arms))
        if self._foretold is not None:
            effect = effect_size(self.trial.measure, self.situation, self._foretold).effect
            return pairs_for(effect, level=self.level)
        return pairs_for(self.line / self.scatter.sd, level=self.level) if self.scatter.sd > 0 else FEWEST_PLANNED

    @cached_property
    def findable(self) -> float | None:
        """The smallest difference that the planned pairs find 4 times in 5.

        None under 2 pairs, with no scatter, or where no gain so large is left to be had.
        """
        if self.scatter is None or self.trial.pairs < 2:
            return None
        if self._in_blocks:
            return self.scatter.sd * smallest_findable_in_blocks(self.trial.pairs, len(self.trial.arms))
        if self.scatter.origin == "noise budget":
            return smallest_found(self.trial.measure, self.situation, self.trial.pairs, level=self.level)
        return self.scatter.sd * float(smallest_findable(self.trial.pairs, power=USUAL_POWER, level=self.level))

    @property
    def sd_at_line(self) -> float | None:
        """The SD of pair differences with a change at the line on trial; the scatter where that is not foretold."""
        if self.scatter is None or not self.line or self._foretold is None:
            return None if self.scatter is None else self.scatter.sd
        effect = effect_size(self.trial.measure, self.situation, self._foretold).effect
        return self.line / effect if effect > 0 else self.scatter.sd

    @cached_property
    def chance(self) -> float | None:
        """How often the planned pairs call a change at the line better; None where that can't be told."""
        return None if self.trial.pairs < 2 else self.chance_of(self.trial.pairs)

    def chance_of(self, pairs: int) -> float | None:
        """The same of so many pairs, 2 or more."""
        if not self.line or self.scatter is None or self.is_out_of_reach:
            return None
        return self._found_by(pairs)

    def _found_by(self, pairs: int) -> float:
        if self._in_blocks:
            return block_power(self._effect, len(self.trial.arms), pairs) * (1.0 - self.stopped_of(pairs))
        if self._foretold is not None:
            return chance_to_find(self.trial.measure, self.situation, self._foretold, pairs, level=self.level)
        return chance_called_better(self._effect, pairs, level=self.level) * (1.0 - self.stopped_of(pairs))

    @property
    def _effect(self) -> float:
        """The line over the scatter of pairs; without bound where they never differ."""
        sd = 0.0 if self.scatter is None else self.scatter.sd
        return math.inf if not sd else (self.line or 0.0) / sd

    @property
    def pairs_of_one_level(self) -> int | None:
        """Pairs that one level of a graded trial against the baseline alone would need for the line; None unknown."""
        if not self.line or self.scatter is None or not self.scatter.sd:
            return None
        return pairs_for(self._effect, level=self.level)

    @property
    def _in_blocks(self) -> bool:
        """Several levels are compared with one baseline, so that the limits are joint."""
        return self.trial.kind == "graded"

    def stopped_of(self, pairs: int) -> float:
        """How often a check would stop a trial of so many pairs; 0 where neither gold nor tracers were guessed."""
        if self.budget is None:
            return 0.0
        return chance_stopped(self.trial.measure, self.situation, self.change or TrueEffect(), pairs)

    @property
    def _foretold(self) -> TrueEffect | None:
        """The change at the line, where it is the noise budget that foretells how it is seen in pairs."""
        if self._in_blocks:
            return None
        return self.change if self.scatter is not None and self.scatter.origin == "noise budget" else None


def power_of_plan(trial: Trial, earlier: PlannedScatter | None = None) -> PlanPower:
    """What may this plan hope to find?

    The scatter is what was typed, else that of the `earlier` trial of its `guess.scatter_from`, else the noise budget.

    Raises ValueError at a typed scatter in the unit of another sort of measure.

    >>> from schemas import Gear, Lot
    >>> from trials.plans.planned_scatter import scatter_from_trial
    >>> trial = Trial(name="mat", measure="gold_mass", worth_having=20.0, pairs=6, lots=(Lot(kind="natural"),),
    ...               gear=Gear(kind="sluice"))
    >>> power_of_plan(trial, scatter_from_trial("T0", sd=0.10, pairs=6)).needed
    8
    """
    measure = measure_named(trial.measure)
    situation = situation_of(trial)
    budget = budget_at(trial.measure, situation, trial.pairs) if _can_be_reckoned(trial, situation) else None
    scatter = typed_scatter(trial.guess, measure) or earlier
    if scatter is None and budget is not None and math.isfinite(budget.sd_pair):
        scatter = PlannedScatter(budget.sd_pair, budget.sd_pair, "noise budget")
    line = None if trial.worth_having is None else measure.line(trial.worth_having)
    return PlanPower(
        trial=trial,
        measure=measure,
        situation=situation,
        budget=budget,
        scatter=scatter,
        line=line,
        change=shift_reaching(trial.measure, line, situation) if line and budget is not None else None,
        level=LEVEL if trial.look_after is None else LEVEL_AFTER_LOOK,
    )


def _can_be_reckoned(trial: Trial, situation: Situation) -> bool:
    measure = measure_named(trial.measure)
    fed = situation.tracers.fed > 0 if measure.is_seeded else situation.dirt.gold_mg > 0
    return fed and measure.is_simulated
