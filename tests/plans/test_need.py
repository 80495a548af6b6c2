"""Pairs needed against another library, and where the scatter is taken from."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.power import TTestPower

from schemas import Guess
from trials.measures.catalogue import MEASURES, measure_named
from trials.noise.budget import noise_budget
from trials.noise.situation import Situation
from trials.plans.need import (
    FEWEST_PLANNED,
    MOST_PLANNED,
    findable_by_pairs,
    pairs_for,
    pairs_without_limit,
    scatter_from_trial,
    scatter_of_budget,
    scatter_words,
    typed_scatter,
)


@pytest.mark.parametrize("level", [0.95, 0.96])
@pytest.mark.parametrize("effect", [0.4, 0.5, 0.6667, 0.8, 1.0, 1.25, 1.5, 2.0, 3.1])
def test_pairs_are_the_fewest_that_find_it_four_times_in_five(effect: float, level: float) -> None:
    """One-sample t, two-sided: statsmodels finds at least 80 % at so many pairs, and less at one fewer."""
    pairs = pairs_for(effect, 1.0, level=level)
    assert pairs is not None

    def found(count: int) -> float:
        return float(TTestPower().power(effect, count, 1.0 - level))

    assert found(pairs) >= 0.8 - 1e-6
    assert pairs == FEWEST_PLANNED or found(pairs - 1) < 0.8


@pytest.mark.parametrize("effect", [0.03, 0.1, 0.25])
def test_what_no_plan_holds_is_still_told(effect: float) -> None:
    """Over 60 pairs a plan does not go; how many it would take is told all the same, as statsmodels has it."""
    assert pairs_for(effect, 1.0) is None
    needed = TTestPower().solve_power(effect, power=0.8, alpha=0.05)
    assert pairs_without_limit(effect, 1.0) == math.ceil(needed)


def test_a_plan_has_three_pairs_or_more() -> None:
    """However large the effect; either sign; and no more than sixty."""
    assert pairs_for(-9.0, 1.0) == FEWEST_PLANNED == 3
    least = float(findable_by_pairs()[-1])
    assert pairs_for(least * 1.0001, 1.0) == MOST_PLANNED == 60
    assert pairs_for(least * 0.9999, 1.0) is None
    assert pairs_without_limit(1e-5, 1.0) is None


@given(st.floats(0.2, 5.0), st.floats(0.01, 100.0))
def test_pairs_follow_the_ratio_alone(effect: float, sd: float) -> None:
    """Points or logs: only difference over SD matters; a larger one never needs more pairs."""
    pairs = pairs_for(effect * sd, sd) or 61
    assert abs(pairs - (pairs_for(effect, 1.0) or 61)) <= 1  # the last digit of a float may fall to either side
    assert (pairs_for(1.1 * effect * sd, sd) or 61) <= pairs


@pytest.mark.parametrize(
    ("pairs", "factor"),
    [(3, 2.12), (4, 1.73), (5, 1.56), (6, 1.46), (8, 1.35), (10, 1.29)],
)
def test_an_earlier_scatter_is_raised_as_the_study_has_it(pairs: int, factor: float) -> None:
    """Right 4 times in 5: the study's factors for the SD of so few pairs."""
    raised = scatter_from_trial("T0", 2.0, pairs)
    assert raised.sd / raised.seen == pytest.approx(factor, abs=0.0051)
    assert raised.pairs == pairs and raised.trial == "T0" and raised.seen == 2.0


def test_the_factor_of_twelve_pairs_is_that_of_the_formula() -> None:
    """sqrt(11 / chi2(0.2, 11)) with chi2(0.2, 11) = 6.98867 of the printed tables: 1.2546."""
    assert scatter_from_trial("T0", 1.0, 12).sd == pytest.approx(math.sqrt(11 / 6.98867), abs=1e-5)
    assert scatter_from_trial("T0", 1.0, 12).sd == pytest.approx(1.2546, abs=5e-5)


def test_the_raised_scatter_is_enough_four_times_in_five() -> None:
    """By drawing pilots: the true SD lies under the raised one in 80 of 100."""
    seen = np.random.default_rng(7).normal(size=(20_000, 6)).std(axis=-1, ddof=1)
    raised = seen * scatter_from_trial("T0", 1.0, 6).sd
    assert np.mean(raised > 1.0) == pytest.approx(0.8, abs=3 * math.sqrt(0.16 / 20_000))


def test_a_typed_scatter_is_read_on_the_scale_of_its_measure() -> None:
    """Points as they are, % as a log; nothing typed, nothing read."""
    for measure in MEASURES:
        assert typed_scatter(Guess(), measure) is None
        if measure.is_ratio:
            typed = typed_scatter(Guess(scatter_percent=25.0), measure)
            assert typed is not None and typed.sd == pytest.approx(math.log(1.25)) and typed.origin == "typed"
        else:
            typed = typed_scatter(Guess(scatter_points=2.5), measure)
            assert typed is not None and typed.sd == 2.5


@pytest.mark.parametrize(
    ("measure", "guess", "says"),
    [
        ("recovery", Guess(scatter_percent=20.0), "measure recovery is told in points; write scatter_points instead"),
        ("grain_counts", Guess(scatter_points=2.0), "measure grain_counts is told in %; write scatter_percent instead"),
    ],
)
def test_a_scatter_in_the_wrong_unit_is_refused(measure: str, guess: Guess, says: str) -> None:
    """With the key to write instead."""
    with pytest.raises(ValueError, match=says):
        typed_scatter(guess, measure_named(measure))  # type: ignore[arg-type]


def test_each_scatter_says_where_it_is_from() -> None:
    """Typed, seen or reckoned; % for ratios; what is reckoned with two figures."""
    counts = measure_named("grain_counts")
    typed = typed_scatter(Guess(scatter_percent=22.0), counts)
    assert typed is not None and scatter_words(typed, counts) == "22 % as you typed it"
    seen = scatter_words(scatter_from_trial("twins", math.log(1.2), 4), counts)
    assert seen == "20 % as seen in twins (4 pairs), taken as 37 because so few pairs leave it loose"
    reckoned = scatter_words(scatter_of_budget(noise_budget("recovery", Situation())), measure_named("recovery"))
    assert reckoned.startswith("about ") and reckoned.endswith(" points, reckoned from your dirt, scale and habits")
    assert len(reckoned.split()[1].replace(".", "")) == 2
