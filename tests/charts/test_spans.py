"""Axes keep the pairs readable whatever the interval does."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from trials.charts.spans import Span, difference_span, span_around, stacked

NUMBERS = st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=60)


@given(NUMBERS)
def test_all_values_are_inside(values: list[float]):
    """A stretch around values holds them all and has a width."""
    span = span_around(values)
    assert span.low < span.high
    assert not any(map(span.side, values))


@given(NUMBERS, st.floats(-1e6, 1e6))
def test_zero_and_mean_are_on_the_axis(differences: list[float], mean: float):
    """Zero and the mean are always drawn where they are."""
    span = difference_span(differences, [-1e9, 1e9], [], mean)
    assert span.side(0.0) == 0
    assert span.side(mean) == 0


def test_a_huge_interval_does_not_crush_the_pairs():
    """However wide the interval is, the pairs keep close to half of the axis."""
    span = difference_span([2.0, 6.0, -0.5], [-80.0, 900.0], [-1.0, 1.0], 2.5)
    assert 7.0 / span.width > 0.4
    assert (span.side(-80.0), span.side(900.0)) == (-1, 1)


def test_a_huge_line_does_not_either():
    """A line far past every pair is left off the axis; one nearby is on it."""
    assert difference_span([1.0, 2.0], [], [-90.0, 90.0]).side(90.0) == 1
    assert difference_span([1.0, 2.0], [], [-4.0, 4.0]).side(4.0) == 0


@given(st.lists(st.integers(0, 30).map(float), max_size=40))
def test_marks_never_overlap(values: list[float]):
    """Two marks of one level are at least as far apart as asked."""
    levels = stacked(values, 1.5)
    for level in set(levels):
        row = sorted(value for value, own in zip(values, levels, strict=True) if own == level)
        assert all(b - a >= 1.5 for a, b in pairwise(row))


def test_clamping():
    """A value past an end is drawn at that end."""
    assert [Span(0, 1).clamp(v) for v in (-3, 0.5, 7)] == [0, 0.5, 1]
