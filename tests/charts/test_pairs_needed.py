"""The chart of pairs answers how many pairs, in the unit people read."""

import math
import warnings
from itertools import pairwise

import pytest

from tests.charts.drawn import Drawn
from tests.tables import every
from trials.charts import palette
from trials.charts.files import chart_svg
from trials.charts.pairs_needed import pairs_needed_chart

GRAINS = {"measure": "grain_counts", "sd": 0.22, "line": math.log(1.2), "pairs": 6}


def drawn(**asked) -> Drawn:
    """The chart of what is asked, points and an SD of 1 unless told otherwise."""
    return Drawn(pairs_needed_chart(**{"measure": "recovery", "sd": 1.0, "line": 1.0, "pairs": 6, **asked}))


def square(chart: Drawn, role: str) -> dict:
    """The row of the planned or the needed square."""
    return next(row for row in chart.rows_with("role") if row["role"] == role)


def curve(chart: Drawn) -> dict[float, float]:
    """The curve's points: pairs to gain."""
    (line,) = chart.marks("line")
    return {row["pairs"]: row["gain"] for row in chart.rows(line)}


# Gain over SD against pairs, 4 chances in 5 at two-sided 5 %: own calculation, not published, from scipy's noncentral t
@every(("gain", "pairs"), [(2, 5), (1.5, 6), (1.25, 8), (1, 10), (0.75, 16), (0.5, 34)])
def test_the_guide_is_what_is_drawn(gain: float, pairs: int):
    """Where the curve first comes down to the line stands the guide's number of pairs, whatever the SD."""
    for sd in (1.0, 0.4):
        chart = drawn(sd=sd, line=gain * sd, pairs=3)
        assert square(chart, "needed")["pairs"] == pairs
        first = min(k for k, found in curve(chart).items() if k == int(k) and found <= gain * sd)
        assert first == pairs
        assert f"{pairs} pairs find your" in chart.words
        assert f"wants {pairs} pairs" in chart.title


# METHODS of the graded trial: blocks at 80 % for 4 and 5 arms, by the power of blocks (checked by own simulation)
@every(("arms", "effect", "blocks"), [(3, 1.5, 7), (4, 1.0, 13)])
def test_blocks_of_a_graded_trial_are_drawn(arms: int, effect: float, blocks: int):
    """The curve meets the line at the blocks its levels need, and all words are of blocks."""
    chart = drawn(sd=1.0, line=effect, pairs=4, arms=arms)
    assert square(chart, "needed")["pairs"] == blocks
    assert f"{blocks} blocks find your" in chart.words and f"wants {blocks} blocks" in chart.title
    assert f"joint for {arms - 1} levels" in " ".join(chart.words.split()) and "pairs" not in chart.title
    assert "blocks" in chart.axis_titles()


