"""The chart of noise shows what each measure's scatter is made of, each in its own unit."""

import math
import re

import pytest

from tests.charts.drawn import Drawn
from tests.tables import every
from trials.charts.files import chart_svg
from trials.charts.fills import FILLS, Area, Fill, filled
from trials.charts.noise_makeup import REST_NAME, noise_chart, title_words
from trials.noise.budget import Budget, Source, noise_budget
from trials.noise.situation import Situation
from trials.simulation.tracers import SeededTracers

HOSTILE = "</script><img src=x onerror=alert(1)>"


def budget(measure: str, *sources: tuple[str, float], zero_share: float = 0.0) -> Budget:
    """A budget of named variances."""
    return Budget(measure, tuple(Source(*source) for source in sources), 80.0, zero_share)


RECOVERY = budget("recovery", ("run to run", 6.25), ("scale", 2.25), ("splitting", 4.0))  # sum 12.5: SD of a pair 5
GRAINS = budget("grain_counts", ("luck of the grains", 0.018), ("run to run", 0.002))  # sum .02: SD of a pair .2


def parts(drawn: Drawn, measure: str) -> dict[str, float]:
    """Source to share, as drawn."""
    return {row["source"]: row["share"] for row in drawn.rows_with("source", "share") if row["measure"] == measure}


def test_parts_are_shares_of_the_variance():
    """Each source's stretch of the bar is its part of the variance, the largest first."""
    drawn = Drawn(noise_chart([RECOVERY]))
    assert parts(drawn, "recovery") == pytest.approx({"run to run": 0.5, "splitting": 0.32, "scale": 0.18})
    stretches = sorted(drawn.rows_with("source", "share"), key=lambda row: row["x"])
    assert [row["source"] for row in stretches] == ["run to run", "splitting", "scale"]
    whole = stretches[-1]["x2"] - stretches[0]["x"]
    for row, before in zip(stretches, [None, *stretches], strict=False):
        assert (row["x2"] - row["x"]) / whole == pytest.approx(row["share"])
        assert before is None or row["x"] == pytest.approx(before["x2"])


@every("narrow", [False, True])
def test_each_measure_has_its_own_unit(narrow: bool):
    """SDs are written in points for recovery and in % for counts, and no axis is shared, for there is none."""
    drawn = Drawn(noise_chart([RECOVERY, GRAINS], narrow=narrow))
    assert "SD 5 points" in drawn.words
    assert "SD 22 %" in drawn.words  # exp(0.2) - 1 = 22.1 %
    assert drawn.axis_titles() == set()
    assert all(
        layer["encoding"][channel].get("axis", "none") is None
        for layer in drawn.layers
        for channel in ("x", "y")
        if "field" in layer["encoding"].get(channel, {})
    )


def test_without_the_largest_part():
    """What the SD would be without its largest source is told: sqrt(2 x 6.25) = 3.5 points."""
    assert "SD without the largest part: 3.5 points." in Drawn(noise_chart([RECOVERY])).words


@every("narrow", [False, True])
def test_every_source_is_written_with_its_share(narrow: bool):
    """Each source stands in words with its share, above its stretch or in the list below."""
    words = Drawn(noise_chart([RECOVERY, GRAINS], narrow=narrow)).words
    for part in ("run to run 50 %", "splitting 32 %", "scale 18 %", "luck of the grains 90 %", "run to run 10 %"):
        assert words.count(part) == 1


@every(
    ("budgets", "title"),
    [
        ([RECOVERY], "first of all run to run (50 %)"),
        ([GRAINS], "mostly luck of the grains (90 %)"),
        ([GRAINS, budget("gold_mass", ("luck of the grains", 3.0))], "mostly luck of the grains, whichever"),
        ([RECOVERY, GRAINS], "first of all run to run for recovery; luck of the grains for gold grains kept"),
        ([budget("recovery")], "No noise is foretold"),
    ],
)
def test_the_title_names_the_largest_source(budgets: list[Budget], title: str):
    """The largest source is named, as the most of it only where it is more than half."""
    assert title in title_words(budgets)
    assert Drawn(noise_chart(budgets)).title == title_words(budgets)


def test_a_source_looks_alike_in_every_bar():
    """The same source has one fill in all bars, and two sources never the same."""
    drawn = Drawn(noise_chart([RECOVERY, GRAINS]))
    grounds: dict[str, set[str]] = {}
    for mark in drawn.marks("rect", opacity=1):
        for row in drawn.rows(mark):
            if "source" in row:
                grounds.setdefault(row["source"], set()).add(mark["mark"]["color"])
    assert all(len(colours) == 1 for colours in grounds.values())
    assert len(set(FILLS)) == len(FILLS)


