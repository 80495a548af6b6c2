"""The odd pair is found by the published critical values, and at the rate they promise."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.tables import every
from trials.statistics.odd_pair import odd_pair

few = settings(max_examples=60, deadline=None)
V2 = [2.1, 0.4, 3.0, 1.2, -0.5, 2.6, 0.9, 1.7]
tenths = st.lists(st.integers(-300, 300).map(lambda n: n / 10), min_size=3, max_size=12)


@every(
    ("pairs", "critical"),
    [
        (3, "1.155"),
        (4, "1.481"),
        (5, "1.715"),
        (6, "1.887"),
        (7, "2.020"),
        (8, "2.126"),
        (10, "2.290"),
        (20, "2.709"),
    ],
)
def test_critical_values(pairs, critical):
    """Two-sided 5 % critical values are the printed ones, one unit of their last digit allowed."""
    # Grubbs & Beck, Technometrics 14 (1972) table I, 2.5 % one-sided; values from memory. Some last digits there were
    # rounded from other quadrature, hence the whole unit.
    assert odd_pair(np.arange(pairs)).critical == pytest.approx(float(critical), abs=0.0011)


def test_mass_spectrometer(printed):
    """The handbook's uranium readings: the last of eight is odd."""
    # Tietjen & Moore 1972 data, NIST/SEMATECH e-Handbook 1.3.5.17: G 2.469, one-sided 5 % critical value 2.032; values
    # from memory. One-sided 5 % is two-sided 10 %.
    readings = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]
    odd = odd_pair(readings, alpha=0.10)
    assert (odd.index, odd.g, odd.critical, odd.is_odd) == (7, printed("2.469"), printed("2.032"), True)


def test_worked_trial(printed):
    """Eight invented differences have no odd pair."""
    # Own calculation, not published; the critical value is that of Grubbs for 8 at 5 % (2.126 in the printed tables).
    odd = odd_pair(V2)
    assert (odd.g, odd.critical, odd.is_odd, odd.index) == (printed("1.6546"), printed("2.1266"), False, 4)


@every("pairs", [4, 8])
def test_false_alarms(pairs):
    """With nothing odd, one trial in twenty is flagged."""
    # Own simulation, not published, of 4 to 12 pairs from a bell curve: 5.0 to 5.3 %.
    odd = odd_pair(np.random.default_rng(pairs).normal(size=(40_000, pairs)))
    assert odd.is_odd.mean() == pytest.approx(0.05, abs=4 * math.sqrt(0.05 * 0.95 / 40_000))


def test_a_pair_far_off_is_named():
    """A pair 8 SDs off among eight is flagged in 99 of 100 trials."""
    # Own simulation, not published, of eight pairs from a bell curve with one 8 SDs off: 99 in 100.
    differences = np.random.default_rng(5).normal(size=(10_000, 8))
    differences[:, 2] += 8
    odd = odd_pair(differences)
    assert (odd.is_odd & (odd.index == 2)).mean() == pytest.approx(0.99, abs=0.01)


@few
@given(tenths.filter(lambda d: len(set(d)) > 1), st.randoms())
def test_signs_units_and_order_do_not_matter(differences, random):
    """Swapped arms, other units and shuffled pairs leave g and the answer."""
    one = odd_pair(differences)
    shuffled = random.sample(differences, len(differences))
    for other in (odd_pair([-d for d in differences]), odd_pair([1000 * d for d in differences]), odd_pair(shuffled)):
        assert other.g == pytest.approx(one.g, rel=1e-9)
        assert other.is_odd == one.is_odd


def test_many_trials_at_once():
    """An array of trials gives, row by row, what each row gives alone."""
    differences = np.random.default_rng(3).standard_t(2, (3, 4, 6))
    odd = odd_pair(differences)
    for place in np.ndindex(3, 4):
        alone = odd_pair(differences[place])
        assert (odd.index[place], odd.is_odd[place]) == (alone.index, alone.is_odd)
        assert odd.g[place] == pytest.approx(alone.g)
    one = odd_pair(V2)
    assert (type(one.index), type(one.g), type(one.critical), type(one.is_odd)) == (int, float, float, bool)


def test_degenerate_all_equal():
    """Equal differences: none is odd."""
    odd = odd_pair([0.1, 0.1, 0.1])
    assert (odd.g, odd.is_odd) == (0.0, False)


@every(
    ("differences", "alpha", "message"),
    [
        ([1.0, 2.0], 0.05, "^differences: 2 pairs are too few, this needs at least 3"),
        ([1.0, 2.0, math.inf], 0.05, "^differences: inf at index 2"),
        ([1.0, 2.0, 3.0], 5, "^alpha: 5 does not lie between 0 and 1"),
    ],
)
def test_refused(differences, alpha, message):
    """Too few pairs, no numbers, or a percentage for alpha are refused."""
    with pytest.raises(ValueError, match=message):
        odd_pair(differences, alpha=alpha)
