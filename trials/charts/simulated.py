"""How a chart of simulated runs says so: in its title, in a dark band above it, and in pale letters behind it."""

from typing import Final

import altair as alt

from trials.charts import palette
from trials.charts.marks import layered, pixel_x, pixel_y, table
from trials.charts.text import text_px, wrap

WORD: Final = "SIMULATED"
BAND_WORDS: Final = "SIMULATED: invented dirt, invented runs. No gold was weighed or counted."
PALE: Final = "#D9D5CE"  # grey enough for a poor print, pale enough to read marks on it
LARGEST_PX, SMALLEST_PX = 46.0, 13.0


def simulated_title(sentence: str) -> str:
    """The sentence, told as simulated before anything else.

    >>> simulated_title("Better beyond luck: +2.3 points.")
    'SIMULATED. Better beyond luck: +2.3 points.'
    """
    return f"{WORD}. {sentence}"


def simulated_band(width: float, *, left: float = 0.0) -> alt.LayerChart:
    """A dark band with white words, which no printer loses; `left` under 0 begins it under the labels of an axis."""
    lines = wrap(BAND_WORDS, width - left - 16, bold=True)
    height = palette.LINE_PX * len(lines) + 8
    area = alt.Chart(table([{"x": left, "x2": width, "y": 0, "y2": height}])).mark_rect(color=palette.INK, opacity=1)
    rows = [{"x": left + 8, "y": 4 + palette.LINE_PX * (i + 0.5), "words": words} for i, words in enumerate(lines)]
    words = alt.Chart(table(rows)).mark_text(
        align="left", baseline="middle", color=palette.PAPER, fontWeight="bold", fontSize=palette.TEXT_PX
    )
    x, y = pixel_x(), pixel_y()
    layers = [
        area.encode(x=x, x2=alt.X2("x2:Q"), y=y, y2=alt.Y2("y2:Q")),
        words.encode(x=x, y=y, text=alt.Text("words:N")),
    ]
    return layered(layers, width, height)


def pale_word(width: float, height: float) -> alt.Chart:
    """The word across a panel, as large as it fits; a layer to lie behind the marks."""
    size = max(SMALLEST_PX, min(LARGEST_PX, 0.6 * height, 0.9 * width / text_px(WORD, 1.0, bold=True)))
    mark: alt.Chart = alt.Chart(table([{"words": WORD}])).mark_text(
        align="center", baseline="middle", color=PALE, fontSize=round(size, 1), fontWeight="bold"
    )
    return mark.encode(x=alt.value(width / 2), y=alt.value(height / 2), text=alt.Text("words:N"))
