"""Pairs needed against another library; what pairs see of a change: by hand where there is no luck but counting, and held against rehearsals."""

import dataclasses
import itertools
import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.power import TTestPower

from schemas import MeasureName
from tests.tables import every
from trials.measures.catalogue import MEASURES
from trials.noise.effect import shift_reaching
from trials.noise.situation import Situation
from trials.plans.effect_size import changed_situation, effect_size
from trials.plans.power import (
    FEWEST_PLANNED,
    MOST_PLANNED,
    chance_to_find,
    fewest_pairs,
    pairs_for,
    pairs_to_find,
    smallest_found,
)
from trials.plans.stopped import chance_stopped
from trials.rehearsal.judged import judge_trials
from trials.rehearsal.rehearsal import rehearse
from trials.rehearsal.simulated_trials import BlockReadings, division_mg, draw_orders, readings_of, simulate_on
from trials.simulation.dirt import Dirt
from trials.simulation.gear import SimulatedGear, TrueEffect
from trials.simulation.noise_model import LOW, TYPICAL, Noise
from trials.simulation.schedule import paired_schedule
from trials.simulation.tracers import SeededTracers
from trials.statistics.pairs_needed import smallest_findable
from trials.verdicts.outcome import BETTER

RICH = Situation(Dirt(900, "fine"), TYPICAL, tracers=SeededTracers(100, (7,)))
STEADY = dataclasses.replace(RICH, noise=LOW)
COUNTING = Situation(noise=Noise(), gear=SimulatedGear(recovery=(0.9,) * 10), tracers=SeededTracers(100))
GAIN = TrueEffect(shift_logit=0.45)
NINETY_TO_NINETY_FIVE = TrueEffect(shift_logit=math.log(19.0) - math.log(9.0))


@pytest.mark.parametrize("level", [0.95, 0.96])
@pytest.mark.parametrize("effect", [0.4, 0.5, 0.6667, 0.8, 1.0, 1.25, 1.5, 2.0, 3.1])
def test_pairs_are_the_fewest_that_find_it_four_times_in_five(effect: float, level: float) -> None:
    """One-sample t, two-sided: statsmodels finds at least 80 % at so many pairs, and less at one fewer."""
    pairs = pairs_for(effect, level=level)
    assert pairs is not None

    def found(count: int) -> float:
        return float(TTestPower().power(effect, count, 1.0 - level))

    assert found(pairs) >= 0.8 - 1e-6
    assert pairs == FEWEST_PLANNED or found(pairs - 1) < 0.8


@pytest.mark.parametrize("effect", [0.03, 0.1, 0.25])
def test_what_no_plan_holds_is_still_told(effect: float) -> None:
    """Over 60 pairs a plan does not go; how many it would take is told all the same, as statsmodels has it."""
    needed = pairs_for(effect)
    assert needed is not None and needed > MOST_PLANNED == 60
    assert needed == math.ceil(TTestPower().solve_power(effect, power=0.8, alpha=0.05))


def test_a_plan_has_three_pairs_or_more() -> None:
    """However large the effect; either sign; none for nothing at all, or where a million are too few."""
    assert pairs_for(-9.0) == pairs_for(9.0) == FEWEST_PLANNED == 3
    least = float(smallest_findable(MOST_PLANNED))
    assert (pairs_for(least * 1.0001), pairs_for(least * 0.9999)) == (60, 61)
    assert pairs_for(1e-5) is None and pairs_for(0.0) is None


@given(st.floats(0.03, 5.0))
def test_a_larger_effect_never_needs_more_pairs(effect: float) -> None:
    """Points or logs: only difference over SD matters."""
    larger, smaller = pairs_for(1.1 * effect), pairs_for(effect)
    assert larger is not None and smaller is not None and larger <= smaller


def test_each_arm_has_its_own_noise() -> None:
    """100 grains, 90 kept against 95: 5 points, and SD sqrt(9 + 4.75) (binomial), not sqrt(9 + 9)."""
    seen = effect_size("tracers", COUNTING, NINETY_TO_NINETY_FIVE)
    assert seen.difference == pytest.approx(5.0)
    assert seen.sd == pytest.approx(math.sqrt(9.0 + 4.75))
    loss = effect_size("tracers", COUNTING, TrueEffect(shift_logit=math.log(4.0) - math.log(9.0)))  # 90 % to 80 %
    assert loss.sd == pytest.approx(math.sqrt(9.0 + 16.0))


def test_the_chance_is_that_of_the_noncentral_t() -> None:
    """6 pairs of that: scipy's noncentral t on the gain's own side, less the few that lie inside the line."""
    effect = 5.0 / math.sqrt(13.75)
    over_zero = stats.nct.sf(stats.t.isf(0.025, 5), 5, effect * math.sqrt(6))
    assert over_zero - 0.025 < chance_to_find("tracers", COUNTING, NINETY_TO_NINETY_FIVE, 6) < over_zero


@every("pairs", [4, 6, 8, 12])
def test_the_chance_is_what_a_rehearsal_finds(pairs: int, sized: Callable[[int], int]) -> None:
    """A gain of 0.45 logit in rich fine gold, typical noise: within 2.5 in 100, and luck; the same runs for all measures."""
    times = sized(20_000)
    order = draw_orders(np.random.default_rng([43, pairs]), times, pairs)
    runs = simulate_on(RICH, 43 + pairs, paired_schedule(order), GAIN)
    for measure in MEASURES:
        line = effect_size(measure.name, RICH, GAIN, pairs=pairs).difference
        seen = BlockReadings(readings_of(measure, runs), runs.schedule.turn, runs.fed_g).beside_baseline(1)
        codes = judge_trials(measure, seen, division=division_mg(measure, RICH.noise), line=line).codes
        found = float((codes == BETTER).mean())
        luck = 3 * math.sqrt(found * (1 - found) / times)
        assert chance_to_find(measure.name, RICH, GAIN, pairs) == pytest.approx(found, abs=0.025 + luck), measure.name


