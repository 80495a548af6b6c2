"""Turns, labels, and what one run hands to the next."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trials.simulation.schedule import Schedule, by_label, next_run, paired_schedule


@given(st.lists(st.booleans(), min_size=1, max_size=20))
def test_pairs_run_one_after_the_other_property(changed_first: list[bool]):
    """Pair j holds turns 2j+1 and 2j+2, the changed half first where the draw says so."""
    turn = paired_schedule(changed_first).turn[0]
    np.testing.assert_array_equal(turn.min(axis=1), 2 * np.arange(len(changed_first)) + 1)
    np.testing.assert_array_equal(turn[:, 1] < turn[:, 0], changed_first)
    np.testing.assert_array_equal(np.sort(turn.ravel()), np.arange(2 * len(changed_first)) + 1)


@given(st.integers(0, 2**32 - 1), st.integers(1, 6), st.integers(1, 4))
def test_each_run_receives_from_the_one_before_property(seed: int, pairs: int, arms: int):
    """In any order of any number of arms, turn t receives what turn t - 1 left, and the first nothing."""
    rng = np.random.default_rng(seed)
    turn = rng.permuted(np.tile(np.arange(pairs * arms) + 1, (3, 1)), axis=1).reshape(3, pairs, arms)
    zeros = np.zeros_like(turn)
    received = next_run(Schedule(turn, zeros, zeros), turn)
    np.testing.assert_array_equal(received, turn - 1)


def test_classes_travel_with_their_run():
    """What is handed on by size class stays in its class."""
    schedule = paired_schedule([True, False])
    left = np.arange(12).reshape(1, 2, 2, 3)
    np.testing.assert_array_equal(
        next_run(schedule, left)[0].tolist(),
        [[[3, 4, 5], [0, 0, 0]], [[0, 1, 2], [6, 7, 8]]],
    )


def test_one_order_or_one_for_each_trial():
    """One order serves all trials; a row for each trial gives each its own."""
    assert paired_schedule([True, False], trials=3).shape == (3, 2, 2)
    own = paired_schedule([[True, False], [False, True]])
    np.testing.assert_array_equal(own.turn, [[[2, 1], [3, 4]], [[1, 2], [4, 3]]])


def test_sessions_and_feeders_by_pair_or_by_half():
    """Labels are given pair by pair or half by half; unasked, each pair is a session and one person feeds."""
    plain = paired_schedule([True, False])
    np.testing.assert_array_equal(plain.session[0], [[0, 0], [1, 1]])
    np.testing.assert_array_equal(plain.feeder[0], [[0, 0], [0, 0]])
    halves = paired_schedule([True, False], trials=2, sessions=[3, 3], feeders=[[0, 1], [0, 1]])
    np.testing.assert_array_equal(halves.session[1], [[3, 3], [3, 3]])
    np.testing.assert_array_equal(halves.feeder[1], [[0, 1], [0, 1]])


def test_runs_of_one_label_share_a_value():
    """Every run gets the value of its label, trial by trial."""
    labels = np.array([[[0, 1], [1, 0]], [[1, 1], [0, 0]]])
    values = np.array([[10.0, 20.0], [30.0, 40.0]])
    np.testing.assert_array_equal(by_label(values, labels), [[[10, 20], [20, 10]], [[40, 40], [30, 30]]])


def test_a_turn_used_twice_is_refused():
    """Two runs can't share a turn."""
    with pytest.raises(ValueError, match="does not hold each turn from 1 to 4 once in every trial"):
        Schedule(np.array([[[1, 2], [2, 4]]]), np.zeros((1, 2, 2), int), np.zeros((1, 2, 2), int))


def test_a_label_below_nought_is_refused():
    """Labels count from 0, and every run has one."""
    with pytest.raises(ValueError, match=r"Schedule\.feeder has shape \(1, 2, 2\) and least label -1"):
        paired_schedule([True, False], feeders=[0, -1])
