"""What the noise is made of: for each measure, which luck makes two halves run alike differ."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import altair as alt

from schemas import MeasureName
from trials.charts import palette
from trials.charts.fills import FILLS, REST, Area, Fill, filled
from trials.charts.frame import framed, outer_px, title_of
from trials.charts.marks import Part, layered, texts, unchecked, words_block
from trials.charts.text import ROOM, shorten, text_px, wrap
from trials.measures.catalogue import measure_named
from trials.noise.budget import Budget, Source
from trials.wording.lists import and_list
from trials.wording.numbers import share_words

BAR_PX = 26
RIGHT_PX = 130  # room for the SD beside the bar; on a phone it stands above
SMALL_SHARE = 0.02  # sources under it are drawn as one
ZEROS_TOLD = 0.01
SWATCH_PX = 14
REST_NAME = "all smaller ones"
SMALL_PRINT = (
    "A bar is the square of the scatter, because only squares add up: a part of a fifth, taken away, takes a tenth off "
    "the SD."
)


@dataclass(frozen=True, slots=True)
class _Part:
    """One stretch of a bar."""

    name: str
    share: float
    fill: Fill

    @property
    def words(self) -> str:
        return f"{self.name} {share_words(self.share)}"

    def words_within(self, pixels: float) -> str:
        """The name, cut where it is too long for a line, and the share."""
        share = f" {share_words(self.share)}"
        return shorten(self.name, pixels - text_px(share) / ROOM) + share


@unchecked
def noise_chart(budgets: Sequence[Budget], *, narrow: bool = False) -> alt.VConcatChart:
    """What is my noise made of?

    A bar for each measure, divided by the share of each source in the variance, the largest first. The SD of a pair is
    written beside it in its own unit, points or %: measures share no axis. Sources under 2 % are one part. Raises
    ValueError for no budget, or a variance under 0 or not finite.
    """
    if not budgets:
        raise ValueError("budgets is empty; the chart needs 1 or more. Reckon the noise of a measure first.")
    for budget in budgets:
        _require_variances(budget)
    fills = _fills_of(budgets)
    pixels = outer_px(narrow=narrow)
    parts: list[Part] = [_panel(budget, fills, pixels, narrow=narrow) for budget in budgets]
    if any(budget.sources for budget in budgets):
        parts.append(words_block(wrap(SMALL_PRINT, pixels), pixels))
    return framed(parts, title_of(title_words(budgets), [], narrow=narrow), spacing=18)


def _require_variances(budget: Budget) -> None:
    for source in budget.sources:
        if not (math.isfinite(source.variance) and source.variance >= 0):
            raise ValueError(
                f"{budget.measure}: the variance of {source.name} is {source.variance}; it must be 0 or more and "
                "finite. Reckon the budget again."
            )


def title_words(budgets: Sequence[Budget]) -> str:
    """Name the largest source, for all measures or for each.

    >>> budget = Budget("recovery", (Source("run to run", 6.0), Source("scale", 2.0)), expected=80.0, zero_share=0.0)
    >>> title_words([budget])
    'What the noise is made of: mostly run to run (75 %).'
    """
    with_noise = [budget for budget in budgets if _total(budget) > 0]
    if not with_noise:
        return "No noise is foretold: nothing in this plan can be seen to scatter."
    first = {budget.measure: _largest(budget) for budget in with_noise}
    is_most = all(first[budget.measure].variance > _total(budget) / 2 for budget in with_noise)
    names = list(dict.fromkeys(source.name for source in first.values()))
    if len(with_noise) == 1:
        told = f"{names[0]} ({share_words(first[with_noise[0].measure].variance / _total(with_noise[0]))})"
    elif len(names) == 1:
        told = f"{names[0]}, whichever of these is measured"
    else:
        measures = ([_heading(name) for name, source in first.items() if source.name == each] for each in names)
        told = "; ".join(f"{name} for {and_list(those)}" for name, those in zip(names, measures, strict=True))
    return f"What the noise is made of: {'mostly' if is_most else 'first of all'} {told}."


def _total(budget: Budget) -> float:
    return sum(source.variance for source in budget.sources)


def _largest(budget: Budget) -> Source:
    return max(budget.sources, key=lambda source: source.variance)


def _heading(measure: MeasureName) -> str:
    """What a measure is called above its bar."""
    return measure_named(measure).words.axis.split(",")[0]


def _fills_of(budgets: Sequence[Budget]) -> dict[str, Fill]:
    """One fill for each source, the same in every bar; those that matter most come first."""
    shares: dict[str, float] = {}
    for budget in budgets:
        for part in _shares(budget):
            shares[part.name] = max(shares.get(part.name, 0.0), part.share)
    names = sorted(shares, key=lambda name: -shares[name])
    return {name: FILLS[i % len(FILLS)] for i, name in enumerate(names) if name != REST_NAME}


def _shares(budget: Budget, fills: Mapping[str, Fill] | None = None) -> list[_Part]:
    """The parts of a bar, the largest first, the small ones as one at its end."""
    total = _total(budget)
    if total == 0:
        return []
    shares = sorted(((s.name, s.variance / total) for s in budget.sources if s.variance > 0), key=lambda s: -s[1])
    small = [share for _, share in shares if share < SMALL_SHARE]
    kept = shares if len(small) < 2 else [s for s in shares if s[1] >= SMALL_SHARE]
    parts = [_Part(name, share, (fills or {}).get(name, REST)) for name, share in kept]
    return parts if len(small) < 2 else [*parts, _Part(REST_NAME, sum(small), REST)]


def _panel(budget: Budget, fills: Mapping[str, Fill], pixels: int, *, narrow: bool) -> alt.LayerChart:
    measure = measure_named(budget.measure)
    width = pixels if narrow else pixels - RIGHT_PX
    sd = f"SD {measure.spread_text(budget.sd_pair)}"
    heading = _heading(budget.measure) + (f": {sd}" if narrow else "")
    parts = _shares(budget, fills)
    above = [(part, at) for part, at in _placed(parts, width) if text_px(part.words) <= part.share * width]
    bar_y = palette.LINE_PX * (2.0 if above else 1.25)
    below = [part for part in parts if part not in [p for p, _ in above]]
    areas = [
        Area(at, bar_y, at + part.share * width, bar_y + BAR_PX, part.fill, _told(budget, part))
        for part, at in _placed(parts, width)
    ]
    swatches, listed = _listed(below, bar_y + BAR_PX + 8, pixels if narrow else width)
    under = palette.LINE_PX + float(listed[-1]["y"]) if listed else bar_y + BAR_PX + 8 + palette.LINE_PX / 2
    y = under if parts else 1.5 * palette.LINE_PX
    notes = [{"x": 0.0, "y": y + palette.LINE_PX * i, "words": text} for i, text in enumerate(_notes(budget, pixels))]
    labels = [{"x": at, "y": bar_y - 9, "words": part.words} for part, at in above]
    right = [] if narrow else [{"x": width + 12.0, "y": bar_y + BAR_PX / 2 if parts else 7.0, "words": sd}]
    layers = [
        texts([{"x": 0.0, "y": 7.0, "words": heading}, *right], bold=True),
        texts([*labels, *listed]),
        texts(notes, colour=palette.QUIET),
    ]
    height = y + palette.LINE_PX * (len(notes) - 0.5)
    return layered([*filled([*areas, *swatches]), *layers], pixels, height)


def _told(budget: Budget, part: _Part) -> dict[str, object]:
    return {"measure": budget.measure, "source": part.name, "share": part.share}


def _placed(parts: Sequence[_Part], width: float) -> list[tuple[_Part, float]]:
    """Each part with where it begins."""
    placed, at = [], 0.0
    for part in parts:
        placed.append((part, at))
        at += part.share * width
    return placed


def _listed(parts: Sequence[_Part], top: float, width: float) -> tuple[list[Area], list[dict[str, float | str]]]:
    """Those too small to be written above: a patch of each fill with its words, in lines."""
    swatches: list[Area] = []
    rows: list[dict[str, float | str]] = []
    x, y = 0.0, top + palette.LINE_PX / 2
    for part in parts:
        words = part.words_within(width - SWATCH_PX - 6)
        needed = SWATCH_PX + 6 + text_px(words)
        if x and x + needed > width:
            x, y = 0.0, y + palette.LINE_PX
        swatches.append(Area(x + 0.5, y - 6, x + SWATCH_PX, y + 6, part.fill, {}))
        rows.append({"x": x + SWATCH_PX + 6, "y": y, "words": words})
        x += needed + 16
    return swatches, rows


def _notes(budget: Budget, pixels: float) -> list[str]:
    """What the SD would be without its largest part, and how often a run finds none."""
    measure = measure_named(budget.measure)
    told = []
    if len(budget.sources) > 1 and _total(budget) > 0:
        largest = _largest(budget)
        rest = math.sqrt(max(0.0, 2.0 * (_total(budget) - largest.variance)))
        told.append(f"SD without the largest part: {measure.spread_text(rest)}.")
    if _total(budget) == 0:
        told.append("Nothing here can be seen to scatter.")
    if budget.zero_share >= ZEROS_TOLD:
        told.append(f"{share_words(budget.zero_share)} of the runs would find none.")
    return wrap(" ".join(told), pixels) if told else []
