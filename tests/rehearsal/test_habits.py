"""Habits cry gain as often as a separate study found, and as often as textbook formulas say.

"The study" is an own simulation, not published, of such habits on invented dirt, made before this code and apart from
it. Its situation, where it says so: 900 mg fine or 90 mg medium gold, ordinary habits, splits with a variance of
1.5 times the mean, weighings with an SD of 1.5 mg, no drift. It counts calls to both sides unless it says "ahead" or
"better"; its shares are whole per cents of 10,000 to 20,000 trials.
"""

import dataclasses
import functools
import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy import stats

from trials.noise.situation import Situation
from trials.rehearsal.habits import (
    HABITS,
    MEASURES_TAKEN,
    Calls,
    best_of_the_measures,
    dropping_the_worst,
    fair_rate,
    habit_rates,
    no_unchanged_half,
    one_each,
    repeated_looks,
    stopping_when_ahead,
    two_days,
)
from trials.rehearsal.rehearsal import rehearse
from trials.rehearsal.unchanged_runs import HabitPlan, UnchangedRuns
from trials.simulation.dirt import Dirt, SizeSet
from trials.simulation.noise_model import TYPICAL
from trials.simulation.runs import SimulatedRuns
from trials.simulation.tracers import SeededTracers

STUDY = dataclasses.replace(TYPICAL, drift_points_per_run=0.0, scale_sd_g=0.0015)
STUDIED = 10_000  # trials of the study, at the least
FULL = 20_000
TRACED = Situation(dirt=Dirt(900, "fine"), noise=STUDY, tracers=SeededTracers(fed=100))


def situation(gold_mg: float, sizes: SizeSet, noise: Any = STUDY) -> Situation:
    """Dirt split as the study split it."""
    return Situation(dirt=Dirt(gold_mg, sizes, split_vmr=1.5), noise=noise)


def runs_of(times: int, measure: str, pairs: int, where: Situation, **more: Any) -> UnchangedRuns:
    """So many trials of a plan with nothing changed."""
    return UnchangedRuns(HabitPlan(measure, pairs, where, **more), part=0, times=times)


@functools.cache
def drawn_pairs(times: int, pairs: int, where: Situation) -> SimulatedRuns:
    """Fair pairs, which no measure makes others of: drawn once for all that look at them."""
    return runs_of(times, "recovery", pairs, where).in_pairs


def fair_runs(times: int, measure: str, pairs: int, where: Situation) -> UnchangedRuns:
    """So many trials of a plan with nothing changed, of whose runs the fair pairs alone are looked at."""
    runs = runs_of(times, measure, pairs, where)
    runs.__dict__["in_pairs"] = drawn_pairs(times, pairs, where)
    return runs


def normal_runs(times: int, pairs: int) -> UnchangedRuns:
    """Trials whose differences are plain normal numbers: masses of 10 kg of gold, a little apart."""
    runs = runs_of(times, "gold_mass", pairs, Situation())
    rng = np.random.default_rng([93, pairs])
    masses = 1e7 * np.exp(0.1 * rng.standard_normal((times, pairs, 2)))
    runs.__dict__["in_pairs"] = SimpleNamespace(gold_kept_mg=masses)
    return runs


def percent(calls: Calls, side: int | None = None) -> float:
    """Trials with a call, to one side or to either, in %."""
    return float(100 * np.mean(calls != 0 if side is None else calls == side))


def luck(found: float, times: int, *, of_study: int | None = None) -> float:
    """Three standard errors of a share in %, of ours and of the study's, and half a per cent for its rounding."""
    variance = found * (100 - found) * (1 / times + (1 / of_study if of_study else 0))
    return 3 * math.sqrt(variance) + (0.5 if of_study else 0)


# --- one run each -----------------------------------------------------------------------------------------------

ONE_EACH = [(9, 10, 91), (9, 20, 81), (9, 50, 59), (90, 10, 68), (90, 20, 44), (90, 50, 8), (900, 10, 25), (900, 20, 3)]


@pytest.mark.parametrize(("gold_mg", "apart", "study"), ONE_EACH)
def test_one_run_each_differs_as_often_as_the_study_found(sized, gold_mg: float, apart: float, study: float) -> None:
    """Medium gold, equal halves of one lot: how often one holds so many % more than the other, either way."""
    times = sized(FULL)
    calls = one_each(fair_runs(times, "gold_mass", 1, situation(gold_mg, "medium")), math.log1p(apart / 100))
    assert percent(calls) == pytest.approx(study, abs=luck(study, times, of_study=STUDIED))


