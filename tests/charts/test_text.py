"""Texts are broken to fit and never lose a word."""

from hypothesis import given
from hypothesis import strategies as st

from trials.charts.text import ROOM, shorten, text_px, wrap

TEXTS = st.text(st.characters(blacklist_categories=["Cs"]), max_size=300)
WIDTHS = st.floats(30, 700)


@given(TEXTS, WIDTHS)
def test_nothing_is_lost(text: str, pixels: float):
    """All letters of a text are in its lines, in order."""
    assert "".join("".join(wrap(text, pixels)).split()) == "".join(text.split())


@given(TEXTS, WIDTHS)
def test_lines_fit(text: str, pixels: float):
    """No line is wider than the room, however long a word is."""
    assert all(text_px(line) <= pixels * ROOM for line in wrap(text, pixels) if len(line) > 1)


@given(TEXTS, WIDTHS)
def test_one_line_fits(text: str, pixels: float):
    """A shortened text fits on one line, or is only the three dots."""
    short = shorten(text, pixels)
    assert "\n" not in short
    assert text_px(short) <= pixels or short == "..."


def test_short_words_stay_whole():
    """A line that fits is left alone."""
    assert wrap("Worse beyond luck", 500) == ["Worse beyond luck"]
    assert wrap("", 500) == [""]
