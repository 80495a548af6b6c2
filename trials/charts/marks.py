"""Small pieces that several charts are put together from: layers of rows, a key, shapes, the line's band, words."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Self

import altair as alt
from altair.utils.schemapi import debug_mode

from trials.charts import palette
from trials.charts.spans import Span
from trials.charts.text import text_px, wrap

Datum = Mapping[str, object]
Part = alt.Chart | alt.LayerChart | alt.HConcatChart | alt.VConcatChart
SYMBOL_PX = 22
READ = 5  # figures of what was weighed or counted; what is reckoned of it has 3


class _Shared:
    """A finished part: taken as it is, where Altair makes a part anew each time it is put into another."""

    def copy(self, deep: Any = True, ignore: list[str] | None = None) -> Self:  # noqa: ANN401, FBT002 - as Altair has it
        if not isinstance(deep, bool):
            some: Self = super().copy(deep=deep, ignore=ignore)  # type: ignore[misc]
            return some
        shared = object.__new__(type(self))
        vars(shared).update(vars(self), _kwds=dict(vars(self)["_kwds"]))
        return shared


class _Encoding(alt.FacetedEncoding):
    """Channels that are plain: told as they stand. Altair looks at every word of them, and asks what it is."""

    def to_dict(self, *_: object, **_more: object) -> dict[str, Any]:
        return {name: channel for name, channel in self._kwds.items() if channel is not alt.Undefined}


class _Layer(_Shared, alt.Chart):
    """Rows, a mark and an encoding that are plain: inside another part told as they stand."""

    def to_dict(self, *checked: bool, context: dict[str, Any] | None = None, **more: Any) -> dict[str, Any]:  # noqa: ANN401 - as Altair has it
        if context is None or context.get("top_level", True):
            alone: dict[str, Any] = super().to_dict(*checked, context=context, **more)
            return alone
        parts = {name: part for name, part in self._kwds.items() if part is not alt.Undefined}
        return parts | {"encoding": self.encoding.to_dict()}


class _Panel(_Shared, alt.LayerChart):
    pass


class _Stack(_Shared, alt.VConcatChart):
    pass


class _Row(_Shared, alt.HConcatChart):
    pass


unchecked = debug_mode(False)  # noqa: FBT003 - its only argument
"""Without Altair's check of each piece as it is made, for speed; the tests hold whole charts against their schema."""


def stacked_parts(parts: Sequence["Part"], **settings: Any) -> alt.VConcatChart:  # noqa: ANN401 - settings are Altair's
    """Parts under one another."""
    return _Stack(vconcat=parts, **settings)


def parts_beside(parts: Sequence["Part"], **settings: Any) -> alt.HConcatChart:  # noqa: ANN401 - settings are Altair's
    """Parts beside one another."""
    return _Row(hconcat=parts, **settings)


def table(rows: Iterable[Datum]) -> dict[str, list[dict[str, object]]]:
    """Rows as a chart takes them: inside its own text, so that it needs no file; plain, which is taken as it is."""
    return {"values": [dict(row) for row in rows]}


def layered(layers: Sequence[alt.Chart], width: float, height: float) -> alt.LayerChart:
    """Layers on one another, from back to front, in a panel of a size in pixels.

    Layers share their axes, so only the first one describes each of them; a layer without rows is left out, but for
    the first. Both keep the specification small, which is what a chart's making time hangs on.
    """
    described: set[str] = set()
    slim = [_slim(layer, described) for i, layer in enumerate(layers) if i == 0 or layer.data["values"]]
    return _Panel(layer=slim, width=width, height=height)


def _slim(layer: alt.Chart, described: set[str]) -> alt.Chart:
    """The layer with only what was set, and without axes that a layer before it has described.

    Altair copies a layer some ten times, and with it all that it might hold: made plain, it is taken as it is.
    """
    encoding = layer.encoding.to_dict(validate=False)
    for name in ("x", "y"):
        channel = encoding.get(name, {})
        if channel.get("scale"):
            if name in described:
                encoding[name] = {
                    k: v for k, v in channel.items() if k in ("field", "type") or (k, v) == ("axis", None)
                }
            described.add(name)
    mark: Any = {"type": layer.mark} if isinstance(layer.mark, str) else layer.mark.to_dict(validate=False)
    return _Layer(layer.data, mark=mark, encoding=_Encoding(**encoding))


