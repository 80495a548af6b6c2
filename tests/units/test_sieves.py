"""Size classes and single openings, as they are typed."""

import pytest

from tests.tables import every
from trials.units.sieves import SizeClass, coarse_first, overlapping, read_size_class
from trials.units.unit_error import UnitError


@every(
    ("text", "series", "label", "lower", "upper"),
    [
        ("+20", "ASTM", "+20", 0.85, None),
        ("-100", "ASTM", "-100", None, 0.15),
        ("-30", "hobby", "-30", None, 0.6),
        ("20/30", "ASTM", "20/30", 0.6, 0.85),
        (" 20 / 30 mesh ", "astm", "20/30", 0.6, 0.85),
        ("-20+30", "ASTM", "20/30", 0.6, 0.85),
        ("-20 / +30", "ASTM", "20/30", 0.6, 0.85),
        ("65/100", "Tyler", "65/100", 0.15, 0.212),
        ("−100", "ASTM", "-100", None, 0.15),  # noqa: RUF001 - the minus sign of typesetting
        ("+0.85 mm", None, "+0.85 mm", 0.85, None),
        ("-75 um", None, "-0.075 mm", None, 0.075),
        ("0.3/0.6 mm", None, "0.3/0.6 mm", 0.3, 0.6),
        ("75/150um", None, "0.075/0.15 mm", 0.075, 0.15),
        ("0.30/.6 mm", "ASTM", "0.3/0.6 mm", 0.3, 0.6),
        ("+1/4 in", "ASTM", "+1/4 in", 6.3, None),  # ASTM E11: the 1/4 in sieve opens 6.3 mm
        ('+1/4"', "hobby", "+1/4 in", 6.35, None),
        ("+1/4 in", None, "+6.35 mm", 6.35, None),
        ("+1/4 in", "Tyler", "+6.35 mm", 6.35, None),
    ],
)
def test_classes_people_write(text: str, series: str | None, label: str, lower: float | None, upper: float | None):
    """A class has the limits of its sieves in mm, open ends as None, and one way of being written."""
    assert read_size_class(text, series) == SizeClass(label, lower, upper)


@every("text", ["+20", "20/30", "-100", "+0.85 mm", "0.3/0.6 mm", "+1/4 in", "-75 um"])
def test_a_label_reads_back_as_itself(text: str):
    """What we write for a class is read as the same class."""
    once = read_size_class(text, "ASTM")
    assert read_size_class(once.label, "ASTM") == once


@every(
    ("text", "series", "says"),
    [
        ("-30", None, r'^30 mesh: ASTM, Tyler or hobby\? Write series = "ASTM" \(0\.600 mm\)\.$'),
        ("20/30", None, r'^20 mesh: ASTM, Tyler or hobby\? Write series = "ASTM" \(0\.850 mm\)\.$'),
        ("+65", None, r'^65 mesh: ASTM, Tyler or hobby\? Write series = "Tyler" \(0\.212 mm\)\.$'),
        (
            "+33",
            None,
            r"^33 mesh: ASTM, Tyler or hobby\? None has that number\. The nearest are ASTM 30 \(0\.600 mm\) and ASTM 35",
        ),
        ("+33", "ASTM", r"^33: no ASTM sieve\. The nearest are 30"),
        ("30/20", "ASTM", r"^30/20: the coarse number stands first\. Write 20/30\.$"),
        ("-30+20", "ASTM", r"the coarse number stands first\. Write 20/30\.$"),
        (
            "20/20",
            "ASTM",
            r"^20/20: both limits are the same opening\. Write the coarse number, then the fine one, as 20/30",
        ),
        ("0.6/0.3 mm", None, r"^0\.6/0\.3 mm: the small length stands first\. Write 0\.3/0\.6 mm\.$"),
        (
            "0.3/0.30 mm",
            None,
            r"both limits are the same opening\. Write the small one, then the large, as 0\.3/0\.6 mm",
        ),
        ("0/0.3 mm", None, r"^0/0\.3 mm: an opening is wider than 0\. Write it as 0\.6 mm\.$"),
        ("+0 mm", None, r"an opening is wider than 0"),
        ("+0.85", "ASTM", r"^0\.85 has no unit\. Write 0\.85 mm,"),
        ("30", "ASTM", r"^30: not a size class\. Write it as \+20, 20/30 or -100, or as 0\.3/0\.6 mm\.$"),
        ("", "ASTM", r"^nothing: not a size class"),
        ("fine", "ASTM", r"^fine: not a size class"),
        ("+20", "BS", r"^BS: not a series of sieves\. Write ASTM, Tyler or hobby\.$"),
        ("+" + "9" * 300, "ASTM", r"not a size class"),
    ],
)
def test_classes_that_are_refused(text: str, series: str | None, says: str):
    """A mesh without its series, an unknown mesh or a turned class is refused with what to write."""
    with pytest.raises(UnitError, match=says):
        read_size_class(text, series)


def test_classes_that_touch_do_not_overlap():
    """The default set shares no grains; a class laid over two others is named with each."""
    default = [read_size_class(text, "ASTM") for text in ("+20", "20/30", "30/50", "50/100", "-100")]
    assert overlapping(default) == []
    over = read_size_class("0.5/0.7 mm")
    assert overlapping([*default, over]) == [("20/30", "0.5/0.7 mm"), ("30/50", "0.5/0.7 mm")]
    assert overlapping([default[0], default[0]]) == [("+20", "+20")]
    assert overlapping([read_size_class("+20", "ASTM"), read_size_class("+100", "ASTM")]) == [("+20", "+100")]


def test_coarse_comes_first():
    """Sorted by the key, the coarse classes come before the fine, whatever their order was."""
    labels = ("-100", "30/50", "+20", "50/100", "20/30")
    classes = sorted((read_size_class(text, "ASTM") for text in labels), key=coarse_first)
    assert [one.label for one in classes] == ["+20", "20/30", "30/50", "50/100", "-100"]
