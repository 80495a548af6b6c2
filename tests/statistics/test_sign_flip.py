"""The sign flips are exact where they can be, honest where they are drawn, and agree with their own limits."""

import itertools
import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from tests.tables import every
from trials.statistics import sign_flip as room
from trials.statistics.sign_flip import flip_sets, sign_flip, subset_sums

few = settings(max_examples=60, deadline=None)
# Small whole numbers: sums tie all the time.
tied = st.lists(st.integers(-4, 4), min_size=2, max_size=9)
# Tenths: the same ties, which floats no longer see exactly.
tenths = tied.map(lambda d: [n / 10 for n in d])
spread = st.lists(st.floats(-100, 100, allow_subnormal=False).map(lambda x: round(x, 3)), min_size=2, max_size=9)
levels = st.sampled_from([0.5, 0.75, 0.8, 0.9, 0.95, 0.96, 0.99])


def _brute_p(whole):
    """Count every flip of whole numbers, one by one."""
    total = abs(sum(whole))
    sums = [
        sum(s * d for s, d in zip(signs, whole, strict=True)) for signs in itertools.product((1, -1), repeat=len(whole))
    ]
    return Fraction(sum(abs(s) >= total for s in sums), len(sums))


def _brute_limits(whole, level):
    """Sort the mean of every non-empty set, and count m in from both ends."""
    sets = itertools.product((False, True), repeat=len(whole))
    picked = [list(itertools.compress(whole, chosen)) for chosen in sets]
    means = sorted(Fraction(sum(p), len(p)) for p in picked if p)
    m = math.floor(Fraction(1 - Fraction(str(level)), 2) * 2 ** len(whole))
    return (means[m - 1], means[-m]) if m else (None, None)


@every("pairs", [2, 3, 5, 8, 11])
def test_against_reference(pairs):
    """The p is that of scipy's permutation test over all flips, to 1e-9 of its size."""
    random = np.random.default_rng(pairs)
    for shift in (0.0, 0.8):
        differences = random.normal(shift, 1.0, pairs)
        reference = stats.permutation_test(
            (differences,), np.sum, permutation_type="samples", alternative="two-sided", n_resamples=np.inf
        )
        assert sign_flip(differences).p == pytest.approx(reference.pvalue, rel=1e-9)


@few
@given(tied)
def test_p_against_brute_force(whole):
    """With ties everywhere, p is the exact count, in whole numbers and in tenths alike."""
    expected = float(_brute_p(whole))
    assert sign_flip(whole).p == expected
    assert sign_flip([n / 10 for n in whole]).p == expected


@few
@given(tied, levels)
def test_limits_against_brute_force(whole, level):
    """The limits are the m-th smallest and largest mean of a set of pairs."""
    low, high = _brute_limits(whole, level)
    check = sign_flip(whole, level=level)
    if low is None:
        assert (check.low, check.high) == (None, None)
    else:
        assert (check.low, check.high) == (pytest.approx(float(low)), pytest.approx(float(high)))


@few
@given(st.one_of(tied, tenths, spread), levels)
def test_p_and_limits_agree_on_zero(differences, level):
    """0 lies outside the limits exactly when p is not over 2 m / flips."""
    check = sign_flip(differences, level=level)
    rank = math.floor((1 - level) / 2 * check.flips + 1e-9)
    if rank == 0:
        assert check.low is None
        return
    outside = check.low > 0 or check.high < 0
    assert outside == (check.p <= 2 * rank / check.flips)


@settings(max_examples=6, deadline=None)
@given(st.lists(st.integers(-9, 12).map(lambda n: n / 10), min_size=21, max_size=40), st.integers(0, 10**6))
def test_p_and_limits_agree_on_zero_when_drawn(differences, seed):
    """The same holds above 20 pairs, where sets are drawn."""
    check = sign_flip(differences, seed=seed)
    assert (check.flips, check.exact) == (100_000, False)
    assert (check.low > 0 or check.high < 0) == (check.p <= 0.05)


@few
@given(st.one_of(tied, tenths, spread))
def test_swapping_arms_flips_the_sign(differences):
    """Which arm is called changed turns the limits around and leaves p."""
    one, other = sign_flip(differences, level=0.8), sign_flip([-d for d in differences], level=0.8)
    assert other.p == one.p
    if one.low is not None:
        assert (other.low, other.high) == (pytest.approx(-one.high, abs=1e-12), pytest.approx(-one.low, abs=1e-12))


@few
@given(st.one_of(tied, tenths, spread))
def test_grams_or_milligrams(differences):
    """A thousand times the unit leaves p."""
    assert sign_flip([1000 * d for d in differences]).p == sign_flip(differences).p


