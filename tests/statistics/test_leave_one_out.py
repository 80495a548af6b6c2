"""Leaving a pair out gives what the other pairs give alone."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.tables import every
from trials.statistics.leave_one_out import leave_one_out
from trials.statistics.paired_t import paired_t

few = settings(max_examples=40, deadline=None)
V2 = [2.1, 0.4, 3.0, 1.2, -0.5, 2.6, 0.9, 1.7]
tenths = st.lists(st.integers(-50, 90).map(lambda n: n / 10), min_size=3, max_size=9)


def test_worked_trial(printed):
    """Eight invented differences, pair by pair."""
    # Own calculation, not published, as scipy.stats.ttest_1samp has it for the seven others.
    without = leave_one_out(V2)
    means = ["1.3286", "1.5714", "1.2", "1.4571", "1.7", "1.2571", "1.5", "1.3857"]
    assert list(without.means) == [printed(m) if len(m) > 3 else pytest.approx(float(m)) for m in means]
    p = [".0282", ".0122", ".0235", ".0217", ".0030", ".0274", ".0183", ".0263"]
    assert list(without.p) == [printed(x) for x in p]
    assert without.changes == (False,) * 8


def _answer(fit):
    return 1 if fit.low > 0 else -1 if fit.high < 0 else 0


@few
@given(tenths, st.sampled_from([0.9, 0.95, 0.99]))
def test_against_the_other_pairs_alone(differences, level):
    """Each entry is the paired t of the list with that pair deleted."""
    without = leave_one_out(differences, level=level)
    whole = paired_t(differences, level=level)
    for i in range(len(differences)):
        alone = paired_t(np.delete(differences, i), level=level)
        assert without.means[i] == pytest.approx(alone.mean)
        assert without.lows[i] == pytest.approx(alone.low)
        assert without.highs[i] == pytest.approx(alone.high)
        assert without.p[i] == pytest.approx(alone.p, nan_ok=True)
        assert without.changes[i] == (_answer(alone) != _answer(whole))


def test_many_trials_at_once():
    """An array of trials gives, row by row, what each row gives alone."""
    differences = np.random.default_rng(3).normal(1, 1, (3, 4, 6))
    without = leave_one_out(differences)
    assert without.means.shape == without.changes.shape == (3, 4, 6)
    for place in np.ndindex(3, 4):
        alone = leave_one_out(differences[place])
        assert without.changes[place].tolist() == list(alone.changes)
        assert without.lows[place] == pytest.approx(list(alone.lows))


def test_how_often_the_answer_changes():
    """With nothing wrong and a true difference of 1 SD the answer often changes."""
    # Own simulation, not published, of bell-curve differences with a mean of 1 SD: 39/45/37/18 % at 4/6/8/12 pairs
    # (20,000 trials, 1 SE .35).
    for pairs, share in ((4, 0.39), (6, 0.45), (8, 0.37), (12, 0.18)):
        differences = np.random.default_rng(pairs).normal(1, 1, (10_000, pairs))
        assert leave_one_out(differences).changes.any(axis=-1).mean() == pytest.approx(share, abs=0.02)


def test_one_pair_that_carries_the_answer():
    """A single wild pair is what keeps the others from an answer."""
    without = leave_one_out([2.0, 2.1, 1.9, 2.0, 2.2, 1.8, 2.1, -9.0])
    assert without.changes == (False,) * 7 + (True,)


def test_plain_tuples_for_one_trial():
    """One trial comes back as tuples of Python numbers, ready for JSON."""
    without = leave_one_out(V2)
    assert (type(without.means), type(without.means[0]), type(without.changes[0])) == (tuple, float, bool)


def test_degenerate_the_others_equal():
    """The others without scatter: limits at their mean, no p."""
    without = leave_one_out([1.0, 1.0, 1.0, -5.0])
    assert (without.lows[3], without.highs[3], without.changes[3]) == (1.0, 1.0, True)
    assert math.isnan(without.p[3])


@every(
    ("differences", "message"),
    [
        ([1.0, 2.0], "^differences: 2 pairs are too few, this needs at least 3"),
        ([1.0, 2.0, math.nan], "^differences: nan at index 2"),
    ],
)
def test_refused(differences, message):
    """Too few pairs, or no numbers, are refused."""
    with pytest.raises(ValueError, match=message):
        leave_one_out(differences)
    with pytest.raises(ValueError, match=r"^level: 95 does not lie"):
        leave_one_out([1.0, 2.0, 3.0], level=95)
