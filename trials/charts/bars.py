"""Differences as dots, means with their intervals as bars, one or several, against zero and the worth-having band."""

from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt

from schemas import ScatterAnswer, Verdict
from schemas.verdict import Code
from trials.charts import marks, palette
from trials.charts.layout import Layout
from trials.charts.reading import Reading
from trials.charts.spans import Span, difference_span, stacked
from trials.charts.text import wrap, wrap_all
from trials.wording.numbers import decimals_for, signed

DOT_PX = 9  # from dot to dot of a stack
DOT_SIZE = 42
TALLEST_PX = 180  # a stack of many dots is pressed together to so much
BAR_PX, JOINT_BAR_PX = 10, 9
JOINT_MEAN_SIZE = 120
MOST_NAMED = 3
ARROW_PX = 7  # how far outside the plot an arrow stands, so that it hides nothing inside


@dataclass(frozen=True, slots=True)
class _Places:
    """Where things stand, in pixels from the top of the panel, and how far apart stacked dots are."""

    dots: float
    apart: float
    bar: float
    scatter: float | None
    height: float


def bar_key(verdict: Verdict, reading: Reading, layout: Layout) -> alt.LayerChart:
    """What do dot, bar and band stand for?"""
    look = palette.outcome_look(verdict.code)
    items = [marks.KeyItem("one pair", palette.CIRCLE, palette.PAPER, palette.INK)]
    items.append(marks.KeyItem.of_outcome(look, f"mean: {look.words}"))
    if isinstance(verdict.answer, ScatterAnswer):
        items.append(marks.KeyItem("one pair by luck alone (SD)", palette.DASHES, palette.INK, palette.INK))
    if reading.line_words:
        items.append(marks.KeyItem.of_line(f"under {reading.line_words}"))
    return marks.key(items, layout.plot + layout.notes)


def difference_panel(verdict: Verdict, reading: Reading, layout: Layout) -> alt.LayerChart:
    """Is the mean difference past zero, and past the line?

    Each pair is a dot, equal ones stacked (Wilkinson, "Dot plots", The American Statistician 53 (1999), 276-281). What
    is wider than the axis ends at its edge, with an arrow outside it and its number. Estimate, limits and level are
    written at the right edge, on a phone above the bar.
    """
    span = difference_span(reading.differences, reading.limits, reading.line_ends, reading.estimate)
    inside = [d for d in reading.differences if not span.side(d)]
    levels = stacked(inside, 8.0 * span.width / layout.plot)
    places = _places(verdict, levels, has_arrow=len(inside) < len(reading.differences))
    layers = [
        *marks.line_band(reading.line_ends, span, "at", axis_of(span, reading.axis)),
        zero_line(),
        *_dots(verdict, reading, span, levels, places),
        *arrows([d for d in reading.differences if span.side(d)], reading, span, _Arrow(places.dots, -places.dots + 8)),
        *_interval(verdict, reading, span, places),
        *_scatter(verdict, reading, span, places),
        _said(reading, layout, places),
    ]
    return marks.layered(layers, layout.plot, places.height)


def _places(verdict: Verdict, levels: Sequence[int], *, has_arrow: bool) -> _Places:
    most = max(levels, default=0)
    apart = min(DOT_PX, TALLEST_PX / max(most, 1))
    dots = 14.0 + apart * most + (palette.LINE_PX if has_arrow else 0)
    bar = dots + 28.0
    scatter = bar + 32.0 if isinstance(verdict.answer, ScatterAnswer) else None
    return _Places(dots, apart, bar, scatter, (scatter or bar) + 26.0)


def axis_of(span: Span, title: str) -> alt.X:
    """The axis of differences: signed numbers, in the unit people read."""
    signed = alt.Axis(tickCount=5, grid=False, labelExpr=marks.SIGNED)
    return alt.X("at:Q", title=title, scale=marks.scaled(span), axis=signed)


def zero_line() -> alt.Chart:
    """No difference."""
    return marks.rules([{"at": 0.0}], px=1.5).encode(x=alt.X("at:Q"))


