"""The effect of going first is a two-sample t, and the adjusted mean is a regression's."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from tests.tables import every
from trials.statistics.order_effect import order_effect
from trials.statistics.paired_t import paired_t

few = settings(max_examples=60, deadline=None)
V2 = [2.1, 0.4, 3.0, 1.2, -0.5, 2.6, 0.9, 1.7]
ORDERS = [0, 1, 0, 1, 1, 0, 1, 0]


@st.composite
def ordered_trials(draw):
    """Differences in tenths that are not all equal, with both orders among them."""
    pairs = draw(st.integers(4, 12))
    differences = draw(st.lists(st.integers(-90, 90), min_size=pairs, max_size=pairs))
    orders = draw(st.lists(st.booleans(), min_size=pairs, max_size=pairs).filter(lambda o: any(o) and not all(o)))
    return [d / 10 for d in differences], orders


def test_worked_trial(printed):
    """Invented differences in a balanced order, reckoned apart from this code."""
    # Own calculation, not published; t and p as scipy.stats.ttest_ind gives them for the two orders.
    seen = order_effect(V2, ORDERS)
    assert (seen.difference, seen.t, seen.p) == (
        pytest.approx(2.35 - 0.5),
        printed("3.9517"),
        printed(".0075"),
    )
    assert (seen.adjusted, seen.adjusted_se, seen.df) == (printed("1.425"), printed(".2341"), 6)


@every("orders", [[1, 0, 0, 1, 1, 0, 0], [1, 0, 0, 0, 0, 0, 0], [0, 1, 1, 1, 1, 1, 1]])
def test_effect_against_reference(orders):
    """Its t and p are scipy's for two samples of like scatter, balanced or not."""
    differences = np.random.default_rng(1).normal(size=(20, 7))
    changed = np.array(orders, dtype=bool)
    seen = order_effect(differences, changed)
    reference = stats.ttest_ind(differences[:, ~changed], differences[:, changed], axis=-1, equal_var=True)
    np.testing.assert_allclose(seen.t, reference.statistic, rtol=1e-9)
    np.testing.assert_allclose(seen.p, reference.pvalue, rtol=1e-9)


@every("orders", [[1, 0, 0, 1, 1, 0, 0], [1, 0, 0, 0, 0, 0, 0]])
def test_adjusted_against_regression(orders):
    """The adjusted mean and its limits are the intercept of a least-squares line on order -1/2, +1/2."""
    differences = np.random.default_rng(2).normal(1, 2, 7)
    design = np.column_stack([np.ones(7), np.array(orders) - 0.5])
    coefficients, squares, *_ = np.linalg.lstsq(design, differences, rcond=None)
    se = math.sqrt(squares[0] / 5 * np.linalg.inv(design.T @ design)[0, 0])
    seen = order_effect(differences, orders, level=0.9)
    assert (seen.adjusted, seen.adjusted_se) == (pytest.approx(coefficients[0]), pytest.approx(se))
    assert seen.adjusted_high == pytest.approx(coefficients[0] + stats.t.ppf(0.95, 5) * se)
    assert seen.adjusted_low == pytest.approx(coefficients[0] - stats.t.ppf(0.95, 5) * se)


def test_adjusting_takes_the_effect_out():
    """Whatever going second adds, the adjusted mean and its limits stay."""
    differences, orders = np.array(V2), np.array(ORDERS, dtype=bool)
    plain = order_effect(differences, orders)
    shifted = order_effect(differences + np.where(orders, -7.0, 7.0), orders)
    assert shifted.adjusted == pytest.approx(plain.adjusted)
    assert shifted.adjusted_low == pytest.approx(plain.adjusted_low)
    assert shifted.difference == pytest.approx(plain.difference + 14)


def test_balanced_order_keeps_the_mean():
    """With as many pairs in each order the adjusted mean is the mean."""
    assert order_effect(V2, ORDERS).adjusted == pytest.approx(paired_t(V2).mean)


@few
@given(ordered_trials())
def test_swapping_arms(trial):
    """Swapped arms swap the orders too: the mean turns around, the effect of going second stays."""
    differences, orders = trial
    one = order_effect(differences, orders)
    other = order_effect([-d for d in differences], [not o for o in orders])
    assert other.adjusted == pytest.approx(-one.adjusted, abs=1e-9)
    assert other.difference == pytest.approx(one.difference, abs=1e-9)
    assert other.p == pytest.approx(one.p, rel=1e-9, nan_ok=True)


@few
@given(ordered_trials(), st.randoms())
def test_order_of_pairs_and_units(trial, random):
    """In which order pairs are listed, and in which unit, changes no p."""
    differences, orders = trial
    places = random.sample(range(len(orders)), len(orders))
    one = order_effect(differences, orders)
    other = order_effect([1000 * differences[i] for i in places], [orders[i] for i in places])
    assert other.p == pytest.approx(one.p, rel=1e-9, nan_ok=True)


def test_many_trials_at_once():
    """An array of trials gives, row by row, what each row gives alone; orders may differ by trial or not."""
    random = np.random.default_rng(3)
    differences = random.normal(size=(3, 4, 6))
    orders = random.permuted(np.tile([True, True, True, False, False, False], (3, 4, 1)), axis=-1)
    for given_orders in (orders, orders[0, 0]):
        seen = order_effect(differences, given_orders)
        for place in np.ndindex(3, 4):
            alone = order_effect(differences[place], np.broadcast_to(given_orders, (3, 4, 6))[place])
            for field in ("difference", "t", "p", "adjusted", "adjusted_se", "adjusted_low", "adjusted_high"):
                assert getattr(seen, field)[place] == pytest.approx(getattr(alone, field))
    assert order_effect(differences[0, 0], orders).p.shape == (3, 4)
    assert type(order_effect(V2, ORDERS).adjusted_low) is float


def test_degenerate_no_scatter_within_orders():
    """No scatter in either order: no t, and limits at the adjusted mean."""
    seen = order_effect([0.1, 0.3, 0.1, 0.3], [0, 1, 0, 1])
    assert math.isnan(seen.t)
    assert math.isnan(seen.p)
    assert (seen.adjusted_low, seen.adjusted_high) == (seen.adjusted, seen.adjusted)


@every(
    ("differences", "orders", "message"),
    [
        ([1, 2, 3], [0, 1, 0], "^differences: 3 pairs are too few, this needs at least 4"),
        ([1, 2, 3, math.nan], [0, 1, 0, 1], "^differences: nan at index 3"),
        ([1, 2, 3, 4], [0, 0, 0, 0], "^changed_first: all pairs of a trial were run in one order"),
        ([1, 2, 3, 4], [True] * 4, "Leave this check out"),
        ([1, 2, 3, 4], [0, 1, 0], r"^changed_first: shape \(3,\) for 4 pairs"),
        ([1, 2, 3, 4], True, r"^changed_first: shape \(\) for 4 pairs"),
        ([1, 2, 3, 4], [0, 1, 2, 1], "^changed_first: 2 is neither True nor False"),
    ],
)
def test_refused(differences, orders, message):
    """What can't be told is refused with value, rule and next step."""
    with pytest.raises(ValueError, match=message):
        order_effect(differences, orders)
