"""The price of the gain: how much more gold, for how much more black sand?"""

import altair as alt

from schemas import Compared, Cost, Verdict
from trials.charts import palette
from trials.charts.costs import limit_words, ratio_span
from trials.charts.footer import tally_words
from trials.charts.frame import framed, heading_of, outer_px, words_only
from trials.charts.marks import Datum, KeyItem, Part, heads, key, layered, line_band, shapes, table, words_block
from trials.charts.reading import Reading, read_answer
from trials.charts.spans import Span, difference_span
from trials.charts.text import wrap
from trials.verdicts.spoken import ratio_texts, times_text
from trials.wording.numbers import times

TITLE = "The price of the gain: more gold, for how much black sand?"
COST_LIMITS = "Limits of black sand and minutes: one-sided, 95 %."
HEIGHT_PX = 210
SIGNED = "(datum.value > 0 ? '+' : '') + datum.label"


def price_chart(verdict: Verdict, *, narrow: bool = False, headed: bool = True) -> alt.VConcatChart:
    """How much more gold, for how much more black sand?

    Parameters
    ----------
    verdict
        With an estimate, and a cost named black sand.
    narrow
        For a phone.
    headed
        False on a page that has said the sentence above the chart, and has its own title.

    Returns
    -------
    VConcatChart
        Black sand changed over baseline across, the gain upwards; a diamond with its interval of the gain and the
        one-sided limits of the sand; a line at zero, a line at no more sand, a dashed line at the limit, and the
        band of the worth-having line. The minutes stand beside it in words. Without sand or gain the chart says so.

    Notes
    -----
    Effect against cost on one plane, with both at zero in the crossing of two lines: Black, "The CE plane: a graphic
    representation of cost-effectiveness", Medical Decision Making 10 (1990), 212-214. The limit is ours.
    """
    sand = _cost_named(verdict, "black sand")
    if not isinstance(verdict.answer, Compared):
        words = ["There is no gain to set against its price."]
        return words_only(TITLE, verdict, words, narrow=narrow, headed=headed)
    if sand is None or sand.ratio is None:
        words = [
            "Black sand was not recorded in enough pairs, so its price can't be drawn.",
            _minutes_words(verdict),
        ]
        return words_only(TITLE, verdict, words, narrow=narrow, headed=headed)
    heading = heading_of(TITLE, verdict, [verdict.sentence], narrow=narrow, headed=headed)
    return framed(_parts(verdict, verdict.answer, sand, narrow=narrow), heading, padded=headed)


def _parts(verdict: Verdict, answer: Compared, sand: Cost, *, narrow: bool) -> list[Part]:
    pixels = outer_px(narrow=narrow)
    width = pixels - palette.LABELS_PX - 14 if narrow else 400
    reading = read_answer(verdict, answer)
    said = [
        f"Gold: {', '.join(reading.said)}.",
        f"Black sand: {_against_limit(sand)}.",
        _minutes_words(verdict),
    ]
    small_print = [tally_words(verdict), COST_LIMITS]
    left = palette.LABELS_PX
    blocks = [
        words_block([line for text in texts for line in wrap(text, pixels)], pixels - left, colour=colour, left=-left)
        for texts, colour in ((said, palette.INK), (small_print, palette.QUIET))
    ]
    return [_key(reading, width), _panel(reading, sand, width), *blocks]


def _cost_named(verdict: Verdict, name: str) -> Cost | None:
    return next((cost for cost in verdict.costs if cost.name == name), None)


def _against_limit(cost: Cost) -> str:
    """Say a cost with its limits, and how it stands to the most it may be."""
    stands = "not shown to be within" if cost.status == "not shown" else cost.status
    _, low, high = ratio_texts(cost)
    return f"{times_text(cost)} baseline{f' ({low} to {high})' if low else ''}, {stands} the {limit_words(cost)}"


def _minutes_words(verdict: Verdict) -> str:
    minutes = _cost_named(verdict, "minutes")
    if minutes is None or minutes.ratio is None:
        return "Minutes: not recorded."
    return f"Minutes: {_against_limit(minutes)}."


def _key(reading: Reading, width: int) -> alt.LayerChart:
    items = [KeyItem("the change, with limits", palette.DIAMOND, palette.CHANGED, palette.CHANGED)]
    if reading.line_words:
        items.append(KeyItem(f"under {reading.line_words}", "square", palette.BAND_EDGE, palette.BAND, dashed=True))
    return key(items, width)


