"""Each pair's difference, and their mean with its interval, against zero and the worth-having band."""

from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt

from schemas import ScatterAnswer, Verdict
from trials.charts import palette
from trials.charts.layout import Layout
from trials.charts.marks import Datum, KeyItem, heads, key, layered, line_band, pixel_y, shapes, table
from trials.charts.reading import Reading
from trials.charts.spans import Span, difference_span, stacked
from trials.charts.text import wrap

TICK_PX = 12
BAR_PX = 10


@dataclass(frozen=True, slots=True)
class _Places:
    """Where things stand, in pixels from the top of the panel."""

    ticks: float
    bar: float
    scatter: float | None
    height: float


def bar_key(verdict: Verdict, reading: Reading, layout: Layout) -> alt.LayerChart:
    """What do tick, bar and band stand for?"""
    look = palette.outcome_look(verdict.code)
    items = [KeyItem("one pair", palette.TICK, palette.INK, palette.INK)]
    items.append(KeyItem(f"mean: {look.words}", look.shape, look.colour, look.colour if look.filled else palette.PAPER))
    if isinstance(verdict.answer, ScatterAnswer):
        items.append(KeyItem("one pair by luck alone (SD)", palette.DASHES, palette.INK, palette.INK))
    if reading.line_words:
        items.append(KeyItem(f"under {reading.line_words}", "square", palette.BAND_EDGE, palette.BAND, dashed=True))
    return key(items, layout.plot + layout.notes)


def difference_panel(verdict: Verdict, reading: Reading, layout: Layout) -> alt.LayerChart:
    """Is the mean difference past zero, and past the line?

    What is wider than the axis ends at its edge, with an arrow and its number. Estimate, limits and level are written
    at the right edge, on a phone above the bar.
    """
    span = difference_span(reading.differences, reading.limits, reading.line_ends, reading.estimate)
    levels = stacked([span.clamp(d) for d in reading.differences], 5.0 * span.width / layout.plot)
    places = _places(verdict, levels)
    layers = [
        *line_band(reading.line_ends, span, "at", axis_of(span, reading.axis)),
        _zero(),
        *_ticks(verdict, reading, span, levels, places),
        *_interval(verdict, reading, span, places),
        *_scatter(verdict, reading, span, places),
        _said(reading, layout, places),
    ]
    return layered(layers, layout.plot, places.height)


def _places(verdict: Verdict, levels: Sequence[int]) -> _Places:
    ticks = 14.0 + TICK_PX * max(levels, default=0)
    bar = ticks + 30.0
    scatter = bar + 32.0 if isinstance(verdict.answer, ScatterAnswer) else None
    return _Places(ticks, bar, scatter, (scatter or bar) + 26.0)


def axis_of(span: Span, title: str) -> alt.X:
    """The axis of differences: signed numbers, in the unit people read."""
    return alt.X(
        "at:Q",
        title=title,
        scale=alt.Scale(domain=span.ends, nice=False),
        axis=alt.Axis(tickCount=5, grid=False, labelExpr="(datum.value > 0 ? '+' : '') + datum.label"),
    )


def _zero() -> alt.Chart:
    rule: alt.Chart = alt.Chart(table([{"at": 0.0}])).mark_rule(color=palette.INK, strokeWidth=1.5)
    return rule.encode(x=alt.X("at:Q"))


def _ticks(verdict: Verdict, reading: Reading, span: Span, levels: Sequence[int], places: _Places) -> list[alt.Chart]:
    numbers = [pair.pair for pair in verdict.pair_results if pair.status == "counted"]
    known = len(numbers) == len(reading.differences)
    rows = [
        {
            "at": span.clamp(d),
            "difference": d,
            "pair": numbers[i] if known else i + 1,
            "y": places.ticks - TICK_PX * levels[i],
        }
        for i, d in enumerate(reading.differences)
    ]
    past = [d for d in reading.differences if span.side(d)]
    inside = [row for row, d in zip(rows, reading.differences, strict=True) if not span.side(d)]
    mark = _upright(inside, thickness=2, height=TICK_PX - 3)
    tooltip = [alt.Tooltip("pair:O"), alt.Tooltip("difference:Q", format="+.3~g", title=reading.axis)]
    layer = mark.encode(x=axis_of(span, reading.axis), y=pixel_y(), tooltip=tooltip)
    return [layer, *arrows(past, reading, span, places.ticks, palette.INK, words_dy=-10.0)]


