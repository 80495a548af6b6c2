"""A rehearsal of a graded plan judges as its verdict does, cries wolf seldom, and finds what the plan foretells."""

import time

import numpy as np
import pytest

from schemas import Change, Scales, Trial
from tests.sizes import scaled
from tests.verdicts.cases import trial as a_trial
from trials import reach_verdict
from trials.measures.catalogue import measure_named
from trials.noise.situation import Situation
from trials.rehearsal.judged import ENDINGS
from trials.rehearsal.level_rehearsal import LevelScenario, rehearse_levels
from trials.rehearsal.simulated_trials import division_mg
from trials.rehearsal.typical_trial import runs_of, simulated_trial, typical_trial
from trials.simulation.dirt import Dirt
from trials.simulation.gear import TrueEffect
from trials.simulation.noise_model import POOR, TYPICAL
from trials.simulation.tracers import SeededTracers
from trials.statistics.block_fit import fit_blocks
from trials.statistics.blocks_needed import block_power

GRITS = ("320", "220", "120")
RISING = tuple(TrueEffect(shift_logit=shift) for shift in (0.2, 0.9, 0.9))
IDLE = (TrueEffect(),) * 3
RICH = Situation(dirt=Dirt(900, "fine"), tracers=SeededTracers(fed=100))
LEAN = Situation(dirt=Dirt(0.06, "coarse"), noise=TYPICAL, tracers=SeededTracers(fed=5))


def plan_of(scenario: LevelScenario) -> Trial:
    """The plan that a scenario rehearses."""
    change = Change(variable="texture", baseline="painted", changed=scenario.levels)
    typed = measure_named(scenario.measure)
    line = None if scenario.line is None else typed.shown(scenario.line)
    division = division_mg(typed, scenario.situation.noise)
    scales = Scales(gold_g=None if division is None else division / 1000.0)
    return a_trial(measure=scenario.measure, pairs=scenario.pairs, change=change, worth_having=line, scales=scales)


@pytest.mark.parametrize(
    ("measure", "situation"),
    [("tracers", RICH), ("tails_gold", RICH), ("recovery", LEAN), ("grain_counts", LEAN), ("gold_mass", LEAN)],
)
def test_many_are_judged_as_one_by_one(measure: str, situation: Situation) -> None:
    """Every code, every level's, and the level to use are those of the verdict on the same runs; gaps and zeros too."""
    typed = measure_named(measure)
    line = None if measure == "tails_gold" else typed.line(3.0 if typed.scale == "points" else 20.0)
    scenario = LevelScenario(
        measure, 4, situation, line, times=scaled(60, fewest=6), seed=7, levels=GRITS, changes=RISING
    )
    many, plan = rehearse_levels(scenario), plan_of(scenario)
    for at in range(scenario.times):
        verdict = reach_verdict(plan, runs_of(plan, many, simulated_trial(many, at)))
        assert ENDINGS[many.codes[at]] == verdict.code
        if verdict.answer.kind == "levels":
            told = {level.level: level.code for level in verdict.answer.levels if level.code is not None}
            assert [ENDINGS[code] for code in many.level_codes[at]] == [told[name] for name in GRITS]
            used = None if many.to_use[at] < 0 else GRITS[many.to_use[at]]
            assert (used, many.means[at]) == (verdict.answer.pick, pytest.approx(verdict.answer.estimate))


def test_the_typical_graded_trial_stands_in_the_middle() -> None:
    """Its verdict speaks of a gain that half of the trials exceed."""
    tried = rehearse_levels(LevelScenario("tracers", 4, RICH, 3.0, times=101, seed=9, levels=GRITS, changes=RISING))
    typical = typical_trial(tried)
    assert tried.means[typical.number] == np.median(tried.means[np.isfinite(tried.means)])
    plan = plan_of(tried.scenario)
    verdict = reach_verdict(plan, runs_of(plan, tried, typical))
    assert verdict.code == typical.ending and verdict.answer.estimate == pytest.approx(np.median(tried.means))


@pytest.mark.parametrize(("levels", "blocks"), [(2, 3), (3, 4), (4, 6)])
def test_luck_alone_calls_a_level_better_or_worse_in_one_trial_of_twenty(levels: int, blocks: int) -> None:
    """The lab's noise, hurried habits and a drifting hand: no family cries more than 5 %, and no level leads the rest."""
    poor = Situation(dirt=Dirt(90, "medium"), noise=POOR, tracers=SeededTracers(fed=100))
    for measure in ("tracers", "gold_mass"):
        times = scaled(20_000 if measure == "tracers" else 6_000)
        idle = (TrueEffect(),) * levels
        names = tuple("abcd"[:levels])
        tried = rehearse_levels(LevelScenario(measure, blocks, poor, times=times, levels=names, changes=idle))
        cries = np.isin(tried.level_codes, [ENDINGS.index("better"), ENDINGS.index("worse")]).any(axis=-1).mean()
        assert cries <= 0.05 + 3 * np.sqrt(0.05 * 0.95 / times)
        assert sum(tried.named(at) for at in range(levels)) == pytest.approx(tried.share("better"))


def test_one_level_at_the_line_is_found_as_often_as_foretold() -> None:
    """Tracers, six blocks: the share found is that of the blocks' power; the same seed says the same."""
    gains = LevelScenario("tracers", 6, RICH, 5.0, times=scaled(20_000), levels=GRITS, changes=(*IDLE[:2], RISING[2]))
    tried = rehearse_levels(gains)
    fit = fit_blocks(measure_named("tracers").scaled(gains.blocks_of_part(0).runs, None))
    effect = fit.differences[:, 3, 0].mean() / np.sqrt(2.0 * np.square(fit.sd).mean())
    assert tried.found == pytest.approx(block_power(effect, 4, 6), abs=0.06)
    assert tried.named(2) <= tried.found == tried.better(2)
    assert (rehearse_levels(gains).codes == tried.codes).all()


def test_twenty_thousand_rehearsals_take_under_two_seconds() -> None:
    """Four levels in six blocks of counted tracers, by processor time in proportion to the size of this run."""
    times = scaled(20_000)
    plan = LevelScenario("tracers", 6, RICH, 5.0, times=times, levels=("a", *GRITS), changes=(*IDLE, RISING[2]))
    start = time.process_time()
    rehearse_levels(plan)
    assert time.process_time() - start < 0.2 + 1.8 * times / 20_000
