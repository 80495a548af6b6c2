"""The paired t agrees with scipy, keeps its symmetries, and says what it does with odd input."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from tests.tables import every
from trials.statistics.paired_t import paired_t, t_limits

few = settings(max_examples=60, deadline=None)
tenths = st.integers(-300, 300).map(lambda n: n / 10)
trials = st.lists(tenths, min_size=2, max_size=14)
varied = trials.filter(lambda d: len(set(d)) > 1)


@every("pairs", [2, 3, 4, 6, 12, 60])
def test_against_reference(pairs):
    """t, p and limits are scipy's, to 1e-9 of their size."""
    random = np.random.default_rng(pairs)
    one, other = random.normal(50, 5, (40, pairs)), random.normal(52, 7, (40, pairs))
    for level in (0.90, 0.95, 0.99):
        fit = paired_t(other - one, level=level)
        reference = stats.ttest_rel(other, one, axis=-1)
        interval = reference.confidence_interval(level)
        np.testing.assert_allclose(fit.t, reference.statistic, rtol=1e-9)
        np.testing.assert_allclose(fit.p, reference.pvalue, rtol=1e-9)
        np.testing.assert_allclose(fit.low, interval.low, rtol=1e-9, atol=1e-9)
        np.testing.assert_allclose(fit.high, interval.high, rtol=1e-9, atol=1e-9)


def test_large_offset_keeps_its_digits():
    """A small scatter on a large mean is not lost."""
    fit = paired_t([1e6 + 0.25, 1e6 + 0.5, 1e6 + 0.75])
    assert fit.sd == pytest.approx(0.25, rel=1e-12)


@few
@given(varied)
def test_swapping_arms_flips_the_sign(differences):
    """Which arm is called changed decides the sign and nothing else."""
    one, other = paired_t(differences), paired_t([-d for d in differences])
    assert (other.mean, other.t, other.low, other.high) == (-one.mean, -one.t, -one.high, -one.low)
    assert (other.sd, other.p) == (one.sd, one.p)


@few
@given(varied)
def test_grams_or_milligrams(differences):
    """A thousand times the unit changes neither t nor p."""
    one, other = paired_t(differences), paired_t([1000 * d for d in differences])
    assert (other.t, other.p) == (pytest.approx(one.t, rel=1e-9, abs=1e-9), pytest.approx(one.p, rel=1e-9))
    assert other.mean == pytest.approx(1000 * one.mean, rel=1e-9, abs=1e-9)


@few
@given(varied, st.randoms())
def test_order_of_pairs(differences, random):
    """In which order the pairs are listed changes nothing."""
    shuffled = random.sample(differences, len(differences))
    one, other = paired_t(differences), paired_t(shuffled)
    assert (other.mean, other.sd, other.p) == (
        pytest.approx(one.mean, rel=1e-9, abs=1e-12),
        pytest.approx(one.sd, rel=1e-9),
        pytest.approx(one.p, rel=1e-9),
    )


@few
@given(varied, st.sampled_from([0.9, 0.95, 0.96, 0.99]))
def test_interval_and_p_agree(differences, level):
    """0 lies outside the interval exactly when p is under 1 - level."""
    fit = paired_t(differences, level=level)
    outside = fit.low > 0 or fit.high < 0
    assert outside == (fit.p < 1 - level)


@few
@given(varied, st.sampled_from([0.9, 0.95, 0.99]))
def test_limits_from_moments(differences, level):
    """The interval from mean and SD alone is the same interval."""
    fit = paired_t(differences, level=level)
    limits = t_limits(fit.mean, fit.sd, fit.pairs, level=level)
    assert (limits.low, limits.high, limits.level) == (
        pytest.approx(fit.low, rel=1e-12, abs=1e-12),
        pytest.approx(fit.high, rel=1e-12, abs=1e-12),
        level,
    )


def test_many_trials_at_once():
    """An array of trials gives, row by row, what each row gives alone."""
    differences = np.random.default_rng(3).normal(1, 2, (3, 4, 7))
    fit = paired_t(differences)
    for place in np.ndindex(3, 4):
        alone = paired_t(differences[place])
        for field in ("mean", "sd", "standard_error", "t", "p", "low", "high"):
            assert getattr(fit, field)[place] == pytest.approx(getattr(alone, field), rel=1e-12)
    assert (fit.pairs, fit.df, fit.mean.shape) == (7, 6, (3, 4))
    assert paired_t(np.empty((0, 5))).mean.shape == (0,)