@dataclass(frozen=True, slots=True)
class KeyItem:
    """One mark and what it means, in one line; a white fill is hollow, `dashed` is its edge."""

    words: str
    shape: str
    colour: str
    fill: str = palette.PAPER
    dashed: bool = False

    @classmethod
    def of_outcome(cls, look: palette.OutcomeLook, words: str = "") -> Self:
        """The mark of an outcome; `words` in the stead of what it is called."""
        return cls(words or look.words, look.shape, look.colour, look.fill)

    @classmethod
    def of_line(cls, words: str) -> Self:
        """The band of a line."""
        return cls(words, "square", palette.BAND_EDGE, palette.BAND, dashed=True)


def key(items: Sequence[KeyItem], width: float) -> alt.LayerChart:
    """What does each mark mean? A line of marks with words, or several lines where they do not fit; it has no axes."""
    rows = _placed(items, width)
    height = palette.LINE_PX * (1 + max((int(str(row["line"])) for row in rows), default=0))
    x, y = pixel_x(), pixel_y()
    symbols = [
        shapes([row], item.shape, item.colour, item.fill, 80, 1.5, [3, 2] if item.dashed else [1, 0]).encode(x=x, y=y)
        for item, row in zip(items, rows, strict=True)
    ]
    return layered([*symbols, caption(rows, dx=12).encode(x=x, y=y)], width, height)


def _placed(items: Sequence[KeyItem], width: float) -> list[dict[str, object]]:
    rows: list[dict[str, object]] = []
    x, line = 0.0, 0
    for item in items:
        needed = SYMBOL_PX + text_px(item.words)
        if x and x + needed > width:
            x, line = 0.0, line + 1
        y = palette.LINE_PX * (line + 0.5)
        rows.append({"words": item.words, "x": round(x + 8, 1), "y": y, "line": line})
        x += needed + 14
    return rows


def shapes(
    rows: Sequence[Datum], shape: str, edge: str, fill: str, size: float, edge_px: float, dash: Sequence[int] = ()
) -> alt.Chart:
    """A shape for each row, with the colours of its edge and its inside."""
    mark: alt.Chart = alt.Chart(table(rows)).mark_point(
        shape=shape,
        stroke=edge,
        fill=fill,
        size=size,
        strokeWidth=edge_px,
        strokeDash=list(dash) or alt.Undefined,
        opacity=1,
    )
    return mark


def heads(rows: Sequence[Datum], shape: str, colour: str, size: float) -> alt.Chart:
    """The heads of arrows."""
    mark: alt.Chart = alt.Chart(table(rows)).mark_point(shape=shape, size=size, color=colour, fill=colour, opacity=1)
    return mark


def rules(
    rows: Sequence[Datum], colour: str = palette.INK, px: float | None = None, dash: Sequence[int] = ()
) -> alt.Chart:
    """A straight line for each row."""
    mark: alt.Chart = alt.Chart(table(rows)).mark_rule(
        color=colour, strokeWidth=px or alt.Undefined, strokeDash=list(dash) or alt.Undefined
    )
    return mark


def ticks(rows: Sequence[Datum], px: float, height: float) -> alt.Chart:
    """A short upright line for each row."""
    mark: alt.Chart = alt.Chart(table(rows)).mark_tick(
        color=palette.INK, thickness=px, height=height, opacity=1, orient="vertical"
    )
    return mark


def caption(rows: Sequence[Datum], field: str = "words", **settings: Any) -> alt.Chart:  # noqa: ANN401 - settings are Altair's
    """The text of a field of each row, beginning at its place, by its middle."""
    mark: alt.Chart = alt.Chart(table(rows)).mark_text(**{"align": "left", "baseline": "middle", **settings})
    return mark.encode(text=alt.Text(f"{field}:N"))


def on_paper(rows: Sequence[Datum], halo_px: float = 3, **settings: Any) -> list[alt.Chart]:  # noqa: ANN401 - as above
    """Words where lines run: a halo of the paper's colour under them."""
    under = [{"ground" if name == "words" else name: value for name, value in row.items()} for row in rows]
    halo = {**settings, "color": palette.PAPER, "stroke": palette.PAPER, "strokeWidth": halo_px}
    return [caption(under, "ground", **halo), caption(rows, **settings)]