@every("pairs", [4, 6, 12, 40])
def test_the_curve_agrees_with_the_reference(pairs: int):
    """Each point is what statsmodels finds for that many pairs with power 0.8."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from statsmodels.stats.power import TTestPower
    effect = TTestPower().solve_power(nobs=pairs, alpha=0.05, power=0.8)
    assert curve(drawn(sd=2.5, line=0.5, pairs=8))[pairs] == pytest.approx(2.5 * effect, rel=1e-4)


def test_a_ratio_is_drawn_in_percent():
    """An SD of 0.22 in logs and a line of ln 1.2: the curve is 100(exp(d) - 1), the band ends at 20 %."""
    chart = drawn(**GRAINS)
    # 1.4347 SD for 6 pairs, as TTestPower of statsmodels has it
    assert square(chart, "planned")["gain"] == pytest.approx(100 * math.expm1(1.4347 * 0.22), rel=1e-3)
    (band,) = [row for mark in chart.marks("rect") for row in chart.rows(mark)]
    assert band["to"] == pytest.approx(20.0)
    assert "smallest gain usually found, % more grains" in chart.axis_titles()
    assert chart.title.startswith("6 pairs can usually find 37 % more grains; your 20 % line wants 14 pairs")


def test_points_are_called_points():
    """Recovery is told in points, on the axis and in words."""
    chart = drawn(sd=2.5, line=2.0, pairs=12)
    assert "smallest gain usually found, points" in chart.axis_titles()
    assert "points" in chart.title
    assert "pairs differ by 2.5 points (SD)" in chart.subtitle


def test_less_gold_lost_stays_under_a_hundred():
    """For gold in tails the gain is gold no longer lost, which never reaches 100 %."""
    chart = drawn(measure="tails_gold", sd=2.0, line=-math.log(0.8), pairs=5)
    assert max(curve(chart).values()) < 100
    assert "% less gold lost" in chart.title
    assert "under your 20 % line" in chart.words


def test_three_pairs_are_told_at_the_edge():
    """The curve is cut at the top of the axis, where an arrow carries the number of 3 pairs, 3.264 SD."""
    chart = drawn(sd=2.0, pairs=8)
    (head,) = chart.marks("point", shape=palette.UP)
    assert [(row["pairs"], row["words"]) for row in chart.rows(head)] == [(3, "3 pairs: 6.5 points")]
    assert head["encoding"]["yOffset"]["value"] < 0  # above the plot, where the curve can't strike its words
    assert "3 pairs: 6.5 points" in chart.words
    assert max(curve(chart).values()) == pytest.approx(chart.domain("gain", "y")[1])
    assert min(curve(chart)) > 3


def test_words_stand_on_white():
    """No line strikes through the words beside a square: the same words in white, wider, lie under them."""
    chart = drawn(line=1.1, pairs=12)
    texts = chart.marks("text")
    under = [m["mark"].get("stroke") for m in texts if "ground" in m["encoding"]["text"]["field"]]
    assert under == [palette.PAPER] * 2
    assert {r["ground"] for r in chart.rows_with("ground")} <= {r["words"] for r in chart.rows_with("words")}


def test_where_the_scatter_is_known_from_is_said():
    """Scatter seen in an earlier trial is not called assumed."""
    chart = drawn(scatter="2 points as seen in T0 (6 pairs)")
    assert "Assumed" not in chart.subtitle and "(SD): 2 points as seen in T0 (6 pairs)." in chart.subtitle
    assert "Assumed" in drawn().subtitle


def test_three_planned_pairs_are_on_the_axis():
    """If 3 pairs are planned, the axis reaches to them and nothing is cut."""
    chart = drawn(sd=2.0, pairs=3)
    assert not chart.marks("point", shape=palette.UP)
    assert square(chart, "planned")["gain"] == pytest.approx(2.0 * 3.264, rel=1e-3)


def test_squares_differ_without_colour():
    """Planned is filled with a solid stem, needed is hollow with a dashed one, and both are named in words."""
    chart = drawn(**GRAINS)
    fills = {
        row["role"]: mark["mark"]["fill"]
        for mark in chart.marks("point", shape="square")
        for row in chart.rows(mark)
        if "role" in row
    }
    assert fills == {"planned": palette.INK, "needed": palette.PAPER}
    assert "planned: 6 pairs find 37 %" in chart.words
    assert "14 pairs find your 20 %" in chart.words


def test_enough_pairs_are_called_enough():
    """Where the plan has as many pairs as the line needs, or more, the title says so."""
    assert drawn(pairs=12).title.startswith("12 pairs are enough for your 1-point line")
    assert "10 would do" in drawn(pairs=12).title
    exactly = drawn(pairs=10)
    assert "are enough" in exactly.title and "would do" not in exactly.title
    assert [row["role"] for row in exactly.rows_with("role")] == ["planned", "planned"]


def test_a_line_too_far_off_is_told_in_the_title():
    """A line that the axis does not reach has no square; its pairs, as scipy and statsmodels give them, are told."""
    chart = drawn(line=0.1)
    assert "wants 787 pairs, and a plan holds 60." in chart.title  # statsmodels TTestPower: 786.9
    assert {row["role"] for row in chart.rows_with("role")} == {"planned"}


def test_no_line_is_no_fault():
    """Without a line there is no band and no claim."""
    chart = drawn(line=None)
    assert not chart.marks("rect")
    assert chart.title == "6 pairs can usually find a gain of 1.4 points."


@every(("measure", "narrow"), [("recovery", False), ("gold_mass", True), ("tails_gold", False)])
@every("sd", [1e-9, 0.01, 3.0, 1e6])
@every(("line", "pairs"), [(0.18, 3), (2.0, 60), (None, 200), (1e-7, 7)])
def test_extreme_plans_are_drawn(measure: str, sd: float, line: float | None, pairs: int, narrow: bool):
    """Whatever the scatter, the chart is drawn, finite, and keeps its marks on the axis."""
    chart = drawn(measure=measure, sd=sd, line=line, pairs=pairs, narrow=narrow)
    top = chart.domain("gain", "y")[1]
    first, last = chart.domain("pairs")
    assert math.isfinite(top) and top > 0
    for row in chart.rows_with("pairs", "gain"):
        assert first <= row["pairs"] <= last
        assert row["gain"] <= top * 1.02 or {"words", "ground"} & set(row)
    for row in chart.rows_with("pairs", "words"):
        assert row["gain"] <= top * 1.1


@every("pairs", [3, 9, 12, 60])
@every("line", [0.3, 1.0, 1.1])
@every("narrow", [False, True])
def test_labels_do_not_lie_on_one_another(pairs: int, line: float, narrow: bool):
    """The words beside the two squares never share a line of the picture."""
    chart = drawn(line=line, pairs=pairs, narrow=narrow)
    top = chart.domain("gain", "y")[1]
    spans = []
    for row in chart.rows_with("pairs", "words"):
        if "planned" in row["words"] or "your" in row["words"]:
            first = 250 * (1 - row["gain"] / top)
            spans.append((first - 8, first - 8 + 16 * len(row["words"].split("\n"))))
    spans.sort()
    assert all(a[1] <= b[0] + 1e-6 for a, b in pairwise(spans))


def test_nothing_that_scatters_is_said():
    """With an SD of 0 there is no curve, and the chart says why."""
    chart = drawn(sd=0.0)
    assert not chart.marks("line")
    assert "can't be reckoned" in chart.title
    assert "nothing-changed check" in " ".join(chart.words.split())


@every(
    ("asked", "told"),
    [
        ({"sd": -1.0}, "sd is -1"),
        ({"sd": math.nan}, "sd is nan"),
        ({"line": 0.0}, "line is 0"),
        ({"pairs": 2}, "pairs is 2"),
    ],
)
def test_unfit_input_is_refused(asked: dict, told: str):
    """A number out of its range is refused with the value and the rule."""
    with pytest.raises(ValueError, match=told):
        drawn(**asked)


def test_narrow_fits_a_phone():
    """No panel of the narrow form is wider than 320 px, and the squares are still named."""
    chart = drawn(**GRAINS, narrow=True)
    assert max(chart.widths()) <= 320
    assert "planned: 37 %" in chart.words and "14 pairs: your 20 %" in chart.words


def test_svg_repeats_byte_for_byte():
    """The same plan drawn twice gives the same SVG."""
    one, other = (chart_svg(pairs_needed_chart(**GRAINS)) for _ in range(2))
    assert one == other
