"""Limits of a scatter are those of the chi-square tables, and the allowance follows from them."""

import math

import numpy as np
import pytest
from scipy import stats

from tests.tables import every
from trials.statistics.scatter import pilot_allowance, scatter_limits


@pytest.mark.parametrize(
    ("pairs", "low", "high"),
    [
        (2, "0.4461", "31.9102"),
        (3, "0.5207", "6.2847"),
        (4, "0.5665", "3.7285"),
        (5, "0.5991", "2.8736"),
        (6, "0.6242", "2.4526"),
        (8, "0.6612", "2.0353"),
        (10, "0.6878", "1.8256"),
        (20, "0.7605", "1.4606"),
        (100, "0.8780", "1.1617"),
        (1_000_000, "0.9986", "1.0014"),
    ],
)
def test_limits_against_boost(printed, pairs, low, high):
    """The factors for an SD of 1 are those printed in the Boost documentation."""
    # Boost.Math documentation, confidence intervals on the standard deviation, 95 %; seen.
    limits = scatter_limits(1.0, pairs)
    assert (limits.low, limits.high) == (printed(low), printed(high))


@pytest.mark.parametrize(
    ("pairs", "low", "high"),
    [(3, ".52", "6.28"), (4, ".57", "3.73"), (6, ".62", "2.45"), (8, ".66", "2.04"), (12, ".71", "1.70")],
)
def test_limits_table(printed, pairs, low, high):
    """Limits of an SD: own calculation, not published, from the chi-square of scipy.stats."""
    limits = scatter_limits(1.0, pairs)
    assert (limits.low, limits.high) == (printed(low), printed(high))


@pytest.mark.parametrize(
    ("pairs", "factor"),
    # 12 pairs: sqrt(11 / 6.98867) = 1.2546 by the printed tables of chi-square.
    [(3, "2.12"), (4, "1.73"), (5, "1.56"), (6, "1.46"), (8, "1.35"), (10, "1.29"), (12, "1.25")],
)
def test_allowance_table(printed, pairs, factor):
    """The planning factors: own calculation, not published, sqrt((k - 1) / chi2(.2, k - 1)) by scipy.stats."""
    assert pilot_allowance(pairs) == printed(factor)


@every("level", [0.5, 0.8, 0.9])
def test_allowance_is_right_as_often_as_it_says(level):
    """The true SD lies under the raised one in so many trials."""
    seen = np.random.default_rng(2).normal(0, 1, (20_000, 5)).std(axis=-1, ddof=1)
    under = (seen * pilot_allowance(5, level=level) > 1).mean()
    assert under == pytest.approx(level, abs=4 * math.sqrt(level * (1 - level) / 20_000))


@every("pairs", [2, 4, 9, 50])
def test_limits_against_reference(pairs):
    """At each limit the SD seen has the tail chance that it should have."""
    limits = scatter_limits(2.5, pairs, level=0.9)
    df = pairs - 1
    assert stats.chi2.sf(df * (2.5 / limits.low) ** 2, df) == pytest.approx(0.05, rel=1e-9)
    assert stats.chi2.cdf(df * (2.5 / limits.high) ** 2, df) == pytest.approx(0.05, rel=1e-9)


def test_limits_scale_and_broadcast():
    """Limits grow with the SD; shapes go together; one number comes back plain."""
    limits = scatter_limits([[1.0], [1000.0]], [4, 8])
    np.testing.assert_allclose(limits.low[1], 1000 * limits.low[0], rtol=1e-12)
    assert (type(scatter_limits(1, 4).low), type(pilot_allowance(4))) == (float, float)
    assert pilot_allowance([3, 6]).shape == (2,)


def test_degenerate_no_scatter():
    """No scatter seen: no limits but 0."""
    limits = scatter_limits(0.0, 4)
    assert (limits.low, limits.high) == (0.0, 0.0)


@every("sd", [-1.0, math.nan, math.inf])
def test_refused_scatter(sd):
    """A scatter is a finite number from 0 up."""
    with pytest.raises(ValueError, match="is not a finite number from 0 up; give the SD that was seen"):
        scatter_limits(sd, 4)


def test_refused_pairs_and_levels():
    """Pairs are whole numbers from 2, levels shares."""
    for ask in (lambda: scatter_limits(1.0, 1), lambda: pilot_allowance(1)):
        with pytest.raises(ValueError, match=r"^pairs: 1 is not a whole number"):
            ask()
    for ask in (lambda: scatter_limits(1.0, 4, level=95), lambda: pilot_allowance(4, level=80)):
        with pytest.raises(ValueError, match=r"^level: .* does not lie between 0 and 1"):
            ask()
