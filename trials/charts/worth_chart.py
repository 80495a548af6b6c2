"""What a change is worth a year: gold, costs, and what is left, against zero."""

from collections.abc import Sequence

import altair as alt

from trials.charts import palette
from trials.charts.frame import framed, outer_px, title_of
from trials.charts.marks import Datum, Part, caption, layered, rules, scaled, shapes, table, unchecked, words_block
from trials.charts.spans import Span, span_around
from trials.charts.text import text_px, wrap_all
from trials.worth.gain import Span3
from trials.worth.money import money
from trials.worth.reckon import Worth, YearCost
from trials.worth.sentences import money_range

ROW_PX = 36
BAR_PX = 12
BESIDE_PX = 5  # from a bar's end, or the line at zero, to its words
ALL_IN = "left over"


@unchecked
def worth_chart(
    worth: Worth, sentence: str, said: Sequence[str], currency: str, *, narrow: bool = False
) -> alt.VConcatChart:
    """What does the change bring a year, and could that be nothing?

    A bar from low to high with a diamond at the middle for the gold, one for each cost that has a price, and one for
    what is left over; a solid line at zero. Every number stands in words above its bar; `said` stands under the plot.
    Where no money is told, the chart says so in words. `currency` is its code, blank where it was not told.
    """
    pixels = outer_px(narrow=narrow)
    lines = wrap_all(said, pixels)
    title = title_of(sentence, (), narrow=narrow)
    gold, left = worth.gold_money, worth.benefit
    if gold is None or left is None:
        return framed([words_block(lines, pixels, colour=palette.INK)], title)
    rows = _rows(gold, worth.costs, left, currency)
    parts: list[Part] = [_panel(rows, pixels - 8, currency), words_block(lines, pixels)]
    return framed(parts, title)


def _rows(gold: Span3, costs: Sequence[YearCost], left: Span3, currency: str) -> list[Datum]:
    rows = [("gold", gold.low, gold.mid, gold.high, money_range(gold, currency))]
    for cost in costs:
        if cost.money:
            taken = -cost.money
            rows.append((cost.what, min(taken, 0), taken, max(taken, 0), money(taken, currency)))
    rows.append((ALL_IN, left.low, left.mid, left.high, money_range(left, currency)))
    return [
        {"low": low, "mid": mid, "high": high, "words": f"{name}: {text}", "name": name, "y": (i + 0.75) * ROW_PX}
        for i, (name, low, mid, high, text) in enumerate(rows)
    ]


def _panel(rows: Sequence[Datum], width: float, currency: str) -> alt.LayerChart:
    ends = [float(str(row[end])) for row in rows for end in ("low", "high")]
    span = span_around([0.0, *ends])
    height = ROW_PX * len(rows) + 8
    ticks = alt.Axis(tickCount=5, grid=False, format=",.0f")
    x = alt.X("low:Q", title=f"{currency or 'money'} a year", scale=scaled(span), axis=ticks)
    y = alt.Y("y:Q", scale=alt.Scale(domain=[0, height], range=[0, height]), axis=None)
    layers = [rules([{"low": 0.0}], px=1.5).encode(x=x)]
    for row in rows:
        is_sum = row["name"] == ALL_IN
        colour = palette.CHANGED if is_sum or row["name"] == "gold" else palette.BASELINE
        bar = alt.Chart(table([row])).mark_bar(color=colour, height=BAR_PX, opacity=1 if is_sum else 0.45)
        layers += [bar.encode(x=x, x2=alt.X2("high:Q"), y=y)]
        if row["low"] != row["mid"] and row["mid"] != row["high"]:
            middle = {**row, "low": row["mid"]}
            layers += [shapes([middle], palette.DIAMOND, palette.INK, palette.PAPER, 80, 1.5).encode(x=x, y=y)]
    layers += [_words(rows, span, width, x, y)]
    return layered(layers, width, height)


def _words(rows: Sequence[Datum], span: Span, width: float, x: alt.X, y: alt.Y) -> alt.Chart:
    """What each bar says, above it and clear of the line at zero; moved in where it would run off the right edge."""
    placed = []
    for row in rows:
        most = span.high - span.width * (text_px(str(row["words"])) + BESIDE_PX) / width
        placed.append({**row, "low": max(span.low, min(max(0.0, float(str(row["low"]))), most))})
    return caption(placed, baseline="bottom", dx=BESIDE_PX, dy=-BAR_PX / 2 - 1).encode(x=x, y=y)