def test_small_sources_are_one_part():
    """Two or more sources under 2 % are drawn as one, named as that; a single one keeps its name."""
    many = budget("recovery", ("a", 95.0), ("b", 3.0), ("c", 1.0), ("d", 1.0))
    assert parts(Drawn(noise_chart([many])), "recovery") == pytest.approx({"a": 0.95, "b": 0.03, REST_NAME: 0.02})
    single = budget("recovery", ("a", 99.0), ("b", 1.0))
    assert parts(Drawn(noise_chart([single])), "recovery") == pytest.approx({"a": 0.99, "b": 0.01})


def test_one_source_alone_fills_the_bar():
    """A share of 1 is written as 100 %, and nothing is said of what is left without it."""
    drawn = Drawn(noise_chart([budget("tracers", ("run to run", 4.0), ("scale", 0.0))]))
    assert parts(drawn, "tracers") == {"run to run": 1.0}
    assert "run to run 100 %" in drawn.words


def test_no_noise_at_all_is_said():
    """A budget without sources has no bar and says so, and how many runs find none."""
    drawn = Drawn(noise_chart([RECOVERY, budget("tails_gold", zero_share=1.0)]))
    assert parts(drawn, "tails_gold") == {}
    assert "Nothing here can be seen to scatter. 100 % of the runs would find none." in drawn.words


@every("narrow", [False, True])
@every("size", [1e-12, 1e12])
def test_extreme_scatter_is_drawn(size: float, narrow: bool):
    """An SD tiny or huge is written without an exponent or infinity."""
    chart = noise_chart(
        [budget("gold_mass", ("a", size), ("b", size / 3)), budget("recovery", ("a", size))], narrow=narrow
    )
    assert not re.search(r"inf|nan|\de[+-]", Drawn(chart).words)
    assert chart_svg(chart).startswith("<svg")


def test_long_names_keep_their_share():
    """A name too long for its line is cut with dots, its share stays; the picture stays as wide as a page."""
    long = budget("recovery", ("a", 6.0), ("luck " * 40, 4.0))
    for narrow, most in ((False, 718), (True, 374)):
        chart = noise_chart([long], narrow=narrow)
        assert "... 40 %" in Drawn(chart).words
        assert float(re.search(r'width="([\d.]+)"', chart_svg(chart))[1]) <= most


def test_markup_stays_text():
    """A name with markup stays text in the SVG."""
    svg = chart_svg(noise_chart([budget("recovery", (HOSTILE, 1.0))]))
    assert "<img" not in svg and "&lt;img" in svg


def test_a_reckoned_budget_is_drawn():
    """Real budgets of all measures are drawn whole, byte for byte the same each time."""
    situation = Situation(tracers=SeededTracers(fed=100))
    measures = ("recovery", "gold_mass", "tracers", "grain_counts", "tails_gold")
    budgets = [noise_budget(measure, situation) for measure in measures]
    drawn = Drawn(noise_chart(budgets))
    for each in budgets:
        assert sum(parts(drawn, each.measure).values()) == pytest.approx(1.0)
    assert chart_svg(noise_chart(budgets)) == chart_svg(noise_chart(budgets))


@every("variance", [-1.0, math.inf, math.nan])
def test_unfit_variances_are_refused(variance: float):
    """A variance that can't be is refused by the name of its source."""
    with pytest.raises(ValueError, match="variance of scale is"):
        noise_chart([budget("recovery", ("scale", variance))])


def test_no_budget_is_refused():
    """With nothing to draw the chart is refused."""
    with pytest.raises(ValueError, match="budgets is empty"):
        noise_chart([])


@every("hatch", ["rising", "falling", "dots", "upright", "level"])
@every("size", [(1.0, 26.0), (14.0, 12.0), (400.0, 26.0)])
def test_hatching_stays_inside(hatch: str, size: tuple[float, float]):
    """Every line of a hatching lies inside its area, and slanted ones rise or fall by 45 degrees."""
    width, height = size
    area = Area(10.0, 20.0, 10.0 + width, 20.0 + height, Fill("#FFFFFF", hatch), {})
    lines = [row for layer in filled([area])[1:3] for row in layer.data["values"]]
    assert lines or width < 5
    for row in lines:
        assert 10 <= row["x"] <= row["x2"] <= 10.11 + width
        assert 20 <= min(row["y"], row["y2"]) <= max(row["y"], row["y2"]) <= 20 + height
        if hatch in ("rising", "falling"):
            slope = -1 if hatch == "rising" else 1
            assert row["y2"] - row["y"] == pytest.approx(slope * (row["x2"] - row["x"]), abs=0.03)
