"""What stands around every chart: the sentence above it, the small print below, and the words where none is drawn."""

from collections.abc import Sequence
from typing import Final

import altair as alt

from schemas import Verdict, VoidRun
from trials.charts import palette
from trials.charts.marks import Part, caption, stacked_parts, word_band, words_block, x_at, y_at
from trials.charts.text import text_px, wrap, wrap_all, wrap_evenly
from trials.measures.catalogue import measure_named
from trials.verdicts.spoken import dates_words, lots_words, void_words
from trials.wording.lists import and_list

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
    quiet = wrap_all(filter(str.strip, subtitles), pixels)
    title = alt.TitleParams(text=wrap_evenly(sentence, pixels, size, bold=True), fontSize=size)
    if quiet:
        title.subtitle = quiet
    return title


def heading_of(
    words: str, verdict: Verdict, more: Sequence[str] = (), *, narrow: bool, headed: bool
) -> alt.TitleParams | None:
    """The title of a verdict's chart with `more` and the question under it.

    On a page that has said all that before, not `headed`, only what the grains are.
    """
    if headed:
        return title_of(words, [*more, *subtitles_of(verdict)], narrow=narrow)
    lines = wrap(grain_words(verdict), outer_px(narrow=narrow))
    if lines == [""]:
        return None
    return alt.TitleParams(text=lines, fontSize=palette.TEXT_PX, fontWeight="normal", color=palette.QUIET)


def subtitles_of(verdict: Verdict) -> list[str]:
    """The question if it is short, and what the tracer grains are and how large."""
    question = verdict.question if len(verdict.question) <= LONGEST_QUESTION else ""
    return [question, grain_words(verdict)]


def grain_words(verdict: Verdict) -> str:
    """What the tracer grains are made of, and their size, without which a share of them says little; else empty."""
    if verdict.stand_in is None and not measure_named(verdict.measure).is_seeded:
        return ""
    made_of = "" if verdict.stand_in == "other" else f"{verdict.stand_in}, "
    stuff = "gold" if verdict.stand_in is None else f"{made_of}a stand-in for gold"
    size = f"size {verdict.grain_sizes}" if verdict.grain_sizes else "their size not recorded"
    return f"The grains are {stuff}, {size}."


def framed(
    parts: Sequence[Part], title: alt.TitleParams | None, spacing: int = 10, *, padded: bool = True
) -> alt.VConcatChart:
    """Parts under one another, under a title, in the type and colours that all charts share.

    `padded` is off on a page that has its own room around a chart.
    """
    above = {} if title is None else {"title": title}
    config = palette.chart_config() if padded else palette.chart_config() | {"padding": 2}
    return stacked_parts(parts, spacing=spacing, config=config, **above)


def words_only(words: str, verdict: Verdict, lines: Sequence[str], *, narrow: bool, headed: bool) -> alt.VConcatChart:
    """A small chart that says in words, one wrapped text after another, why there is nothing to draw."""
    pixels = outer_px(narrow=narrow)
    body = words_block(wrap_all(lines, pixels), pixels, colour=palette.INK)
    heading = heading_of(words, verdict, [verdict.sentence], narrow=narrow, headed=headed)
    return framed([body], heading, padded=headed)


BITES = {"STOP": "stopped", "WEAKENS": "weakened"}


def footer_lines(verdict: Verdict, pixels: float) -> list[str]:
    """What must be known beside the picture? Lines that fit so many pixels."""
    seed = "seed not recorded" if verdict.seed is None else f"seed {verdict.seed}"
    texts = [
        tally_words(verdict),
        _voids(verdict.voids),
        checks_words(verdict),
        _amendments(verdict),
        f"Lot: {lots_words(verdict.lots)}; {dates_words(verdict.dates)}; {seed}.",
    ]
    return wrap_all(filter(None, texts), pixels)


def tally_words(verdict: Verdict) -> str:
    """Count the pairs of each sort, or the blocks: "Pairs: 6 planned, 6 complete, 1 void, 1 empty."."""
    pairs = verdict.pairs
    what = {"graded": "Blocks", "audit": "Runs"}.get(verdict.trial_kind, "Pairs")
    more = [
        f"{number} {word}" for number, word in ((pairs.empty, "empty"), (pairs.beyond, "beyond the plan")) if number
    ]
    return (
        f"{what}: {', '.join([f'{pairs.planned} planned', f'{pairs.complete} complete', f'{pairs.void} void', *more])}."
    )


def checks_words(verdict: Verdict) -> str:
    """Name the checks that stop or weaken the verdict."""
    told = [
        f"{done} by {and_list(list(names))}"
        for severity, done in BITES.items()
        if (names := dict.fromkeys(finding.check for finding in verdict.checks if finding.severity == severity))
    ]
    return f"Checks: {'; '.join(told) or 'none stops or weakens this'}."


def _voids(voids: Sequence[VoidRun]) -> str:
    return f"Void: {'; '.join(map(void_words, voids))}." if voids else ""


def _amendments(verdict: Verdict) -> str:
    changed = list(dict.fromkeys(amendment.what for amendment in verdict.amendments))
    return f"Plan changed after it was locked: {and_list(changed)}." if changed else ""


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
    word = caption([{"words": WORD}], align="center", color=PALE, fontSize=round(size, 1), fontWeight="bold")
    return word.encode(x=x_at(width / 2), y=y_at(height / 2))