def _panel(reading: Reading, sand: Cost, width: int) -> alt.LayerChart:
    gains = difference_span(reading.differences, reading.limits, reading.line_ends, reading.estimate)
    sands = ratio_span([sand])
    x = alt.X(
        "sand:Q",
        title="black sand, times baseline",
        scale=alt.Scale(domain=sands.ends, nice=False),
        axis=alt.Axis(tickCount=5, grid=False),
    )
    y = alt.Y(
        "gain:Q",
        title=wrap(f"gain, {reading.measure.gain_axis}", HEIGHT_PX),
        scale=alt.Scale(domain=gains.ends, nice=False),
        axis=alt.Axis(tickCount=5, grid=False, labelExpr=SIGNED, minExtent=palette.LABELS_PX - 20),
    )
    layers = [
        *line_band(reading.line_ends, gains, "gain", y),
        *_lines(sand, sands, x),
        _zero(y),
        *_cross(reading, sand, gains, sands, x, y),
    ]
    return layered(layers, width, HEIGHT_PX)


def _zero(y: alt.Y) -> alt.Chart:
    rule: alt.Chart = alt.Chart(table([{"gain": 0.0}])).mark_rule(color=palette.INK, strokeWidth=1.5)
    return rule.encode(y=y)


def _lines(sand: Cost, sands: Span, x: alt.X) -> list[alt.Chart]:
    """A thin line at no more sand, a dashed one at the limit, both named above the plot."""
    same = table([{"sand": 1.0, "words": "no more "}])
    most = table([] if sand.limit is None else [{"sand": sands.clamp(sand.limit), "words": " limit"}])
    lines = [
        alt.Chart(same).mark_rule(color=palette.INK, strokeWidth=1),
        alt.Chart(most).mark_rule(color=palette.INK, strokeDash=[4, 3], strokeWidth=2),
    ]
    words = [
        alt.Chart(same).mark_text(align="right", baseline="bottom", color=palette.QUIET),
        alt.Chart(most).mark_text(align="left", baseline="bottom", color=palette.QUIET),
    ]
    named = [text.encode(x=x, y=alt.value(-3), text=alt.Text("words:N")) for text in words]
    return [*(line.encode(x=x) for line in lines), *named]


def _cross(reading: Reading, sand: Cost, gains: Span, sands: Span, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """The diamond with its cross bars; an arrow where one runs past the axis."""
    at = {"sand": sands.clamp(sand.ratio or 1.0), "gain": gains.clamp(reading.estimate)}
    layers = []
    if reading.limits:
        low, high = reading.limits
        row = {**at, "gain": gains.clamp(low), "to": gains.clamp(high), "low": low, "high": high}
        layers.append(_cross_bar(row).encode(x=x, y=y, y2=alt.Y2("to:Q")))
        for value in reading.limits:
            side = gains.side(value)
            head = {**at, "gain": gains.clamp(value), "turned": 90 - 90 * side, "number": reading.number(value)}
            layers += _arrow(head, x, y, dx=10, dy=12 * side) if side else []
    if sand.low is not None and sand.high is not None:
        row = {**at, "sand": sands.clamp(sand.low), "to": sands.clamp(sand.high), "low": sand.low, "high": sand.high}
        layers.append(_cross_bar(row).encode(x=x, x2=alt.X2("to:Q"), y=y))
        if sands.side(sand.high) > 0:
            head = {**at, "sand": sands.high, "turned": 90, "number": times(sand.high)}
            layers += _arrow(head, x, y, dx=-48, dy=-12)
    spot = {**at, "ratio": sand.ratio, "estimate": reading.estimate}
    diamond = shapes([spot], palette.DIAMOND, palette.PAPER, palette.CHANGED, 190, 0.8)
    return [*layers, diamond.encode(x=x, y=y)]


def _cross_bar(row: Datum) -> alt.Chart:
    bar: alt.Chart = alt.Chart(table([row])).mark_rule(color=palette.CHANGED, strokeWidth=2.5)
    return bar


def _arrow(row: Datum, x: alt.X, y: alt.Y, *, dx: int, dy: int) -> list[alt.Chart]:
    """An arrow at the edge with the number of what lies past it."""
    head = heads([row], palette.UP, palette.CHANGED, 110)
    words = alt.Chart(table([row])).mark_text(align="left", dx=dx, dy=dy, baseline="middle")
    turned = head.encode(x=x, y=y, angle=alt.Angle("turned:Q", scale=None))
    return [turned, words.encode(x=x, y=y, text=alt.Text("number:N"))]
