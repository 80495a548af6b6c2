"""How a chart of simulated runs says so: in its title, in a dark band above it, and in pale letters behind it."""

from typing import Final

import altair as alt

from trials.charts import palette
from trials.charts.marks import word_band, written, x_at, y_at
from trials.charts.text import text_px

WORD: Final = "SIMULATED"
BAND_WORDS: Final = "SIMULATED: invented dirt, invented runs. No gold was weighed or counted."
PALE: Final = "#D9D5CE"  # grey enough for a poor print, pale enough to read marks on it
LARGEST_PX, SMALLEST_PX = 46.0, 13.0


def simulated_band(width: float, *, left: float = 0.0) -> alt.LayerChart:
    """A dark band with white words, which no printer loses; `left` under 0 begins it under the labels of an axis."""
    return word_band(BAND_WORDS, width, left, ground=palette.INK, colour=palette.PAPER)


def pale_word(width: float, height: float) -> alt.Chart:
    """The word across a panel, as large as it fits; a layer to lie behind the marks."""
    size = max(SMALLEST_PX, min(LARGEST_PX, 0.6 * height, 0.9 * width / text_px(WORD, 1.0, bold=True)))
    word = written([{"words": WORD}], align="center", color=PALE, fontSize=round(size, 1), fontWeight="bold")
    return word.encode(x=x_at(width / 2), y=y_at(height / 2))
