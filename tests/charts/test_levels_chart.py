"""The chart of levels draws what the verdict says: set-ups in scale order, joint limits, the line, costs, the one named."""

from functools import cache

import pytest

from schemas import LevelsAnswer, Verdict
from tests.charts.drawn import Drawn
from tests.tables import every
from tests.verdicts.test_levels import GRITS, LOWER, grits, sand
from trials import reach_verdict
from trials.charts.answers.chosen import answer_chart
from trials.charts.order_strip import order_strip


@cache
def reached() -> Verdict:
    """Four grits with their costs."""
    return reach_verdict(*grits(GRITS, of_run=sand))


@cache
def drawn(*, narrow: bool = False) -> Drawn:
    """As they are drawn, made once."""
    return Drawn(answer_chart(reached(), narrow=narrow))


@every("narrow", [False, True])
def test_bars_are_the_joint_limits_in_scale_order(narrow: bool) -> None:
    """One bar a level, from limit to limit, each below the one before it; the line's band and all blocks with it."""
    answer = reached().answer
    assert isinstance(answer, LevelsAnswer)
    bars = sorted(drawn(narrow=narrow).rows_with("low", "high", "level"), key=lambda row: row["y"])
    assert [row["level"] for row in bars] == ["320", "220", "120", "80"]
    for row, level in zip(bars, answer.levels[1:], strict=True):
        assert level.interval is not None
        assert (row["low"], row["high"]) == (level.interval.low, level.interval.high)
    dots = drawn(narrow=narrow).rows_with("block", "difference")
    assert sorted(row["difference"] for row in dots if row["level"] == "220") == [4.0, 4.0, 5.0, 7.0]
    assert (-3.0, 3.0) in [(row.get("low"), row.get("high")) for row in drawn(narrow=narrow).rows_with("low", "to")]


@every("narrow", [False, True])
def test_words_say_which_to_use_and_what_it_costs(narrow: bool) -> None:
    """The level named, where more stops paying, and each level's costs beside it; the sentence is the title."""
    words = drawn(narrow=narrow).words
    assert "In the frame: 320, the one to use." in words.replace("\n", " ")
    assert "More stops paying somewhere from 220 to 80." in words.replace("\n", " ")
    assert "1.8, over" in words and "1.26" in words
    assert drawn(narrow=narrow).title == reached().sentence


def test_a_lower_level_is_drawn_as_worse() -> None:
    """A loss points down, and nothing is called the one to use, or said to lead."""
    verdict = reach_verdict(*grits(LOWER))
    chart = Drawn(answer_chart(verdict))
    assert chart.marks("point", shape="triangle-down")
    assert "In the frame: 320, the one that catches least." in chart.words.replace("\n", " ")
    assert "the one to use" not in chart.words


def test_behind_a_gate_there_are_words_alone() -> None:
    """Before the end nothing is drawn, and the chart says when it will be."""
    verdict = reach_verdict(*grits(pairs=6))
    chart = Drawn(answer_chart(verdict))
    assert "The answer is shown when all planned blocks are in." in chart.words and not chart.marks("bar")


def test_the_order_strip_takes_levels() -> None:
    """Every run by its turn, and the line through the middle of each block."""
    plan, runs = grits()
    strip = Drawn(order_strip(reach_verdict(plan, runs), runs))
    assert len(strip.rows_with("turn", "arm")) == len(runs)
    assert "middle of each block" in strip.words.replace("\n", " ")
    assert [row["value"] for row in strip.marks("line") and strip.rows(strip.marks("line")[0])] == pytest.approx(
        [85, 83.6, 87.2, 84.2]
    )
