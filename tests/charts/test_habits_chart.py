"""The chart of habits sets each habit's false alarms beside the fair trial's."""

import re
from itertools import pairwise

import pytest

from tests.charts.drawn import Drawn
from tests.tables import every
from trials.charts.files import chart_svg
from trials.charts.habits_chart import FAIR, habits_chart

HOSTILE = "</script><img src=x onerror=alert(1)>"
# Rates of common habits when nothing changed: invented, of the size that rehearsals of them have
HABITS = [
    ("two wins in a row, up to 6 pairs", 0.67),
    ("a second pass of the tails", 1.0),
    ("a run on each of two days", 0.24),
]


def bars(drawn: Drawn) -> dict[str, tuple[float, float, float]]:
    """Habit to (top, share, length) of its bar."""
    return {row["habit"]: (row["y"], row["share"], row["x2"] - row["x"]) for row in drawn.rows_with("habit", "share")}


@every("narrow", [False, True])
def test_bars_are_sorted_and_to_scale(narrow: bool):
    """The worst habit stands first, the fair trial last, and bars from zero are as long as their shares."""
    drawn = Drawn(habits_chart(HABITS, 0.025, 20_000, narrow=narrow))
    found = sorted(bars(drawn).items(), key=lambda item: item[1][0])
    assert [habit for habit, _ in found] == [HABITS[1][0], HABITS[0][0], HABITS[2][0], FAIR]
    per_share = {round(length / share, 6) for _, (_, share, length) in found}
    assert len(per_share) == 1


def test_numbers_and_times_are_written():
    """Each bar has its number in words, and the small print how often it was rehearsed."""
    words = Drawn(habits_chart(HABITS, 0.025, 20_000)).words
    assert {"100 %", "67 %", "24 %", "2.5 %"} <= set(words.split("\n"))
    assert "rehearsed 20,000 times" in words


def test_the_line_stands_at_the_fair_rate():
    """The dashed line is where the fair trial's own bar ends."""
    drawn = Drawn(habits_chart(HABITS, 0.025, 20_000))
    ends = [row["x2"] for row in drawn.rows_with("habit") if row["habit"] == FAIR]
    places = {row["x"] for mark in drawn.marks("rule", strokeDash=[4, 3]) for row in drawn.rows(mark)}
    assert places == set(ends)


def test_the_fair_trial_is_told_apart_without_colour():
    """The fair trial's bar is white and hatched, the habits' are solid."""
    drawn = Drawn(habits_chart(HABITS, 0.3, 20_000))
    grounds = {
        row["habit"]: mark["mark"]["color"]
        for mark in drawn.marks("rect")
        for row in drawn.rows(mark)
        if "habit" in row
    }
    assert grounds.pop(FAIR) not in set(grounds.values())
    assert len(set(grounds.values())) == 1


@every(
    ("rows", "fair", "title"),
    [
        (
            HABITS,
            0.025,
            "With nothing changed, the worst of these habits would cry gain in 100 % of trials, a fair trial in 2.5 %.",
        ),
        (
            HABITS[:1],
            0.025,
            "With nothing changed, this habit would cry gain in 67 % of trials, a fair trial in 2.5 %.",
        ),
        (
            [("a", 0.02)],
            0.03,
            "With nothing changed, this habit would cry gain no more often than a fair trial: 3.0 % of trials.",
        ),
    ],
)
def test_the_title_says_the_answer(rows: list, fair: float, title: str):
    """The worst habit and the fair trial stand in one sentence."""
    assert Drawn(habits_chart(rows, fair, 100)).title == title


@every("narrow", [False, True])
def test_none_and_all_are_drawn(narrow: bool):
    """A share of 0 has no bar and says none of how many; of 1 and of nearly 1 are not mixed up."""
    drawn = Drawn(habits_chart([("a", 0.0), ("b", 1.0), ("c", 0.99999)], 0.0, 300, narrow=narrow))
    assert set(bars(drawn)) == {"b", "c"}
    assert drawn.words.count("none of 300") == 2
    assert "over 99.9 %" in drawn.words
    assert chart_svg(habits_chart([("a", 0.0)], 0.0, 1, narrow=narrow)).startswith("<svg")


@every("narrow", [False, True])
def test_long_words_are_kept_whole(narrow: bool):
    """A habit told in many words is broken into lines that do not run into the next row."""
    long = "all unchanged runs were made on the first day " * 5 + "and thenoneverylongwordwithoutanybreak" * 3
    drawn = Drawn(habits_chart([(long, 0.5), ("b", 0.4)], 0.05, 10, narrow=narrow))
    assert long.replace(" ", "") in drawn.words.replace("\n", "").replace(" ", "")
    svg = chart_svg(habits_chart([(long, 0.5), ("b", 0.4)], 0.05, 10, narrow=narrow))
    assert float(re.search(r'width="([\d.]+)"', svg)[1]) <= (374 if narrow else 718)
    places = sorted(row["y"] for row in drawn.rows_with("x", "y", "words") if row["x"] == 0)
    assert all(b - a >= 16 for a, b in pairwise(places))


def test_markup_stays_text_and_bytes_repeat():
    """Markup in a habit stays text, and the same habits give the same SVG."""
    svg = chart_svg(habits_chart([(HOSTILE, 0.5)], 0.05, 10))
    assert "<img" not in svg and "&lt;img" in svg
    assert svg == chart_svg(habits_chart([(HOSTILE, 0.5)], 0.05, 10))


@every(
    ("rows", "fair", "times", "told"),
    [
        ([], 0.1, 1, "rows is empty"),
        ([("a", 1.2)], 0.1, 1, "a: the share is 1.2"),
        ([("a", 0.1)], -0.1, 1, "fair trial: the share is"),
        ([("a", 0.1)], 0.1, 0, "times is 0"),
    ],
)
def test_unfit_input_is_refused(rows: list, fair: float, times: int, told: str):
    """What can't be drawn is refused with the value and the rule."""
    with pytest.raises(ValueError, match=told):
        habits_chart(rows, fair, times)
