"""What the change costs: a short bar for each ratio, with its limits and the most it may be."""

from collections.abc import Sequence

import altair as alt

from schemas import Cost
from trials.charts import palette
from trials.charts.marks import KeyItem, caption, heads, key, layered, pixel_y, rules, scaled, table, ticks, tips, x_at
from trials.charts.spans import Span
from trials.charts.text import wrap
from trials.verdicts.spoken import times_text
from trials.wording.numbers import figures

ROW_PX = 76
BAR_Y = 40
MOST_RATIO = 6.0
LEAST_SHOWN = 0.7


def cost_panel(costs: Sequence[Cost], width: int) -> alt.LayerChart:
    """Is what the gain costs within the limits?

    A bar from 1 (no change) to the ratio, a line between its one-sided 95 % limits, and a tick at the most it may be;
    words repeat what the bar shows. A cost never recorded is named too, without a bar.
    """
    span = ratio_span(costs)
    measured = [_row(cost, index, span) for index, cost in enumerate(costs) if cost.ratio is not None]
    layers = [
        _same(span, len(costs)),
        *_bars(measured, span),
        *_past(costs, span),
        _limits(costs, span),
        *_words(costs, width),
    ]
    return layered(layers, width, ROW_PX * len(costs) - 10)


def cost_key(width: int) -> alt.LayerChart:
    """What do bar, line and dashes of the costs stand for?"""
    items = [
        KeyItem("times baseline", palette.OPEN_BAR, palette.QUIET, palette.QUIET),
        KeyItem("one-sided 95 % limits", palette.WHISKER, palette.INK),
        KeyItem("most it may be", palette.UPRIGHT_DASHES, palette.BAND_EDGE, palette.BAND_EDGE),
    ]
    return key(items, width)


def ratio_span(costs: Sequence[Cost]) -> Span:
    """Which ratios are drawn? 1 and every limit, and what the costs came to as far as that stays readable."""
    known = [v for c in costs for v in (c.ratio, c.low, c.high) if v is not None]
    limits = [c.limit for c in costs if c.limit is not None]
    most = min(max([1.2, *known, *limits]), max(MOST_RATIO, *limits, 0.0))
    least = max(min([LEAST_SHOWN, *known]), 0.0)
    return Span(least - 0.02 * (most - least), most + 0.06 * (most - least))


def limit_words(cost: Cost) -> str:
    """Name the limit, and that it is our default where it is.

    >>> limit_words(Cost(name="minutes", unit="min", limit=1.2, limit_is_ours=True, status="not recorded"))
    'limit 1.2 (our default)'
    """
    if cost.limit is None:
        return "no limit"
    return f"limit {figures(cost.limit)}{' (our default)' if cost.limit_is_ours else ''}"


def _row(cost: Cost, index: int, span: Span) -> dict[str, object]:
    low, ratio, high = (1.0 if v is None else v for v in (cost.low, cost.ratio, cost.high))
    return {
        "name": cost.name,
        "status": cost.status,
        "from": 1.0,
        "ratio": ratio,
        "low": low,
        "high": high,
        "ratio_at": span.clamp(ratio),
        "low_at": span.clamp(low),
        "high_at": span.clamp(high),
        "y": ROW_PX * index + BAR_Y,
    }


def _x(field: str, span: Span) -> alt.X:
    return alt.X(f"{field}:Q", scale=scaled(span), axis=None)


def _bars(rows: Sequence[dict[str, object]], span: Span) -> list[alt.Chart]:
    layers = []
    for status, colour, fill in (
        ("within", palette.QUIET, palette.QUIET),
        ("over", palette.WORSE, palette.WORSE),
        ("not shown", palette.UNSETTLED, palette.PAPER),
    ):
        own = table([row for row in rows if row["status"] == status])
        bar = alt.Chart(own).mark_bar(height=9, fill=fill, fillOpacity=0.6, stroke=colour, strokeWidth=1.3)
        told = tips("name:N", "ratio:Q", "low:Q", "high:Q")
        layers.append(bar.encode(x=_x("from", span), x2=alt.X2("ratio_at:Q"), y=pixel_y(), tooltip=told))
    ends = ticks([{**row, "low_at": row["high_at"]} for row in rows] + list(rows), 1.5, 7)
    return [
        *layers,
        rules(rows, px=1.5).encode(x=_x("low_at", span), x2=alt.X2("high_at:Q"), y=pixel_y()),
        ends.encode(x=_x("low_at", span), y=pixel_y()),
    ]


def _past(costs: Sequence[Cost], span: Span) -> list[alt.Chart]:
    """Arrows where a limit of a ratio lies past the axis."""
    rows = [
        {"at": span.high, "y": ROW_PX * index + BAR_Y}
        for index, cost in enumerate(costs)
        if cost.high is not None and span.side(cost.high) > 0
    ]
    head = heads(rows, "triangle-right", palette.INK, 70)
    return [head.encode(x=_x("at", span), y=pixel_y())] if rows else []


def _same(span: Span, count: int) -> alt.Chart:
    """A line at 1: no change."""
    rows = [{"at": 1.0, "y": ROW_PX * i + BAR_Y - 9, "to": ROW_PX * i + BAR_Y + 9} for i in range(count)]
    return rules(rows, px=1).encode(x=_x("at", span), y=pixel_y(), y2=alt.Y2("to:Q"))


def _limits(costs: Sequence[Cost], span: Span) -> alt.Chart:
    rows = [
        {"at": span.clamp(cost.limit), "limit": cost.limit, "y": ROW_PX * i + BAR_Y - 10, "to": ROW_PX * i + BAR_Y + 10}
        for i, cost in enumerate(costs)
        if cost.limit is not None
    ]
    return rules(rows, palette.BAND_EDGE, 2, [3, 2]).encode(x=_x("at", span), y=pixel_y(), y2=alt.Y2("to:Q"))


def _words(costs: Sequence[Cost], width: int) -> list[alt.Chart]:
    layers = []
    for bold in (True, False):
        rows = [
            {"y": ROW_PX * index + y, "words": words}
            for index, cost in enumerate(costs)
            for y, words, is_bold in (
                (6, cost.name, True),
                (22, cost.status if cost.ratio is None else f"{times_text(cost)}: {cost.status}", False),
                (58, limit_words(cost), False),
            )
            if is_bold is bold
            for words in wrap(words, width)[:1]
        ]
        layers.append(caption(rows, fontWeight="bold" if bold else "normal").encode(x=x_at(0), y=pixel_y()))
    return layers
