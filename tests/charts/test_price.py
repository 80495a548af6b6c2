"""The price chart sets the gain against the black sand."""

import math
from pathlib import Path

import pytest

from schemas import Interval, LevelsAnswer
from tests.charts.drawn import Drawn
from tests.charts.invented import MINUTES, NO_NUMBERS, SAND, rough_bed, with_answer
from tests.tables import every
from trials import reach_verdict, read_folder
from trials.charts import palette
from trials.charts.price import price_chart

FOUR_GRITS = Path(__file__).parents[2] / "demo_trials" / "four-grits"


def test_the_diamond_stands_at_sand_and_gain():
    """The diamond is at the sand ratio and the gain in %, its bars end at their limits."""
    verdict = rough_bed()
    drawn = Drawn(price_chart(verdict))
    (spot,) = drawn.rows_with("estimate")
    assert verdict.answer.interval is not None
    assert (spot["sand"], spot["gain"]) == pytest.approx((1.9, 100 * math.expm1(verdict.answer.estimate or 0)))
    bars = [r for m in drawn.marks("rule", color=palette.CHANGED) for r in drawn.rows(m)]
    limits = {(round(r["low"], 6), round(r["high"], 6)) for r in bars}
    gains = tuple(round(100 * math.expm1(v), 6) for v in (verdict.answer.interval.low, verdict.answer.interval.high))
    assert limits == {gains, (1.72, 2.11)}
    assert {"black sand, times baseline", "gain, % more grains"} <= drawn.axis_titles()


def test_limit_zero_and_band_are_drawn():
    """A dashed line stands at the limit of sand, a solid one at zero gain, and the band is the line's."""
    drawn = Drawn(price_chart(rough_bed()))
    assert [r["sand"] for m in drawn.marks("rule", strokeDash=[4, 3], strokeWidth=2) for r in drawn.rows(m)] == [1.5]
    assert [m for m in drawn.marks("rule") if drawn.rows(m) == [{"gain": 0.0}]]
    (band,) = [r for m in drawn.marks("rect") for r in drawn.rows(m)]
    assert (band["low"], band["high"]) == pytest.approx((-100 / 6, 20.0))


def test_words_repeat_the_picture():
    """Gold, sand and minutes are told in words, with level and limits."""
    drawn = Drawn(price_chart(rough_bed()))
    words = " ".join(drawn.words.split())
    assert "39 % more grains, 11 to 73, 95 % interval" in words
    assert "1.90 times baseline (1.72 to 2.11), over the limit 1.5 (our default)" in words
    assert "Minutes: 1.1" in words
    assert [m["mark"]["color"] for m in drawn.marks("text") if "one-sided" in str(drawn.rows(m))] == [palette.QUIET]


def test_bars_past_the_axes_get_arrows():
    """Limits past an axis end at its edge, with an arrow and the number."""
    sand = SAND.model_copy(update={"status": "not shown", "low": 0.4, "high": 11.0})
    verdict = with_answer(rough_bed(costs=(sand, MINUTES)), interval=Interval(low=-2.0, high=4.0, level=0.95))
    numbers = {r["number"] for r in Drawn(price_chart(verdict)).rows_with("number")}
    assert numbers == {"-86 %", "+5,360 %", "11 times"}


@every("costs", [(), (SAND.model_copy(update={"status": "not recorded", "ratio": None, "low": None, "high": None}),)])
def test_no_sand_is_said(costs: tuple):
    """Without black sand there is nothing drawn, and the chart says why."""
    drawn = Drawn(price_chart(rough_bed(costs=costs)))
    assert not drawn.marks("point")
    assert "Black sand was not recorded" in drawn.words


def test_no_gain_is_said():
    """Behind a gate there is no gain to price, and the chart says so."""
    drawn = Drawn(price_chart(rough_bed(**NO_NUMBERS, code="blocked")))
    assert "no gain to set against its price" in " ".join(drawn.words.split())


def test_narrow_fits_a_phone():
    """No panel of the narrow form is wider than 320 px."""
    assert max(Drawn(price_chart(rough_bed(), narrow=True)).widths()) <= 320


def test_each_level_of_a_graded_trial_has_a_mark() -> None:
    """Four grits: a mark a level at its sand and its gain, the one to use in bold, all said again in words."""
    record = read_folder(FOUR_GRITS)
    verdict = reach_verdict(record.trial, record.runs)
    drawn = Drawn(price_chart(verdict))
    spots = {row["level"]: row for row in drawn.rows_with("level")}
    assert isinstance(verdict.answer, LevelsAnswer)
    for level in verdict.answer.levels[1:]:
        sand = next(cost.ratio for cost in level.costs if cost.name == "black sand")
        assert (spots[level.level]["ratio"], spots[level.level]["estimate"]) == (sand, level.estimate)
    bold = [
        row["words"] for mark in drawn.marks("text", fontWeight="bold") for row in drawn.rows(mark) if "words" in row
    ]
    assert "120 grit" in bold and "80 grit" not in bold
    words = " ".join(drawn.words.split())
    assert "In bold: 120 grit, the one to use." in words and "1.14 times with 80 grit; limit 1.2." in words
    assert "Blocks: 6 planned" in words and "joint for all levels" in words
    dry = [run.model_copy(update={"black_sand_g": None}) if run.arm == "80 grit" else run for run in record.runs]
    told = Drawn(price_chart(reach_verdict(record.trial, dry), narrow=True))
    assert "Not drawn, for their black sand is not known: 80 grit." in " ".join(told.words.split())
    assert max(told.widths()) <= 320
    none = [run.model_copy(update={"black_sand_g": None}) for run in record.runs]
    assert "not recorded in enough blocks" in " ".join(
        Drawn(price_chart(reach_verdict(record.trial, none))).words.split()
    )