@few
@given(st.one_of(tied, tenths, spread), st.randoms())
def test_order_of_pairs(differences, random):
    """In which order the pairs are listed changes nothing."""
    one, other = sign_flip(differences, level=0.8), sign_flip(random.sample(differences, len(differences)), level=0.8)
    assert other.p == one.p
    if one.low is not None:
        assert (other.low, other.high) == (pytest.approx(one.low, abs=1e-12), pytest.approx(one.high, abs=1e-12))


def test_order_and_arms_when_drawn():
    """Above 20 pairs too, order and names of the arms change nothing, with +2 and -2 among the pairs."""
    random = np.random.default_rng(8)
    differences = random.integers(-20, 30, 25) / 10
    one = sign_flip(differences)
    for other in (sign_flip(random.permutation(differences)), sign_flip(1000 * differences)):
        assert other.p == one.p
    assert sign_flip(random.permutation(differences)).low == pytest.approx(one.low, abs=1e-12)
    # Swapped arms put +2 and -2 into another order of size; what is left is the luck of drawing.
    assert sign_flip(-differences).p == pytest.approx(one.p, abs=0.005)


def test_drawn_against_exact():
    """Drawn flips come as near to all flips as 50,000 draws must."""
    differences = np.random.default_rng(2).normal(0.35, 1.0, 22)
    sums = np.zeros(1)
    for d in differences[1:]:
        sums = np.concatenate([sums + d, sums - d])
    exact_p = np.mean(np.abs(sums + differences[0]) >= abs(differences.sum()) * (1 - 1e-12))
    four_standard_errors = 4 * math.sqrt(exact_p * (1 - exact_p) / 50_000)
    checks = [sign_flip(differences, seed=seed) for seed in (1, 2, 3)]
    for check in checks:
        assert check.p == pytest.approx(exact_p, abs=four_standard_errors)
    assert len({check.p for check in checks}) > 1
    lows = [check.low for check in checks]
    assert max(lows) - min(lows) < 0.05 * differences.std()


def test_drawn_flips_repeat_with_their_seed():
    """The same seed gives the same answer, and no global state is touched."""
    differences = np.random.default_rng(4).normal(0.3, 1.0, 30)
    before = np.random.get_state()[1].tolist()  # noqa: NPY002 - it is the global state that must stay as it was
    one, other = sign_flip(differences, seed=7), sign_flip(differences, seed=7)
    assert (one.p, one.low, one.high) == (other.p, other.low, other.high)
    assert np.random.get_state()[1].tolist() == before  # noqa: NPY002 - as above


def test_draw_that_strikes_the_empty_set_again():
    """A drawn set that flips nothing counts as a flip, and breaks neither p nor limits."""
    sets = flip_sets(21, seed=1)
    assert sets.empty == 2
    assert sets.drawn is not None
    assert subset_sums(np.ones((1, 21)), sets)[0, :4].tolist() == [0, 0, 21, 21]
    check = sign_flip(np.arange(1.0, 22.0), seed=1)
    assert check.p == 4 / 100_000
    # At this level one mean would be counted in from each end; the empty set drawn again has used it up.
    assert sign_flip(np.arange(1.0, 22.0), level=1 - 2 / 100_000).low is None
    assert 0 < check.low < check.high < 21


def test_drawn_sets_all_come_with_their_opposite():
    """Every set and its opposite add up to the total."""
    rows = np.random.default_rng(5).normal(size=(2, 23))
    sums = subset_sums(rows, flip_sets(23, seed=3))
    assert sums.shape == (2, 100_000)
    np.testing.assert_allclose(sums.mean(axis=-1), rows.sum(axis=-1) / 2)


def test_false_alarms_of_the_limits():
    """With nothing changed, 95 % limits of 8 pairs miss 0 in 12 of 256 trials, as their arithmetic says."""
    # m = floor(.025 x 256) = 6, two-sided 12/256 = 4.69 %.
    differences = np.random.default_rng(6).standard_t(3, (20_000, 8))
    check = sign_flip(differences)
    missed = ((check.low > 0) | (check.high < 0)).mean()
    assert missed == pytest.approx(12 / 256, abs=4 * math.sqrt(0.0469 * 0.9531 / 20_000))