def test_one_run_each_counts_its_line_to_the_changed_side() -> None:
    """The plan's line, else 10 % of a ratio and anything in points; gains and losses are told apart."""
    masses = np.array([[[100.0, 112.0]], [[100.0, 104.0]], [[100.0, 80.0]]])
    runs = runs_of(3, "gold_mass", 1, Situation())
    runs.__dict__["in_pairs"] = SimpleNamespace(gold_kept_mg=masses)
    assert one_each(runs).tolist() == [1, 0, -1]
    runs.plan = dataclasses.replace(runs.plan, line=math.log(1.15))
    assert one_each(runs).tolist() == [0, 0, -1]


# --- a second pass ----------------------------------------------------------------------------------------------

SECOND_PASS: list[tuple[SizeSet, float, float]] = [("coarse", 5.3, 5.02), ("medium", 7.9, 7.56), ("fine", 16.4, 15.92)]


@pytest.mark.parametrize(("sizes", "study", "formula"), SECOND_PASS)
def test_a_second_pass_finds_what_the_study_and_the_formula_say(
    sized, sizes: SizeSet, study: float, formula: float
) -> None:
    """Gold of the second pass in % of that of the first; without luck it is sum s p(1-p) / sum s p."""
    times = sized(FULL)
    runs = runs_of(times, "gold_mass", 1, situation(900, sizes))
    found = 100 * runs.twice.shares
    error = 3 * found.std() * math.sqrt(1 / times + 1 / STUDIED)
    assert found.mean() == pytest.approx(study, abs=error + 0.05)
    assert percent(no_unchanged_half(runs)) > 99.5, "some gold in all trials"
    where = situation(900, sizes)
    share, gold = (
        np.asarray(where.gear.recovery),
        np.asarray(where.dirt.expected_grains() * where.dirt.grain_masses_mg()),
    )
    by_hand = 100 * float((gold * share * (1 - share)).sum() / (gold * share).sum())
    assert by_hand == pytest.approx(formula, abs=0.01)


def test_a_second_pass_without_luck_is_the_formula() -> None:
    """Much gold and no habits: 15.92 % of fine gold, whatever the seed."""
    bare = Situation(dirt=Dirt(90_000, "fine"), noise=dataclasses.replace(STUDY, **dict.fromkeys(NO_LUCK, 0.0)))
    shares = runs_of(50, "gold_mass", 1, bare).twice.shares
    assert 100 * shares.mean() == pytest.approx(15.92, abs=0.1)


NO_LUCK = ("process_sd_points", "session_sd_points", "operator_sd_points", "panout_loss_fine", "carry_over")


def test_tails_fed_again_are_the_first_pass_of_the_plan() -> None:
    """A plan that feeds stored tails is a second pass as it stands, and any gold in its changed half counts."""
    masses = np.array([[[5.0, 4.0]], [[5.0, 0.0]]])
    runs = runs_of(2, "gold_mass", 1, Situation(), feeds_tails=True)
    runs.__dict__["in_pairs"] = SimpleNamespace(gold_kept_mg=masses)
    assert no_unchanged_half(runs).tolist() == [1, 0]


def test_lost_tracers_and_grains_are_found_again() -> None:
    """100 tracers at 90 %: 10 lost, 9 of them found; grains are counted the same way."""
    runs = runs_of(4_000, "tracers", 1, TRACED)
    assert runs.twice.second_tracers.mean() == pytest.approx(9.0, abs=0.9)  # run luck makes it a little more
    assert percent(no_unchanged_half(runs)) > 99
    assert percent(no_unchanged_half(runs_of(100, "grain_counts", 1, TRACED))) == 100


# --- two days ---------------------------------------------------------------------------------------------------

TWO_DAYS = {1.5: (8, 12, 17, 23), 4.0: (24, 38, 50, 57)}
RICHER_DAYS = (43, 58, 68, 74)
PAIRS = (3, 5, 8, 12)


