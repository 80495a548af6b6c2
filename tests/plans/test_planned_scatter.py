"""Where the scatter of a plan is taken from."""

import math

import numpy as np
import pytest

from schemas import Guess
from trials.measures.catalogue import MEASURES, measure_named
from trials.noise.budget import noise_budget
from trials.noise.situation import Situation
from trials.plans.planned_scatter import (
    PlannedScatter,
    scatter_from_trial,
    scatter_words,
    typed_scatter,
)


@pytest.mark.parametrize(
    ("pairs", "factor"),
    [(3, 2.12), (4, 1.73), (5, 1.56), (6, 1.46), (8, 1.35), (10, 1.29)],
)
def test_an_earlier_scatter_is_raised_by_the_chi_square(pairs: int, factor: float) -> None:
    """Right 4 times in 5: sqrt((k - 1) / chi2(.2, k - 1)), as scipy.stats has it; own calculation, not published."""
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
    foretold = noise_budget("recovery", Situation()).sd_pair
    reckoned = scatter_words(PlannedScatter(foretold, foretold, "noise budget"), measure_named("recovery"))
    assert reckoned.startswith("about ") and reckoned.endswith(" points, reckoned from your dirt, scale and habits")
    assert len(reckoned.split()[1].replace(".", "")) == 2