def _upright(rows: Sequence[Datum], *, thickness: float, height: float) -> alt.Chart:
    """A short upright tick for each row."""
    ticks: alt.Chart = alt.Chart(table(rows)).mark_tick(
        color=palette.INK, thickness=thickness, height=height, opacity=1, orient="vertical"
    )
    return ticks


def arrows(
    values: Sequence[float], reading: Reading, span: Span, y: float, colour: str, words_dy: float
) -> list[alt.Chart]:
    """An arrow at the edge for what lies past it, with its number; several past one edge share one arrow."""
    layers = []
    for side in (-1, 1):
        past = sorted(value for value in values if span.side(value) == side)
        if not past:
            continue
        words = ", ".join(reading.number(value) for value in past[:3]) + (", ..." if len(past) > 3 else "")
        row = [{"at": span.high if side > 0 else span.low, "y": y, "number": words, "value": past[-1]}]
        head = heads(row, "triangle-right" if side > 0 else "triangle-left", colour, 110)
        label = alt.Chart(table(row)).mark_text(
            align="right" if side > 0 else "left", dy=words_dy, baseline="middle", color=palette.INK
        )
        layers += [
            head.encode(x=alt.X("at:Q"), y=pixel_y()),
            label.encode(x=alt.X("at:Q"), y=pixel_y(), text=alt.Text("number:N")),
        ]
    return layers


def _interval(verdict: Verdict, reading: Reading, span: Span, places: _Places) -> list[alt.Chart]:
    look = palette.outcome_look(verdict.code)
    layers = []
    fill = look.colour if look.filled else palette.PAPER
    if reading.limits:
        low, high = reading.limits
        row = {"at": span.clamp(low), "to": span.clamp(high), "low": low, "high": high, "y": places.bar}
        bar = alt.Chart(table([row])).mark_bar(
            height=BAR_PX, fill=fill, stroke=look.colour, strokeWidth=1.5, fillOpacity=0.45 if look.filled else 1
        )
        layers.append(bar.encode(x=axis_of(span, reading.axis), x2=alt.X2("to:Q"), y=pixel_y()))
        layers += arrows(reading.limits, reading, span, places.bar, look.colour, words_dy=15.0)
    spot = {"at": span.clamp(reading.estimate), "estimate": reading.estimate, "y": places.bar}
    if look.shape == palette.OPEN_BAR:
        mean = _upright([spot], thickness=3, height=BAR_PX + 8)
    else:
        mean = shapes([spot], look.shape, palette.PAPER, look.colour, 170, 1)
    return [*layers, mean.encode(x=alt.X("at:Q"), y=pixel_y())]


def _scatter(verdict: Verdict, reading: Reading, span: Span, places: _Places) -> list[alt.Chart]:
    """One SD to either side of zero: what luck alone did to a pair."""
    if not isinstance(verdict.answer, ScatterAnswer) or places.scatter is None:
        return []
    low, high = reading.shown(-verdict.answer.sd), reading.shown(verdict.answer.sd)
    row = {"at": span.clamp(low), "to": span.clamp(high), "y": places.scatter}
    line = alt.Chart(table([row])).mark_rule(color=palette.INK, strokeDash=[2, 2], strokeWidth=2)
    ends = _upright([{"at": span.clamp(end), "y": places.scatter} for end in (low, high)], thickness=2, height=10)
    return [
        line.encode(x=alt.X("at:Q"), x2=alt.X2("to:Q"), y=pixel_y()),
        ends.encode(x=alt.X("at:Q"), y=pixel_y()),
    ]


def _said(reading: Reading, layout: Layout, places: _Places) -> alt.Chart:
    """Estimate, limits and level in words: at the right edge, on a phone above the panel."""
    if layout.narrow:
        lines = wrap(", ".join(reading.said), layout.plot + layout.notes)
        x, y, up = 0.0, -12.0, float(len(lines) - 1)
    else:
        lines = [line for text in reading.said for line in wrap(text, layout.notes)]
        x, y, up = layout.plot + 14.0, places.bar, (len(lines) - 1) / 2
    mark: alt.Chart = alt.Chart(table([{"said": "\n".join(lines)}])).mark_text(
        align="left", baseline="middle", lineBreak="\n", dy=-palette.LINE_PX * up
    )
    return mark.encode(x=alt.value(x), y=alt.value(y), text=alt.Text("said:N"))