@pytest.mark.parametrize("day_sd", TWO_DAYS)
@pytest.mark.parametrize("at", range(4))
def test_two_days_of_tracers_differ_as_often_as_the_study_found(sized, day_sd: float, at: int) -> None:
    """100 tracers a run, days apart by an SD of so many points; both sides counted."""
    times, study = sized(FULL), TWO_DAYS[day_sd][at]
    noise = dataclasses.replace(STUDY, session_sd_points=day_sd)
    bare = dataclasses.replace(TRACED, noise=noise, dirt=Dirt(0.0))  # tracers are drawn apart from the gold
    calls = two_days(runs_of(times, "tracers", PAIRS[at], bare))
    assert percent(calls) == pytest.approx(study, abs=luck(study, times, of_study=STUDIED))


@pytest.mark.parametrize("at", range(4))
def test_two_days_of_gold_mass_differ_as_often_as_the_study_found(sized, at: int) -> None:
    """90 mg medium gold a run, ln richness of the days apart by an SD of 0.3; both sides counted."""
    times, study = sized(FULL), RICHER_DAYS[at]
    runs = runs_of(times, "gold_mass", PAIRS[at], situation(90, "medium"), day_richness_sd=0.3)
    assert percent(two_days(runs)) == pytest.approx(study, abs=luck(study, times, of_study=STUDIED))


def test_the_two_day_t_is_students() -> None:
    """The calls are those of scipy's two-sample t with equal variances, on logs, turned for gold lost."""
    for measure, field, sign in (("gold_mass", "gold_kept_mg", 1), ("tails_gold", "gold_tails_mg", -1)):
        runs = runs_of(200, measure, 4, situation(90, "medium"), day_richness_sd=0.5)
        logs = np.log(np.maximum(getattr(runs.on_two_days, field), 0.5))
        there = stats.ttest_ind(logs[:, 1], logs[:, 0], axis=-1)
        wanted = np.where(there.pvalue < 0.05, sign * np.sign(there.statistic), 0)
        assert two_days(runs).tolist() == wanted.astype(int).tolist()


# --- looking, and stopping when ahead ---------------------------------------------------------------------------

LOOKING = [(6, 12), (8, 15), (12, 18)]


@pytest.mark.parametrize(("pairs", "study"), LOOKING)
def test_looking_after_every_pair_claims_as_often_as_the_study_found(sized, pairs: int, study: float) -> None:
    """A t at 5 % after every pair from the third, normal differences, both sides; half of it is to either side."""
    times = sized(FULL)
    calls = repeated_looks(normal_runs(times, pairs))
    assert percent(calls) == pytest.approx(study, abs=luck(study, times, of_study=STUDIED))
    assert percent(calls, 1) == pytest.approx(study / 2, abs=luck(study / 2, times, of_study=STUDIED))


@pytest.mark.parametrize("measure", ["recovery", "gold_mass", "tracers"])
def test_looking_at_simulated_dirt_claims_about_as_often(sized, measure: str) -> None:
    """12 pairs of the noise model: a little under the 18 % of normal numbers, for three pairs of it seldom agree."""
    times = sized(FULL)
    calls = repeated_looks(fair_runs(times, measure, 12, TRACED))
    assert 18 - 3 - luck(18, times) <= percent(calls) <= 18 + luck(18, times, of_study=STUDIED)


AHEAD = [(1, 50), (2, 62), (3, 69), (4, 72), (6, 77), (12, 84)]


@pytest.mark.parametrize(("pairs", "study"), AHEAD)
def test_stopping_when_ahead_claims_as_often_as_the_study_and_the_formula(sized, pairs: int, study: float) -> None:
    """1 - C(2n, n)/4^n: the chance that a symmetric walk is ever over 0 in n steps.

    Sparre Andersen 1949; Feller, An Introduction to Probability Theory, vol. II, ch. XII (from memory).
    """
    times = sized(FULL)
    formula = 100 * (1 - math.comb(2 * pairs, pairs) / 4**pairs)
    assert formula == pytest.approx(study, abs=0.5 + luck(study, STUDIED))
    found = percent(stopping_when_ahead(normal_runs(times, pairs)), 1)
    assert found == pytest.approx(formula, abs=luck(formula, times))


# --- dropping a pair, choosing a measure -------------------------------------------------------------------------


@pytest.mark.parametrize("pairs", [4, 6, 8, 12])
@pytest.mark.parametrize("measure", ["recovery", "gold_mass"])
def test_dropping_the_worst_pair_says_better_in_7_to_9_percent(sized, measure: str, pairs: int) -> None:
    """The study: better in 7 to 9 % instead of 2.5 %; only calls for the change are counted."""
    times = sized(FULL)
    found = percent(dropping_the_worst(fair_runs(times, measure, pairs, TRACED)), 1)
    assert 7 - luck(7, times) <= found <= 9 + luck(9, times)


