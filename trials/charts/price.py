"""The price of the gain: how much more gold, for how much more black sand?"""

import altair as alt

from schemas import Compared, LevelsAnswer, Verdict
from trials.charts import marks, palette
from trials.charts.answers.priced import PricedGain, PricePlane, price_of_change, prices_of_levels
from trials.charts.costs import ratio_span
from trials.charts.frame import framed, heading_of, outer_px, tally_words, words_only
from trials.charts.spans import Span
from trials.charts.text import wrap, wrap_all
from trials.wording.numbers import times

TITLE = "The price of the gain: more gold, for how much black sand?"
COST_LIMITS = "Limits of black sand and minutes: one-sided, 95 %."
JOINT = "Limits of the gains: joint for all levels, 95 %."
NO_SAND = "Black sand was not recorded in enough {}, so its price can't be drawn."
HEIGHT_PX, LEVELS_HEIGHT_PX = 180, 240
PLANE_PX, BESIDE_PX = 380, 20
NAMES_LEFT_FROM = 0.75


@marks.unchecked
def price_chart(verdict: Verdict, *, narrow: bool = False, headed: bool = True) -> alt.VConcatChart:
    """How much more gold, for how much more black sand?

    Black sand changed over baseline across, the gain upwards; a diamond with its interval of the gain and the one-sided
    limits of the sand; a line at zero, a line at no more sand, a dashed line at the limit, and the band of the
    worth-having line. Of a graded trial one mark a level, in the shape of its outcome, with its name. The minutes stand
    beside it in words. Without sand or gain the chart says so. Not `headed` on a page that has said the sentence above
    the chart, and has its own title.

    Effect against cost on one plane, with both at zero in the crossing of two lines: Black, "The CE plane: a graphic
    representation of cost-effectiveness", Medical Decision Making 10 (1990), 212-214. The limit is ours.
    """
    if isinstance(verdict.answer, LevelsAnswer):
        plane = prices_of_levels(verdict, verdict.answer)
    elif isinstance(verdict.answer, Compared):
        plane = price_of_change(verdict, verdict.answer)
    else:
        words = ["There is no gain to set against its price."]
        return words_only(TITLE, verdict, words, narrow=narrow, headed=headed)
    if not plane.spots:
        words = [NO_SAND.format("blocks" if verdict.answer.kind == "levels" else "pairs"), *plane.said]
        return words_only(TITLE, verdict, words, narrow=narrow, headed=headed)
    heading = heading_of(TITLE, verdict, [verdict.sentence], narrow=narrow, headed=headed)
    return framed(_parts(verdict, plane, narrow=narrow), heading, padded=headed)


def _parts(verdict: Verdict, plane: PricePlane, *, narrow: bool) -> list[marks.Part]:
    """The plane with its words: beside it, which fills a page of paper the better; on a phone under it."""
    pixels, left = outer_px(narrow=narrow), palette.LABELS_PX
    width = pixels - left - 14 if narrow else PLANE_PX
    room = pixels if narrow else pixels - left - PLANE_PX - BESIDE_PX
    small_print = [tally_words(verdict), *([JOINT] if plane.is_of_levels else []), COST_LIMITS]
    under = -left if narrow else 0
    blocks = [
        marks.words_block(wrap_all(texts, room), room + under, colour=colour, left=under)
        for texts, colour in ((plane.said, palette.INK), (small_print, palette.QUIET))
    ]
    panel = _panel(plane, width)
    if narrow:
        return [_key(plane, width), panel, *blocks]
    return [_key(plane, width), marks.parts_beside([panel, marks.stacked_parts(blocks, spacing=10)], spacing=BESIDE_PX)]


def _key(plane: PricePlane, width: int) -> alt.LayerChart:
    looks = dict.fromkeys(spot.look for spot in plane.spots)
    limits = "joint limits" if plane.is_of_levels else "limits"
    items = [marks.KeyItem(f"{look.words}, with {limits}", _mark_shape(look), look.colour, look.fill) for look in looks]
    if plane.line_words:
        items.append(marks.KeyItem.of_line(f"under {plane.line_words}"))
    return marks.key(items, width)


