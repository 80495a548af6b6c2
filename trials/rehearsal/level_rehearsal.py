"""What would a graded plan bring, time after time? How often each level is called better, and named to be used."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from trials.measures.catalogue import measure_named
from trials.rehearsal.judged import Codes
from trials.rehearsal.judged_levels import JudgedLevels, judge_levels_of_many
from trials.rehearsal.rehearsal import Rehearsal, Scenario, judged_of_all, part_sizes
from trials.rehearsal.simulated_trials import BlockReadings, division_mg, simulate_blocks
from trials.simulation.gear import TrueEffect
from trials.verdicts.outcome import BETTER


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelScenario(Scenario):
    """What is rehearsed of a graded plan; `pairs` are its blocks, and no look is taken.

    levels: Their names in scale order. changes: What each truly does.
    has_scale: Whether their order says anything.
    """

    levels: tuple[str, ...]
    changes: tuple[TrueEffect, ...]
    has_scale: bool = True

    @property
    def arms(self) -> int:
        """The baseline and every level."""
        return len(self.levels) + 1

    def blocks_of_part(self, part: int) -> BlockReadings:
        """Draw the trials of one part, the first being 0."""
        return simulate_blocks(
            np.random.SeedSequence(self.seed, spawn_key=(part,)),
            measure=measure_named(self.measure),
            trials=part_sizes(self.times, self.drawn_as_pairs)[part],
            blocks=self.pairs,
            situation=self.situation,
            changes=self.changes,
        )

    def judge_part(self, part: int, _size: int) -> JudgedLevels:
        """Draw the trials of one part and judge them."""
        measure = measure_named(self.measure)
        return judge_levels_of_many(
            measure,
            self.blocks_of_part(part),
            division=division_mg(measure, self.situation.noise),
            line=self.line,
            has_scale=self.has_scale,
        )


@dataclass(frozen=True, slots=True, eq=False)
class LevelsRehearsal(Rehearsal):
    """How the trials of one graded plan ended.

    means: Of the level that each verdict speaks of.
    level_codes: Index into `ENDINGS` for every level, shape (times, levels).
    to_use: Which level each trial would name as the one to use, from 0; -1 for none, shape (times,).
    """

    scenario: LevelScenario
    level_codes: Codes
    to_use: npt.NDArray[np.intp]

    @property
    def found(self) -> float:
        """Share of the trials, 0 to 1, that call the last level better: the one that gains where one does."""
        return self.better(len(self.scenario.levels) - 1)

    def better(self, level: int) -> float:
        """Share of the trials that call this level better, 0 to 1; the first level is 0."""
        return float(np.mean(self.level_codes[:, level] == BETTER))

    def named(self, level: int) -> float:
        """Share of the trials that name this level as the one to use, 0 to 1."""
        return float(np.mean(self.to_use == level))


def rehearse_levels(scenario: LevelScenario, on_progress: Callable[[int, int], None] | None = None) -> LevelsRehearsal:
    """How often would this graded plan say what, on such dirt and with such habits?

    As `rehearse` does of pairs: every trial has a balanced draw of its own and goes through the fit, the floor, the
    checks that simulated runs can set off, the joint limits and the rule of the verdict. The level to use is told
    without its costs, which are not simulated apart. `on_progress` is called with (trials done, `times`) after each
    part.

    Source: assumed noise model, no source; rehearsing a design by simulation is common practice.

    >>> from trials.noise.situation import Situation
    >>> from trials.simulation.tracers import SeededTracers
    >>> idle = LevelScenario("tracers", 4, Situation(tracers=SeededTracers(100)), times=2000,
    ...                      levels=("320", "220", "120"), changes=(TrueEffect(),) * 3)
    >>> rehearse_levels(idle).share("better") < 0.05
    True
    """
    return LevelsRehearsal(scenario, **judged_of_all(scenario, on_progress))