@pytest.mark.parametrize("pairs", [3, 7, 22])
def test_many_trials_at_once(pairs, monkeypatch):
    """An array of trials gives, row by row, what each row gives alone, however it is cut into chunks."""
    differences = np.random.default_rng(3).normal(0.5, 1.0, (3, 4, pairs))
    monkeypatch.setattr(room, "_SUMS_AT_ONCE", 5 * flip_sets(pairs, seed=1).flips)
    check = sign_flip(differences)
    assert check.p.shape == check.low.shape == (3, 4)
    for place in np.ndindex(3, 4):
        alone = sign_flip(differences[place])
        assert check.p[place] == alone.p
        if alone.low is None:
            assert np.isnan([check.low[place], check.high[place]]).all()
        else:
            assert (check.low[place], check.high[place]) == (pytest.approx(alone.low), pytest.approx(alone.high))


def test_no_trials():
    """No trials, no answers, no complaint."""
    assert sign_flip(np.empty((0, 5))).p.shape == (0,)


@every(("level", "rank"), [(0.75, 1), (0.5, 2), (1 - 2 / 8, 1)])
def test_level_that_asks_for_a_whole_number(level, rank):
    """Its rank is not lost to float dust: at 3 pairs a 75 % interval uses the smallest and the largest mean."""
    check = sign_flip([1.0, 2.0, 6.0], level=level)
    means = sorted([1.0, 2.0, 6.0, 1.5, 3.5, 4.0, 3.0])
    assert (check.low, check.high) == (means[rank - 1], means[-rank])


@every(("tenths_of", "level"), [([4, 5, -1, -3], 0.5), ([3, -4, -1, -2], 0.5), ([6, -6, 4, 2], 0.3)])
def test_float_dust_does_not_put_zero_outside(tenths_of, level):
    """A limit of 0 stays 0 where sums of tenths leave 1e-17 behind, and 0 stays inside."""
    check = sign_flip([n / 10 for n in tenths_of], level=level)
    low, high = _brute_limits(tenths_of, level)
    assert 0 in (low, high)
    assert check.low <= 0 <= check.high
    assert check.p > 1 - level


def test_rank_of_drawn_limits():
    """At 90 % the drawn limits are the 5,000th means from each end, though (1 - .9)/2 x 100,000 falls short in floats."""
    differences = np.random.default_rng(4).normal(0.3, 1.0, 30)
    differences = differences[np.argsort(np.abs(differences))]
    sets = flip_sets(30, seed=1)
    assert sets.empty == 1
    sums, sizes = subset_sums(differences[np.newaxis], sets), subset_sums(np.ones((1, 30)), sets)
    means = np.sort(sums[0, 1:] / sizes[0, 1:])
    assert (1 - 0.9) / 2 * 100_000 < 5000
    check = sign_flip(differences, level=0.9)
    assert (check.low, check.high) == (
        pytest.approx(means[4999], rel=1e-12),
        pytest.approx(means[-5000], rel=1e-12),
    )


def test_exact_to_twenty_pairs():
    """20 pairs are counted in full, 21 are drawn."""
    assert (sign_flip(np.ones(20)).flips, sign_flip(np.ones(20)).exact) == (2**20, True)
    assert (sign_flip(np.ones(21)).flips, sign_flip(np.ones(21)).exact) == (100_000, False)


def test_degenerate_all_equal():
    """Equal differences: the smallest p there is, and limits at that difference."""
    check = sign_flip([0.1] * 8)
    assert (check.p, check.low, check.high) == (2 / 256, pytest.approx(0.1), pytest.approx(0.1))


@every("pairs", [2, 8, 25])
def test_degenerate_all_zero(pairs):
    """Nothing but zeros: every flip reaches, p is 1 and 0 is inside."""
    check = sign_flip([0.0] * pairs)
    assert check.p == 1.0
    assert check.low in (None, 0.0)


def test_degenerate_two_pairs():
    """Two pairs can't say much: p is never under a half."""
    check = sign_flip([3.0, 4.0])
    assert (check.p, check.smallest_p, check.low, check.high) == (0.5, 0.5, None, None)


@every(
    ("differences", "message"),
    [
        ([1.0], "^differences: 1 pair is too few, this needs at least 2"),
        ([1.0, math.nan], "^differences: nan at index 1"),
        ([[1.0, 2.0], [2.0, -math.inf]], r"^differences: -inf at index \(1, 1\)"),
    ],
)
def test_refused_differences(differences, message):
    """Differences that can't be flipped are refused with value, rule and next step."""
    with pytest.raises(ValueError, match=message):
        sign_flip(differences)


def test_refused_level():
    """A level is a share, not a percentage."""
    with pytest.raises(ValueError, match=r"^level: 95 does not lie between 0 and 1; write 95 % as 0\.95\.$"):
        sign_flip([1.0, 2.0], level=95)