def _panel(plane: PricePlane, width: int) -> alt.LayerChart:
    height = LEVELS_HEIGHT_PX if plane.is_of_levels else HEIGHT_PX
    gains, sands = plane.gains(), ratio_span([spot.sand for spot in plane.spots])
    ticks = alt.Axis(tickCount=5, grid=False)
    x = alt.X("sand:Q", title="black sand, times baseline", scale=marks.scaled(sands), axis=ticks)
    signed = alt.Axis(tickCount=5, grid=False, labelExpr=marks.SIGNED, minExtent=palette.LABELS_PX - 20)
    title = wrap(f"gain, {plane.measure.gain_axis}", height)
    y = alt.Y("gain:Q", title=title, scale=marks.scaled(gains), axis=signed)
    layers = [
        *marks.line_band(plane.line_ends, gains, "gain", y),
        *_lines(plane.limit, sands, x),
        marks.rules([{"gain": 0.0}], px=1.5).encode(y=y),
        *(mark for spot in plane.spots for mark in _cross(plane, spot, gains, sands, x, y)),
        *_names(plane, gains, sands, x, y),
    ]
    return marks.layered(layers, width, height)


def _lines(limit: float | None, sands: Span, x: alt.X) -> list[alt.Chart]:
    """A thin line at no more sand, a dashed one at the limit, both named above the plot."""
    same = [{"sand": 1.0, "words": "no more "}]
    most = [] if limit is None else [{"sand": sands.clamp(limit), "words": " limit"}]
    names = [
        marks.caption(rows, align=align, baseline="bottom", color=palette.QUIET).encode(x=x, y=marks.y_at(-3))
        for rows, align in ((same, "right"), (most, "left"))
    ]
    return [marks.rules(same, px=1).encode(x=x), marks.rules(most, px=2, dash=[4, 3]).encode(x=x), *names]


def _cross(plane: PricePlane, spot: PricedGain, gains: Span, sands: Span, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """The mark with its cross bars; an arrow where one runs past the axis."""
    sand, colour = spot.sand, spot.look.colour
    at = {"sand": sands.clamp(sand.ratio or 1.0), "gain": gains.clamp(spot.gain)}
    layers = []
    if spot.limits:
        low, high = spot.limits
        row = {**at, "gain": gains.clamp(low), "to": gains.clamp(high), "low": low, "high": high}
        layers.append(marks.rules([row], colour, 2.5).encode(x=x, y=y, y2=alt.Y2("to:Q")))
        for value in spot.limits:
            side = gains.side(value)
            head = {**at, "gain": gains.clamp(value), "turned": 90 - 90 * side, "number": plane.number(value)}
            layers += _arrow(head, colour, x, y, dx=10, dy=12 * side) if side else []
    if sand.low is not None and sand.high is not None:
        row = {**at, "sand": sands.clamp(sand.low), "to": sands.clamp(sand.high), "low": sand.low, "high": sand.high}
        layers.append(marks.rules([row], colour, 2.5).encode(x=x, x2=alt.X2("to:Q"), y=y))
        if sands.side(sand.high) > 0:
            head = {**at, "sand": sands.high, "turned": 90, "number": times(sand.high)}
            layers += _arrow(head, colour, x, y, dx=-48, dy=-12)
    told: marks.Datum = {
        **at,
        "ratio": sand.ratio,
        "estimate": spot.gain,
        **({"level": spot.name} if spot.name else {}),
    }
    edge = palette.PAPER if spot.look.filled else colour
    mark = marks.shapes([told], _mark_shape(spot.look), edge, spot.look.fill, 190, 0.8)
    return [*layers, mark.encode(x=x, y=y)]


def _mark_shape(look: palette.OutcomeLook) -> str:
    """The shape on the plane: an open bar, which lies along an axis, stands as a square."""
    return "square" if look.shape == palette.OPEN_BAR else look.shape


def _names(plane: PricePlane, gains: Span, sands: Span, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """Each level's name beside its mark, on white; the one to use in bold."""
    layers = []
    for spot in plane.spots:
        if not spot.name:
            continue
        left = sands.clamp(spot.sand.ratio or 1.0) > sands.low + NAMES_LEFT_FROM * sands.width
        row = {"sand": sands.clamp(spot.sand.ratio or 1.0), "gain": gains.clamp(spot.gain), "words": spot.name}
        align, dx = ("right", -9) if left else ("left", 9)
        weight = "bold" if spot.is_named else "normal"
        words = marks.on_paper([row], align=align, dx=dx, dy=-11, fontWeight=weight, color=palette.INK)
        layers += [mark.encode(x=x, y=y) for mark in words]
    return layers


def _arrow(row: marks.Datum, colour: str, x: alt.X, y: alt.Y, *, dx: int, dy: int) -> list[alt.Chart]:
    """An arrow at the edge with the number of what lies past it."""
    head = marks.heads([row], palette.UP, colour, 110)
    turned = head.encode(x=x, y=y, angle=alt.Angle("turned:Q", scale=None))
    return [turned, marks.caption([row], "number", dx=dx, dy=dy).encode(x=x, y=y)]
