"""Limits of shares and counts are the printed exact ones."""

import math

import numpy as np
import pytest
from scipy import stats

from tests.tables import every
from trials.statistics.exact_limits import count_limits, proportion_limits


@pytest.mark.parametrize(
    ("level", "low", "high"),
    [(0.90, "0.07135", "0.40103"), (0.95, "0.05733", "0.43661"), (0.99, "0.03576", "0.50661")],
)
def test_four_of_twenty(printed, level, low, high):
    """4 of 20 at three levels."""
    # Boost.Math documentation, binomial confidence limits (the case of NIST e-Handbook 7.2.4.1); seen.
    limits = proportion_limits(4, 20, level=level)
    assert (limits.low, limits.high) == (printed(low), printed(high))


@every(
    ("found", "fed", "low", "high"),
    [
        (81, 263, "0.2527", "0.3676"),
        (15, 148, "0.0578", "0.1617"),
        (0, 20, "0", "0.1684"),
        (1, 29, "0.0009", "0.1776"),
    ],
)
def test_newcombes_shares(found, fed, low, high):
    """Four shares, one of them 0."""
    # Newcombe, Statistics in Medicine 17 (1998) 857-872, table I, Clopper-Pearson; values from memory, to 6e-5.
    limits = proportion_limits(found, fed)
    assert (limits.low, limits.high) == (
        pytest.approx(float(low), abs=6e-5),
        pytest.approx(float(high), abs=6e-5),
    )


def test_plants_of_a_cross(printed):
    """682 of 925."""
    # R stats-Ex.Rout.save, binom.test (Conover 1971 p. 97); seen.
    limits = proportion_limits(682, 925)
    assert (limits.low, limits.high) == (printed("0.7076683"), printed("0.7654066"))


@pytest.mark.parametrize(("fed", "upper"), [(14, "0.193"), (100, "0.0295")])
def test_nothing_found(printed, fed, upper):
    """None of so many: the one-sided limit that the rule of three approximates."""
    # Hanley & Lippman-Hand, JAMA 249 (1983); exact one-sided 95 %, values from memory.
    limits = proportion_limits(0, fed, level=0.90)
    assert (limits.low, limits.high) == (0.0, printed(upper))
    assert limits.high == pytest.approx(3 / fed, rel=0.15)


@pytest.mark.parametrize(
    ("count", "low", "high"),
    [
        (0, "0", "3.689"),
        (1, "0.0253", "5.572"),
        (2, "0.2422", "7.225"),
        (3, "0.6187", "8.767"),
        (4, "1.090", "10.242"),
        (5, "1.623", "11.668"),
        (10, "4.795", "18.390"),
        (20, "12.217", "30.888"),
        (50, "37.11", "65.92"),
        (100, "81.36", "121.63"),
    ],
)
def test_garwoods_counts(printed, count, low, high):
    """Garwood's limits of a count."""
    # Garwood, Biometrika 28 (1936), 95 %; 0 and 10 seen (epitools documentation), the rest from memory.
    limits = count_limits(count)
    assert (limits.low, limits.high) == (printed(low), printed(high))


def test_rate_of_events(printed):
    """137 events in 24.19893 units of time."""
    # R stats-Ex.Rout.save, poisson.test; seen.
    limits = count_limits(137)
    assert (limits.low / 24.19893, limits.high / 24.19893) == (printed("4.753125"), printed("6.692709"))


def test_twenty_particles(printed):
    """From a count of 20 the truth may lie 39 % lower or 54 % higher, not 50 % either way."""
    # Clifton et al., USGS Professional Paper 625-C (1969) speak of 20 particles; limits: Garwood, computed.
    limits = count_limits(20)
    assert (100 * (limits.low / 20 - 1), 100 * (limits.high / 20 - 1)) == (printed("-39"), printed("54"))


def test_against_reference():
    """Shares are scipy's exact limits; counts have the tail chances that they should have."""
    for found, fed in ((0, 5), (3, 7), (7, 7), (450, 5000)):
        reference = stats.binomtest(found, fed).proportion_ci(0.9, method="exact")
        limits = proportion_limits(found, fed, level=0.9)
        assert (limits.low, limits.high) == (
            pytest.approx(reference.low, rel=1e-9),
            pytest.approx(reference.high, rel=1e-9),
        )
    for count in (1, 17, 100_000):
        limits = count_limits(count, level=0.9)
        assert stats.poisson.sf(count - 1, limits.low) == pytest.approx(0.05, rel=1e-7)
        assert stats.poisson.cdf(count, limits.high) == pytest.approx(0.05, rel=1e-7)


def test_found_and_not_found_mirror():
    """What was not found has the mirrored limits."""
    found = np.arange(0, 21)
    one, other = proportion_limits(found, 20), proportion_limits(20 - found, 20)
    np.testing.assert_allclose(one.low, 1 - other.high, atol=1e-12)
    np.testing.assert_allclose(one.low, proportion_limits(found[:, None], 20).low[:, 0])


def test_plain_numbers_for_one_count():
    """One count comes back as Python numbers."""
    assert {type(x) for x in (proportion_limits(4, 20).low, count_limits(0).low, count_limits(0).high)} == {float}
    assert count_limits(0).high == pytest.approx(-math.log(0.025))
    assert count_limits([0, 5]).low.shape == (2,)


def test_degenerate_none_and_all():
    """None found: low is 0. All found: high is 1."""
    assert proportion_limits(0, 1).low == 0.0
    assert proportion_limits(1, 1).high == 1.0


@every(
    ("found", "fed", "message"),
    [
        (5, 4, "^found: 5 of 4 fed; no more can be found than was fed"),
        (-1, 4, "^found: -1 is not a whole number from 0 up"),
        (0, 0, "^fed: 0 is not a whole number from 1 up"),
        (math.nan, 4, "^found: nan is not"),
    ],
)
def test_refused_shares(found, fed, message):
    """Shares that can't be are refused."""
    with pytest.raises(ValueError, match=message):
        proportion_limits(found, fed)


def test_refused_counts_and_levels():
    """Counts that can't be, and percentages for levels, are refused."""
    with pytest.raises(ValueError, match=r"^count: 2\.5 is not a whole number from 0 up"):
        count_limits(2.5)
    for ask in (lambda: count_limits(2, level=95), lambda: proportion_limits(2, 3, level=95)):
        with pytest.raises(ValueError, match=r"^level: 95 does not lie"):
            ask()
