"""The strip of the logbook: every trial a row, units apart, one change over its lots below."""

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.charts.drawn import Drawn
from tests.listing.test_lots import listed
from trials.charts.files import chart_svg
from trials.charts.palette import DOWN, UP, UPRIGHT
from trials.charts.strip.strip_chart import strip_chart
from trials.listing.joint import joint_of
from trials.listing.joint_words import ToldChange
from trials.listing.same_change import same_changes
from trials.listing.strip import strip_panels, strip_said, strip_title
from trials.logbook.pages import ListedTrial


def drawn_of(lines: list[ListedTrial], *, joined: bool = False, narrow: bool = False) -> Drawn:
    """The strip of these trials, of their one change where they are `joined`."""
    told = [ToldChange(same, joint_of(same)) for same in same_changes(lines)] if joined else []
    chart = strip_chart(strip_title(lines, told), strip_panels(lines, told), strip_said(told), narrow=narrow)
    return Drawn(chart)


OF_ALL_SORTS = [
    listed("good", 2.0, 9, costs_over=["black sand"], last_word="your call"),
    listed("bad", -2.0, 8, code="worse", shown_low=-3.0, shown_high=-1.0, decided="revert"),
    listed("open", 1.0, 7, code="not_settled", shown_low=-2.0),
    listed("heavy", 12.0, 6, measure="gold_mass", unit="%", variable="riffle"),
    listed("halted", None, 5, code="blocked", shown_low=None, shown_high=None),
    listed("audit", None, 4, code="audit", measure="tracers", variable=None, changed=None, losses_start="50/100"),
]


@pytest.mark.parametrize("narrow", [False, True])
def test_every_trial_is_a_row_and_units_are_apart(narrow: bool) -> None:
    """Shape for the outcome at the mean, bar to its limits, costs and decision; no outcome in words, never left out."""
    drawn = drawn_of(OF_ALL_SORTS, narrow=narrow)
    bars = {row["trial"]: (row["low"], row["high"]) for row in drawn.rows_with("low", "high")}
    assert bars == {"good": (0.0, 4.0), "bad": (-3.0, -1.0), "open": (-2.0, 4.0), "heavy": (0.0, 4.0)}
    points = {
        row["trial"]: mark["mark"]["shape"]
        for mark in drawn.marks("point")
        for row in drawn.rows(mark)
        if "gain" in row
    }
    assert points == {"good": UP, "bad": DOWN, "open": UPRIGHT, "heavy": UP}
    assert (
        len({mark["mark"]["size"] for mark in drawn.marks("point") for row in drawn.rows(mark) if "gain" in row}) == 1
    )
    assert drawn.axis_titles() == {"gain, points", "gain, %"}
    for words in ("halted", "no verdict", "audit: losses start", "black sand over: your call", "decided: revert"):
        assert words in drawn.words


@pytest.mark.parametrize("narrow", [False, True])
def test_one_change_is_told_over_its_lots(narrow: bool) -> None:
    """The mean's bracket and the next lot's band, trials of one lot joined at the left; under three lots neither."""
    lines = [listed("a", 2.4, 4, "cut"), listed("b", 3.9, 3), listed("c", 1.0, 2), listed("d", 1.2, 1, "cut")]
    drawn = drawn_of(lines, joined=True, narrow=narrow)
    joined = {
        (round(row["low"], 1), round(row["high"], 1)) for row in drawn.rows_with("low", "high") if "trial" not in row
    }
    # By hand: 1.8, 3.9 and 1.0 have mean 2.233 and SD 1.498; t(.975, 2) = 4.303, and the line is 1 point.
    assert joined == {(-1.5, 6.0), (-5.2, 9.7), (-1.0, 1.0)}
    assert "On 3 lots so far: +2.2 points (-1.5 to +6.0), not settled." in drawn.title
    assert "luck alone shows something" in " ".join(drawn.words.split())
    (bracket,) = drawn.rows_with("x", "y", "y2")
    assert bracket["x"] < 0 < bracket["y"] < bracket["y2"]
    assert not [row for row in drawn_of(lines[1:3], joined=True).rows_with("low", "high") if "trial" not in row][1:]


def test_two_thousand_trials_are_drawn_soon() -> None:
    """Under 3 s of work, rows thin and every name that has room."""
    lines = [listed(f"t{k}", (k % 9) - 4.0, code=("better", "worse", "not_settled")[k % 3]) for k in range(2000)]
    drawn_of(lines[:3])  # what is loaded once
    started = time.process_time()
    svg = chart_svg(strip_chart("all", strip_panels(lines, []), []))
    assert time.process_time() - started < 3.0
    assert svg.count("<path") > 4000


def test_the_program_draws_the_strip(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Beside the list, as other charts; nothing listed, nothing drawn."""
    from tests.folders import rough_loaded

    rough_loaded(samedirt, tmp_path)
    assert "Chart: strip.html" in samedirt("logbook", "--chart", "strip.html").out
    assert "+39 % (11 to 73)" in (tmp_path / "strip.html").read_text(encoding="utf-8")
    none = samedirt("logbook", "--gear", "pan", "--chart", "none.svg")
    assert (none.code, (tmp_path / "none.svg").exists()) == (2, False)
    assert "no trial is listed" in none.err
    assert samedirt("logbook", "--chart", "strip.jpg").code == 2