def line_band(ends: Sequence[float], span: Span, field: str, axis: alt.X | alt.Y) -> list[alt.Chart]:
    """The sand band of a line along an axis of `field`, with dashed edges where they are on it; none without ends."""
    if not ends:
        return []
    low, high = ends
    row = {field: span.clamp(low), "to": span.clamp(high), "low": low, "high": high}
    area = alt.Chart(table([row])).mark_rect(color=palette.BAND)
    edges = rules([{field: end} for end in ends if not span.side(end)], palette.BAND_EDGE, 1.2, [4, 3])
    if isinstance(axis, alt.X):
        return [area.encode(x=axis, x2=alt.X2("to:Q")), edges.encode(x=axis)]
    return [area.encode(y=axis, y2=alt.Y2("to:Q")), edges.encode(y=axis)]


def number_format(count: int = 3, *, is_signed: bool = False) -> str:
    """So many figures for an axis or a tip, as d3 has it: its `r` writes 1,230 where its `g` writes 1.23e+3."""
    return f"{'+' if is_signed else ''},.{count}~r"


def tips(*fields: str, count: int = 3) -> list[alt.Tooltip]:
    """What is told where a pointer rests on a mark; numbers, `:Q`, with so many figures."""
    told = {field: number_format(count) if field.endswith(":Q") else alt.Undefined for field in fields}
    return [alt.Tooltip(field, format=form) for field, form in told.items()]


SIGNED = "(datum.value > 0 ? '+' : '') + datum.label"
"""The labels of an axis of gains."""


def scaled(span: Span) -> alt.Scale:
    """A scale from one end of a stretch to the other."""
    return alt.Scale(domain=span.ends, nice=False)


def pixel_x() -> alt.X:
    """Each row's x in pixels from the left edge of the panel."""
    return alt.X("x:Q", scale=None, axis=None)


def pixel_y() -> alt.Y:
    """Each row's y in pixels from the upper edge of the panel."""
    return alt.Y("y:Q", scale=None, axis=None)


def x_at(pixels: float) -> alt.XValue:
    """One x in pixels for all rows; Altair takes 20 ms to find the kind of a bare `alt.value`."""
    return alt.XValue(pixels)  # type: ignore[no-untyped-call]


def y_at(pixels: float) -> alt.YValue:
    """One y in pixels for all rows."""
    return alt.YValue(pixels)  # type: ignore[no-untyped-call]


def texts(rows: Sequence[Datum], *, bold: bool = False, colour: str = palette.INK) -> alt.Chart:
    """Words at places in pixels: each row has x, where they begin, y, their middle, and words."""
    return caption(rows, color=colour, fontWeight="bold" if bold else "normal").encode(x=pixel_x(), y=pixel_y())


def word_band(words: str, width: float, left: float, *, ground: str, colour: str) -> alt.LayerChart:
    """Bold words on a filled band; `left` under 0 begins it under the labels of an axis."""
    lines = wrap(words, width - left - 16, bold=True)
    height = palette.LINE_PX * len(lines) + 8
    area = alt.Chart(table([{"x": left, "x2": width, "y": 0, "y2": height}])).mark_rect(color=ground, opacity=1)
    rows = [{"x": left + 8, "y": 4 + palette.LINE_PX * (i + 0.5), "words": line} for i, line in enumerate(lines)]
    x, y = pixel_x(), pixel_y()
    layers = [area.encode(x=x, x2=alt.X2("x2:Q"), y=y, y2=alt.Y2("y2:Q")), texts(rows, bold=True, colour=colour)]
    return layered(layers, width, height)


def words_block(lines: Sequence[str], width: float, *, colour: str = palette.QUIET, left: float = 0.0) -> alt.Chart:
    """A block of wrapped lines in a panel of a width in pixels; `left` under 0 begins under the labels of an axis."""
    rows = [{"words": words, "y": palette.LINE_PX * (i + 0.5)} for i, words in enumerate(lines)]
    block = caption(rows, color=colour).encode(x=x_at(left), y=pixel_y())
    return block.properties(width=width, height=palette.LINE_PX * max(1, len(lines)))