def limits_bar(
    told: marks.Datum, limits: Sequence[float], span: Span, axis: alt.X, look: palette.OutcomeLook, height: float
) -> alt.Chart:
    """The bar of an outcome from its lower to its upper limit, cut at the ends of the axis; `told` has its y."""
    low, high = limits
    row = {**told, "at": span.clamp(low), "to": span.clamp(high), "low": low, "high": high}
    return outcome_bars([row], look, height, 1.5).encode(x=axis, x2=alt.X2("to:Q"), y=marks.pixel_y())


def outcome_bars(rows: Sequence[marks.Datum], look: palette.OutcomeLook, height: float, edge_px: float) -> alt.Chart:
    """Bars in the look of an outcome."""
    opacity = 0.45 if look.filled else 1
    bars: alt.Chart = alt.Chart(marks.table(rows)).mark_bar(
        height=height, fill=look.fill, stroke=look.colour, strokeWidth=edge_px, fillOpacity=opacity
    )
    return bars


def outcome_means(rows: Sequence[marks.Datum], look: palette.OutcomeLook, size: float, edge_px: float) -> alt.Chart:
    """The marks of means in the look of an outcome, on its bar; where that is a bar itself an upright line."""
    if look.shape == palette.OPEN_BAR:
        return marks.shapes(rows, palette.UPRIGHT, look.colour, look.colour, size, edge_px)
    return marks.shapes(rows, look.shape, palette.PAPER, look.colour, size, edge_px)


def _dots(verdict: Verdict, reading: Reading, span: Span, levels: Sequence[int], places: _Places) -> list[alt.Chart]:
    """A dot for each pair on the axis, with a white edge that parts it from its neighbours and from a line behind."""
    numbers = [pair.pair for pair in verdict.pair_results if pair.status == "counted"]
    known = len(numbers) == len(reading.differences)
    inside = [(i, d) for i, d in enumerate(reading.differences) if not span.side(d)]
    rows = [
        {"at": d, "difference": d, "pair": numbers[i] if known else i + 1, "y": places.dots - places.apart * level}
        for (i, d), level in zip(inside, levels, strict=True)
    ]
    tooltip = [
        alt.Tooltip("pair:O"),
        alt.Tooltip("difference:Q", format=marks.number_format(is_signed=True), title=reading.axis),
    ]
    mark = marks.shapes(rows, palette.CIRCLE, palette.PAPER, palette.INK, DOT_SIZE, 1.2)
    return [mark.encode(x=axis_of(span, reading.axis), y=marks.pixel_y(), tooltip=tooltip)]


@dataclass(frozen=True, slots=True)
class _Arrow:
    """Where an arrow stands, how far under it its number is written, and its colour."""

    y: float
    words_dy: float
    colour: str = palette.INK


def arrows(values: Sequence[float], reading: Reading, span: Span, where: _Arrow) -> list[alt.Chart]:
    """An arrow outside the edge for what lies past it, with its number; several past one edge share one arrow."""
    layers = []
    for side in (-1, 1):
        past = sorted((value for value in values if span.side(value) == side), key=abs)
        if not past:
            continue
        edge = span.high if side > 0 else span.low
        row = [{"at": edge, "y": where.y, "number": _past_words(past, reading), "value": past[-1], "count": len(past)}]
        head = marks.heads(row, "triangle-right" if side > 0 else "triangle-left", where.colour, 90)
        label = marks.caption(
            row, "number", align="right" if side > 0 else "left", dy=where.words_dy, color=palette.INK
        )
        aside = alt.XOffsetValue(ARROW_PX * side)  # type: ignore[no-untyped-call]
        layers += [
            head.encode(x=alt.X("at:Q"), xOffset=aside, y=marks.pixel_y()),
            label.encode(x=alt.X("at:Q"), y=marks.pixel_y()),
        ]
    return layers


def _past_words(past: Sequence[float], reading: Reading) -> str:
    """The numbers past an edge, the nearest first; of more than three how many, and from where to where."""
    if len(past) <= MOST_NAMED:
        return ", ".join(map(reading.number, past))
    return f"{len(past)} pairs, {reading.number(past[0])} to {reading.number(past[-1])}"


