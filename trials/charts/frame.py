"""What stands around every chart: the sentence above it, and the words where there is nothing to draw."""

from collections.abc import Sequence

import altair as alt

from schemas import Verdict
from trials.charts import palette
from trials.charts.marks import Part, stacked_parts, words_block
from trials.charts.text import wrap

WIDE_PX = 660
NARROW_PX = 330
LONGEST_QUESTION = 160


def outer_px(*, narrow: bool) -> int:
    """How wide a chart may be, all in: a page of paper, or a phone."""
    return NARROW_PX if narrow else WIDE_PX


def title_of(sentence: str, subtitles: Sequence[str], *, narrow: bool) -> alt.TitleParams:
    """The whole sentence in lines that fit, with quieter ones under it; empty subtitles are left out."""
    pixels = outer_px(narrow=narrow)
    size = palette.TITLE_PX - 1 if narrow else palette.TITLE_PX
    quiet = [line for text in subtitles if text.strip() for line in wrap(text, pixels)]
    title = alt.TitleParams(text=wrap(sentence, pixels, size, bold=True), fontSize=size)
    if quiet:
        title.subtitle = quiet
    return title


def subtitles_of(verdict: Verdict) -> list[str]:
    """The question if it is short, and what the tracer grains are made of where that is not gold."""
    question = verdict.question if len(verdict.question) <= LONGEST_QUESTION else ""
    return [question, stand_in_words(verdict)]


def stand_in_words(verdict: Verdict) -> str:
    """Name grains that only stand in for gold; empty where they are gold."""
    return "" if verdict.stand_in is None else f"The grains are {verdict.stand_in}, a stand-in for gold."


def framed(parts: Sequence[Part], title: alt.TitleParams, spacing: int = 10) -> alt.VConcatChart:
    """Parts under one another, under a title, in the type and colours that all charts share."""
    return stacked_parts(parts, spacing=spacing, title=title, config=palette.chart_config())


def words_only(sentence: str, verdict: Verdict, lines: Sequence[str], *, narrow: bool) -> alt.VConcatChart:
    """A small chart that says in words, one wrapped text after another, why there is nothing to draw."""
    pixels = outer_px(narrow=narrow)
    wrapped = [line for text in lines for line in wrap(text, pixels)]
    body = words_block(wrapped, pixels, colour=palette.INK)
    return framed([body], title_of(sentence, subtitles_of(verdict), narrow=narrow))
