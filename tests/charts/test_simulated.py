"""A verdict of simulated runs can't be taken for one of real runs."""

from schemas import PairResult
from tests.charts.drawn import Drawn
from tests.charts.invented import NO_NUMBERS, rough_bed
from tests.tables import every
from trials.charts import palette
from trials.charts.files import chart_svg
from trials.charts.frame import PALE, pale_word
from trials.charts.verdict_chart import verdict_chart


@every("narrow", [False, True])
def test_title_band_and_word_say_simulated(narrow: bool):
    """The title begins with it, a dark band says so in white, and pale letters stand behind the rows."""
    verdict = rough_bed()
    drawn = Drawn(verdict_chart(verdict, narrow=narrow, simulated=True))
    assert drawn.title == f"SIMULATED. {verdict.sentence}"
    (band,) = drawn.marks("rect", color=palette.INK)
    white = [row["words"] for mark in drawn.marks("text", color=palette.PAPER) for row in drawn.rows(mark)]
    assert " ".join(white) == "SIMULATED: invented dirt, invented runs. No gold was weighed or counted."
    (row,) = drawn.rows(band)
    assert row["y2"] >= 16 * len(white)
    assert [mark["mark"]["color"] for mark in drawn.marks("text") if drawn.rows(mark) == [{"words": "SIMULATED"}]] == [
        PALE
    ]


def test_the_word_lies_behind_the_marks():
    """The pale word is the first layer of its panel, so that it hides no run."""
    drawn = Drawn(verdict_chart(rough_bed(), simulated=True))
    order = [i for i, layer in enumerate(drawn.layers) if drawn.rows(layer) == [{"words": "SIMULATED"}]]
    first_run = next(i for i, layer in enumerate(drawn.layers) if any("baseline" in row for row in drawn.rows(layer)))
    assert order and order[0] < first_run


def test_grey_print_keeps_it():
    """In grey the band is nearly black on white, and the pale word differs from paper by a tenth of the scale or more."""

    def grey(colour: str) -> float:
        red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
        return (0.299 * red + 0.587 * green + 0.114 * blue) / 255  # ITU-R BT.601 luma

    assert grey(palette.INK) < 0.2
    assert 0.75 < grey(PALE) < 0.9


def test_an_unfinished_one_says_so_too():
    """Behind a gate, without values, title, band and word stand as well."""
    pairs = tuple(PairResult(pair=n, status="open") for n in range(1, 4))
    verdict = rough_bed(**NO_NUMBERS, code="incomplete", pair_results=pairs, costs=())
    assert Drawn(verdict_chart(verdict, simulated=True)).words.count("SIMULATED") == 2


@every(("width", "height"), [(310, 78), (214, 26), (430, 400), (20, 5)])
def test_the_word_fits_its_panel(width: float, height: float):
    """However small the panel, the letters are no higher than it, unless that were too small to read."""
    size = pale_word(width, height).to_dict(validate=False)["mark"]["fontSize"]
    assert size <= max(13, 0.6 * height)


def test_a_real_verdict_does_not_say_it():
    """Without the flag nothing of it is drawn."""
    assert "SIMULATED" not in chart_svg(verdict_chart(rough_bed()))
    assert "SIMULATED" in chart_svg(verdict_chart(rough_bed(), simulated=True))