def test_dropping_leaves_the_other_pairs_as_they_were() -> None:
    """The interval is that of scipy on the logs without the smallest."""
    runs = normal_runs(300, 6)
    masses = runs.in_pairs.gold_kept_mg
    rest = np.sort(np.log(masses[..., 1] / masses[..., 0]), axis=-1)[:, 1:]
    there = stats.ttest_1samp(rest, 0.0, axis=-1)
    wanted = np.where(there.pvalue < 0.05, np.sign(there.statistic), 0)
    assert dropping_the_worst(runs).tolist() == wanted.astype(int).tolist()


BEST_OF = [
    (("recovery", "gold_mass"), 7.2, 9.8),
    (("recovery", "gold_mass", "tails_gold"), 8.1, 11.5),
    (MEASURES_TAKEN, 12.4, 19.1),
]


@pytest.mark.parametrize(("measures", "least", "most"), BEST_OF, ids=["two", "three", "five"])
@pytest.mark.parametrize("pairs", [4, 6, 8])
@pytest.mark.parametrize("where", [TRACED, situation(90, "medium")], ids=["fine", "medium"])
def test_the_best_of_the_measures_lies_in_the_range_of_the_study(
    sized, where: Situation, pairs: int, measures: Any, least: float, most: float
) -> None:
    """Both sides counted: a share beyond luck in any of the measures, as the study's scenarios span it."""
    times = sized(FULL)
    found = percent(best_of_the_measures(fair_runs(times, "recovery", pairs, where), measures))
    assert least - luck(least, times) <= found <= most + luck(most, times)


# --- together ----------------------------------------------------------------------------------------------------


def test_all_habits_on_one_plan(sized) -> None:
    """Every habit cries more often than the fair trial, which stays under 2.7 %; a seed says the same twice."""
    plan = HabitPlan("gold_mass", 6, situation(90, "medium", TYPICAL), day_richness_sd=0.3, times=sized(FULL), seed=5)
    rates = habit_rates(plan)
    assert [rate.habit for rate in rates] == list(HABITS)
    fair = fair_rate(plan)
    assert fair.share <= 0.027 + luck(2.7, plan.times) / 100
    assert all(rate.cried_gain.share > 2 * fair.share - 3 * fair.standard_error for rate in rates)
    assert habit_rates(plan, ("looking",))[0] == rates[3]


def test_the_fair_rate_is_the_rehearsal_of_the_plan() -> None:
    """Its own line and its own look, at the same seed."""
    plan = HabitPlan("recovery", 8, TRACED, line=2.0, look_after=4, times=500, seed=7)
    fair = rehearse("recovery", pairs=8, situation=TRACED, line=2.0, look_after=4, times=500, seed=7)
    assert fair_rate(plan).share == fair.share("better")


def test_progress_is_told_to_the_end() -> None:
    """Each part is told, and the last one is all of them."""
    told: list[tuple[int, int]] = []
    habit_rates(HabitPlan("tracers", 12, TRACED, times=4_000), ("looking",), on_progress=lambda *at: told.append(at))
    assert told[-1] == (4_000, 4_000) and len(told) > 1


@pytest.mark.parametrize("measure", MEASURES_TAKEN)
@pytest.mark.parametrize("pairs", [1, 2, 3, 60])
def test_every_habit_takes_every_plan(measure: str, pairs: int) -> None:
    """Any measure and any number of pairs, with no gold too: a share from 0 to 1 and no warning."""
    times = 40 if pairs < 60 else 8  # some hundred pairs of each
    for where in (TRACED, Situation(dirt=Dirt(0.0), noise=STUDY), situation(2, "coarse")):
        for rate in habit_rates(HabitPlan(measure, pairs, where, times=times)):
            assert 0 <= rate.cried_gain.share <= 1


def test_an_unknown_habit_is_refused() -> None:
    """By name, with those that are known."""
    with pytest.raises(ValueError, match=r"luck is not a habit that is known; one of: one each, no unchanged half"):
        habit_rates(HabitPlan("recovery", 6, TRACED), ("luck",))  # type: ignore[arg-type]
