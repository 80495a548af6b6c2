"""The chart of a year's worth sets gold and costs against zero."""

import pytest

from tests.charts.drawn import Drawn
from trials.charts.worth_chart import worth_chart
from trials.worth.gain import Span3
from trials.worth.reckon import Worth, YearCost, nothing_to_price

FOUND = Worth(
    refused=None,
    gram=55.75,
    gold_g=Span3(0.07, 0.2, 0.32),
    gold_money=Span3(4.0, 11.0, 18.0),
    costs=(YearCost("clean-up minutes", 48.0, 8.0, "typed"), YearCost("black sand", 1.0, 0.0, "in the minutes")),
    cost_money=8.0,
    benefit=Span3(-4.0, 3.0, 10.0),
    once=0.0,
    payback_years=None,
    break_even=3.0,
)


@pytest.mark.parametrize("narrow", [False, True])
def test_bars_end_at_their_money_and_zero_is_drawn(narrow: bool) -> None:
    """Gold, what it costs, and what is left, each from low to high; a line at zero; every number in words."""
    drawn = Drawn(worth_chart(FOUND, "More gold", ["The price is typed."], "EUR", narrow=narrow))
    bars = [row for mark in drawn.marks("bar") for row in drawn.rows(mark)]
    assert [(bar["low"], bar["high"]) for bar in bars] == [(4.0, 18.0), (-8.0, 0.0), (-4.0, 10.0)]
    assert [row["low"] for mark in drawn.marks("point") for row in drawn.rows(mark)] == [11.0, 3.0]
    assert [drawn.rows(mark) for mark in drawn.marks("rule")] == [[{"low": 0.0}]]
    assert "left over: -4 to 10 EUR, middle 3" in drawn.words
    assert "clean-up minutes: -8 EUR" in drawn.words
    assert "The price is typed." in drawn.words
    assert drawn.axis_titles() == {"EUR a year"}


def test_no_money_is_said_in_words() -> None:
    """Where none is told there is no bar."""
    drawn = Drawn(worth_chart(nothing_to_price("grains"), "No money is shown", ["Grains are not weight."], ""))
    assert not drawn.marks("bar")
    assert "Grains are not weight." in drawn.words