def test_limits_broadcast():
    """Means, scatters and numbers of pairs of any like shapes go together."""
    limits = t_limits([1.0, 2.0], [[1.0], [0.0]], [4, 8])
    assert limits.low.shape == (2, 2)
    assert limits.low[1].tolist() == [1.0, 2.0]
    assert limits.high[0, 1] == pytest.approx(t_limits(2.0, 1.0, 8).high)


def test_plain_numbers_for_one_trial():
    """One trial comes back as Python numbers, ready for JSON."""
    fit = paired_t([1, 2, 4])
    assert {type(getattr(fit, f)) for f in ("mean", "sd", "standard_error", "t", "p", "low", "high")} == {float}
    assert type(t_limits(1, 1, 4).low) is float


@every("same", [[2.0, 2.0, 2.0], [0.1, 0.1, 0.1], [0.0, 0.0], [0.3 - 0.1, 0.2, 0.2]])
def test_degenerate_no_scatter(same):
    """Equal differences, float dust aside: no scatter, no t, no p, limits at the mean."""
    fit = paired_t(same)
    assert (fit.sd, fit.standard_error, fit.low, fit.high) == (0.0, 0.0, fit.mean, fit.mean)
    assert math.isnan(fit.t)
    assert math.isnan(fit.p)


def test_degenerate_no_scatter_in_one_row():
    """One trial without scatter leaves the others alone."""
    fit = paired_t([[1.0, 1.0, 1.0], [1.0, 2.0, 3.0]])
    assert np.isnan(fit.t).tolist() == [True, False]


def test_degenerate_two_pairs():
    """Two pairs are enough for a very wide interval."""
    # Critical t at 1 degree of freedom: 12.706 (any t table).
    fit = paired_t([1.0, 3.0])
    assert (fit.df, fit.high) == (1, pytest.approx(2 + 12.7062047, rel=1e-8))


def test_degenerate_scatter_not_known():
    """No known scatter, no limits: nothing compares true with NaN."""
    limits = t_limits(1.0, math.nan, 4)
    assert math.isnan(limits.low)
    assert not limits.low > 0
    assert (t_limits(1.0, 0.0, 4).low, t_limits(1.0, 0.0, 4).high) == (1.0, 1.0)


@every(
    ("differences", "message"),
    [
        ([1.0], r"^differences: 1 pair is too few, this needs at least 2; add pairs\.$"),
        ([], r"^differences: 0 pairs are too few"),
        (1.0, r"^differences: 1\.0 is a single number.*put it in a list\.$"),
        ([1.0, math.nan, 2.0], r"^differences: nan at index 1 .* leave the whole pair out\.$"),
        ([[1.0, 2.0], [math.inf, 2.0]], r"^differences: inf at index \(1, 0\)"),
        ([1.0, -1e101], r"^differences: -1e\+101 at index 1"),
        ([1.0, None], r"^differences: nan at index 1"),
    ],
)
def test_refused_differences(differences, message):
    """Differences no t can be made of are refused with value, rule and next step."""
    with pytest.raises(ValueError, match=message):
        paired_t(differences)


@every("level", [0, 1, 95, -0.5, math.nan])
def test_refused_levels(level):
    """A level is a share, not a percentage."""
    with pytest.raises(ValueError, match=r"does not lie between 0 and 1; write 95 % as 0\.95"):
        paired_t([1.0, 2.0], level=level)
    with pytest.raises(ValueError, match="does not lie between 0 and 1"):
        t_limits(1.0, 1.0, 4, level=level)


@every(
    ("mean", "sd", "pairs", "message"),
    [
        (math.nan, 1.0, 4, "^mean: nan is not a finite number"),
        (1.0, -0.5, 4, r"^sd: -0\.5 is not a finite number from 0 up"),
        (1.0, math.inf, 4, "^sd: inf"),
        (1.0, 1.0, 1, "^pairs: 1 is not a whole number from 2 to 1000000"),
        (1.0, 1.0, 4.5, r"^pairs: 4\.5 is not"),
        (1.0, 1.0, [4, math.nan], "^pairs: nan is not"),
    ],
)
def test_refused_moments(mean, sd, pairs, message):
    """Moments no limits can be made of are refused."""
    with pytest.raises(ValueError, match=message):
        t_limits(mean, sd, pairs)


def test_largest_allowed_differences():
    """At the edge of what is taken, nothing overflows."""
    fit = paired_t([1e100, -1e100, 1e100])
    assert math.isfinite(fit.t)