def _interval(verdict: Verdict, reading: Reading, span: Span, places: _Places) -> list[alt.Chart]:
    look = palette.outcome_look(verdict.code)
    layers = []
    if reading.limits:
        axis = axis_of(span, reading.axis)
        layers.append(limits_bar({"y": places.bar}, reading.limits, span, axis, look, BAR_PX))
        layers += arrows(reading.limits, reading, span, _Arrow(places.bar, 15.0, look.colour))
    spot = {"at": span.clamp(reading.estimate), "estimate": reading.estimate, "y": places.bar}
    if look.shape == palette.OPEN_BAR:
        mean = marks.ticks([spot], 3, BAR_PX + 8)
    else:
        mean = marks.shapes([spot], look.shape, palette.PAPER, look.colour, 170, 1)
    return [*layers, mean.encode(x=alt.X("at:Q"), y=marks.pixel_y())]


def _scatter(verdict: Verdict, reading: Reading, span: Span, places: _Places) -> list[alt.Chart]:
    """One SD to either side of zero: what luck alone did to a pair."""
    if not isinstance(verdict.answer, ScatterAnswer) or places.scatter is None:
        return []
    low, high = reading.shown(-verdict.answer.sd), reading.shown(verdict.answer.sd)
    row = {"at": span.clamp(low), "to": span.clamp(high), "y": places.scatter}
    ends = marks.ticks([{"at": span.clamp(end), "y": places.scatter} for end in (low, high)], 2, 10)
    return [
        marks.rules([row], px=2, dash=[2, 2]).encode(x=alt.X("at:Q"), x2=alt.X2("to:Q"), y=marks.pixel_y()),
        ends.encode(x=alt.X("at:Q"), y=marks.pixel_y()),
    ]


def _said(reading: Reading, layout: Layout, places: _Places) -> alt.Chart:
    """Estimate, limits and level in words: at the right edge, on a phone above the panel."""
    if layout.narrow:
        lines = wrap(", ".join(reading.said), layout.plot + layout.notes)
        x, y, up = 0.0, -12.0, float(len(lines) - 1)
    else:
        lines = wrap_all(reading.said, layout.notes)
        x, y, up = layout.plot + 20.0, places.bar, (len(lines) - 1) / 2
    said = marks.caption([{"said": "\n".join(lines)}], "said", lineBreak="\n", dy=-palette.LINE_PX * up)
    return said.encode(x=marks.x_at(x), y=marks.y_at(y))


@dataclass(frozen=True, slots=True)
class JointBar:
    """A mean with its joint limits, one row of several, in the unit people read.

    told: goes into its rows, so that a picture can be read back.
    limits: empty where there are none.
    y: its middle, in pixels.
    """

    told: marks.Datum
    mean: float
    limits: tuple[float, ...]
    code: Code
    y: float


def joint_bar(bar: JointBar, span: Span, axis: alt.X, *, numbers_under: bool) -> list[alt.Chart]:
    """Draw it; the number of a limit past the edge stands under its arrow, or before it."""
    look = palette.outcome_look(bar.code)
    layers = []
    if bar.limits:
        layers.append(limits_bar({**bar.told, "y": bar.y}, bar.limits, span, axis, look, JOINT_BAR_PX))
        past = [limit for limit in bar.limits if span.side(limit)]
        layers += [mark for limit in past for mark in _past(limit, bar.y, span, look.colour, under=numbers_under)]
    spot = {**bar.told, "at": span.clamp(bar.mean), "mean": bar.mean, "y": bar.y}
    return [*layers, outcome_means([spot], look, JOINT_MEAN_SIZE, 1).encode(x=axis, y=marks.pixel_y())]


def _past(limit: float, y: float, span: Span, colour: str, *, under: bool) -> list[alt.Chart]:
    side = span.side(limit)
    row = [{"at": span.clamp(limit), "y": y, "number": signed(limit, decimals_for(abs(limit) / 10)), "value": limit}]
    head = marks.heads(row, "triangle-right" if side > 0 else "triangle-left", colour, 85)
    dx, dy = (0, 13) if under else (-9 * side, 0)
    words = marks.caption(row, "number", align="right" if side > 0 else "left", dx=dx, dy=dy)
    return [mark.encode(x=alt.X("at:Q"), y=marks.pixel_y()) for mark in (head, words)]