@every("measure", ["recovery", "gold_mass", "tails_gold", "grain_counts", "tracers"])
@every("situation", [RICH, STEADY], ids=["drifting", "steady"])
def test_pairs_are_enough_and_one_fewer_is_not(measure: MeasureName, situation: Situation) -> None:
    """80 in 100 at so many, less at one fewer."""
    pairs = pairs_to_find(measure, situation, GAIN)
    assert pairs is not None
    assert chance_to_find(measure, situation, GAIN, pairs) >= 0.8
    assert chance_to_find(measure, situation, GAIN, pairs - 1) < 0.8


def test_what_does_nothing_is_never_found() -> None:
    """Nor what is too small for 60 pairs."""
    assert pairs_to_find("recovery", RICH, TrueEffect()) is None
    assert pairs_to_find("recovery", STEADY, TrueEffect(shift_logit=0.02)) is None
    assert chance_to_find("recovery", RICH, TrueEffect(), 6) == pytest.approx(0.025)


@every(("measure", "gold_mg"), [("tails_gold", 70.0), ("gold_mass", 9.0), ("recovery", 8.0), ("grain_counts", 0.04)])
def test_what_a_check_stops_is_not_found(measure: MeasureName, gold_mg: float, sized: Callable[[int], int]) -> None:
    """Too little gold for the scale, or runs that find none: foretold as rehearsed, and no number of pairs does."""
    lean = dataclasses.replace(RICH, dirt=Dirt(gold_mg, "medium"))
    stopped = chance_stopped(measure, lean, GAIN, 6)
    tried = rehearse(measure, pairs=6, situation=lean, line=None, change=GAIN, times=sized(5_000), seed=45)
    assert stopped > 0.5 and stopped == pytest.approx(tried.share("blocked"), abs=0.1)
    assert chance_to_find(measure, lean, GAIN, 6) <= 1.0 - stopped
    assert pairs_to_find(measure, lean, GAIN) is None and smallest_found(measure, lean, 6) is None


@every(
    ("enough", "about"), [(3, 3), (10, 10), (10, 8), (10, 14), (10, None), (60, 58), (60, None), (61, 60), (61, None)]
)
def test_the_fewest_pairs_are_found_from_anywhere(enough: int, about: int | None) -> None:
    """A chance that grows with the pairs: the first number that reaches 4 in 5, or none up to 60."""
    found = fewest_pairs(lambda pairs: 0.8 if pairs >= enough else 0.79, about)
    assert found == (enough if enough <= 60 else None)


@every("measure", ["recovery", "gold_mass", "tails_gold", "grain_counts", "tracers"])
def test_what_is_far_too_little_is_not_found_by_trying_either(measure: MeasureName) -> None:
    """Strong drift, a coarse scale, lean dirt: asked at every number that is tried, 60 pairs don't do where none is told."""
    drifting = dataclasses.replace(TYPICAL, drift_points_per_run=6.0, scale_division_g=0.01, scale_sd_g=0.01)
    told = []
    for noise, gold_mg, shift in itertools.product((TYPICAL, drifting), (9.0, 900.0), (0.02, 0.1, -0.3, 0.9)):
        situation = Situation(Dirt(gold_mg, "medium"), noise, tracers=SeededTracers(100, (5,)))
        change = TrueEffect(shift_logit=shift)

        def chance(pairs: int, situation: Situation = situation, change: TrueEffect = change) -> float:
            return chance_to_find(measure, situation, change, pairs)

        by_luck = pairs_for(effect_size(measure, situation, change).effect)
        told.append(pairs_to_find(measure, situation, change))
        assert told[-1] == fewest_pairs(chance, by_luck), (gold_mg, shift)
    assert None in told and any(told)


def test_a_stricter_level_needs_more_pairs() -> None:
    """96 % after an early look."""
    small = TrueEffect(shift_logit=0.3)
    usual, strict = (pairs_to_find("recovery", RICH, small, level=level) for level in (0.95, 0.96))
    assert usual is not None and strict is not None and strict > usual


@every("pairs", [4, 6, 12])
@every("measure", ["recovery", "gold_mass", "grain_counts", "tracers"])
def test_the_smallest_gain_found_is_found_four_times_in_five(measure: MeasureName, pairs: int) -> None:
    """Turned back into a change, it is found 80 in 100, as near as the steps go."""
    smallest = smallest_found(measure, STEADY, pairs)
    assert smallest is not None
    change = shift_reaching(measure, smallest, STEADY)
    assert change is not None
    assert chance_to_find(measure, STEADY, change, pairs) == pytest.approx(0.8, abs=0.01)


def test_where_little_is_left_to_gain_nothing_is_found() -> None:
    """98 % of 25 grains kept: three pairs would need more than there is."""
    nearly_all = dataclasses.replace(COUNTING, gear=SimulatedGear(recovery=(0.98,) * 10), tracers=SeededTracers(25))
    assert smallest_found("tracers", nearly_all, 3) is None


def test_the_changed_gear_keeps_what_the_change_makes_it_keep() -> None:
    """A logit more by ln 2 doubles the odds: 90 % becomes 94.74 %."""
    kept = changed_situation(COUNTING, TrueEffect(shift_logit=math.log(2.0))).gear.recovery
    assert kept == pytest.approx((18 / 19,) * 10)
