"""The chart of a rehearsal shows how often each ending came, and names the false alarms."""

import re

import numpy as np
import pytest

from tests.charts.drawn import Drawn
from tests.tables import every
from trials.charts import palette
from trials.charts.files import chart_svg
from trials.charts.rehearsal_chart import LOOKS, rehearsal_chart, shared_out
from trials.noise.situation import Situation
from trials.rehearsal.judged import ENDINGS
from trials.rehearsal.rehearsal import Rehearsal, Scenario
from trials.simulation.gear import TrueEffect


def rehearsal(pairs: int = 8, line: float | None = 5.0, look_after: int | None = None, **counts: int) -> Rehearsal:
    """A rehearsal that ended as told."""
    codes = np.repeat([ENDINGS.index(ending) for ending in counts], list(counts.values())).astype(np.int8)
    scenario = Scenario("tracers", pairs, Situation(), line, TrueEffect(), look_after, codes.size, 41)
    at_look = np.arange(codes.size) < (codes.size // 10 if look_after else 0)
    return Rehearsal(scenario, codes, np.zeros(codes.size), at_look)


NOTHING = rehearsal(better=51, worse=45, no_difference=804, not_settled=1100)  # 2.55, 2.25, 40.2, 55 %
AT_LINE = rehearsal(better=1440, worse=1, no_difference=159, not_settled=400)  # 72, .05, 7.95, 20 %


def marks(drawn: Drawn, count: int = 100) -> list[dict]:
    """The rows of all marks of the first panel, the list beside them apart."""
    shapes = {look.ending: look for look in LOOKS}
    rows = []
    for layer in drawn.marks("point"):
        of_ending = [row for row in drawn.rows(layer) if "ending" in row]
        assert all(layer["mark"]["shape"] == shapes[row["ending"]].shape for row in of_ending)
        rows += of_ending
    return rows[: count + len(LOOKS)]


def test_a_hundred_marks_shared_out():
    """A hundred marks in whole columns of five are shared out by the largest remainders; the list has one more each."""
    drawn = Drawn(rehearsal_chart(NOTHING, None))
    rows = [row for layer in drawn.marks("point") for row in drawn.rows(layer) if "ending" in row]
    counts = {
        ending: sum(row["ending"] == ending for row in rows) - 1
        for ending in ("better", "worse", "no_difference", "not_settled")
    }
    assert counts == {"better": 3, "worse": 2, "no_difference": 40, "not_settled": 55}
    assert len({(row["x"], row["y"]) for row in rows}) == len(rows) == 104


@every("shares", [[1.0, 0, 0, 0], [0, 0, 1.0], [1 / 3] * 3, [0.005] * 4 + [0.98], [1 / 7] * 7, [0.996, 0.004]])
def test_marks_always_make_a_hundred(shares: list[float]):
    """Whatever the shares, 100 marks are given out, none further than one from its share."""
    given = shared_out(shares)
    assert sum(given) == 100
    assert all(abs(marks - 100 * share) < 1 for marks, share in zip(given, shares, strict=True))


@every("narrow", [False, True])
def test_every_ending_is_written(narrow: bool):
    """Each ending stands in words with its number; with nothing changed better and worse are false alarms."""
    words = Drawn(rehearsal_chart(NOTHING, AT_LINE, narrow=narrow)).words
    for number in ("2.5 %", "2.2 %", "40 %", "55 %", "72 %", "0.1 %", "8.0 %", "20 %"):
        assert number in words.split("\n")
    assert "better: a false alarm\nworse: a false alarm\nno difference worth having: right" in words
    assert "better: found\nworse: the wrong way round\nno difference worth having: missed" in words
    assert "4.8 % false alarms" in words


def test_the_title_tells_both_rates():
    """The title says how often nothing would cry gain or loss, and how often the line would be found."""
    title = Drawn(rehearsal_chart(NOTHING, AT_LINE)).title
    assert title == (
        "With nothing changed, 4.8 % of such trials would cry gain or loss; a true change as large as your 5-point "
        "line would be found in 72 %."
    )
    assert Drawn(rehearsal_chart(NOTHING, None)).title.endswith("cry gain or loss: false alarms.")


def test_rare_endings_are_told_where_they_came_up():
    """Blocked and too few are listed only where they came up; no difference only where a line was set."""
    plain = Drawn(rehearsal_chart(rehearsal(line=None, better=1, not_settled=99), None)).words
    assert "stopped by" not in plain and "too few" not in plain and "no difference" not in plain
    odd = Drawn(rehearsal_chart(rehearsal(blocked=1500, too_few=400, not_settled=100), None))
    assert "stopped by a fair-run check" in odd.words and "too few pairs" in odd.words
    assert odd.marks("point", shape=palette.DIAGONAL_CROSS)


def test_endings_differ_without_colour():
    """Any two endings differ in shape or in whether they are filled."""
    looks = {(look.shape, look.fill == palette.PAPER) for look in LOOKS}
    assert len(looks) == len(LOOKS) == len(ENDINGS)


def test_all_of_one_ending():
    """Shares of 0 and 1 are written as such, and the luck of 200 trials is the rule of three, 1.5 points."""
    drawn = Drawn(rehearsal_chart(rehearsal(no_difference=200), None))
    assert "100 %" in drawn.words
    assert "may be 1.5 points off" in " ".join(drawn.words.split())


def test_the_luck_of_the_rehearsal_is_told():
    """The small print has times, pairs, seed, and twice the standard error: 2 sqrt(.55 x .45 / 2000) = 2.2 points."""
    words = " ".join(Drawn(rehearsal_chart(NOTHING, AT_LINE)).words.split())
    assert "Each rehearsed 2,000 times" in words and "8 pairs each, seed 41" in words
    assert "may be 2.2 points off" in words


def test_an_early_look_is_told():
    """Where the plan has a look, the share that stops there is told."""
    words = " ".join(Drawn(rehearsal_chart(rehearsal(look_after=4, not_settled=100), None)).words.split())
    assert "After the early look at 4 pairs 10 % stop." in words


def test_two_plans_are_not_mixed():
    """Rehearsals of different plans are refused with both numbers."""
    with pytest.raises(ValueError, match="pairs is 8 with nothing changed and 6 with a change"):
        rehearsal_chart(NOTHING, rehearsal(pairs=6, better=10))


def test_pictures_fit_and_repeat():
    """Wide fits A4, narrow a phone, and the SVG is the same each time."""
    for narrow, most in ((False, 718), (True, 374)):
        svg = chart_svg(rehearsal_chart(NOTHING, AT_LINE, narrow=narrow))
        assert float(re.search(r'width="([\d.]+)"', svg)[1]) <= most
        assert svg == chart_svg(rehearsal_chart(NOTHING, AT_LINE, narrow=narrow))
