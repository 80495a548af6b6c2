"""Small pieces that several charts are put together from: a table of rows, a key, a block of words."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Self

import altair as alt

from trials.charts import palette
from trials.charts.text import text_px

Row = Mapping[str, object]
Layer = alt.Chart | alt.LayerChart
Part = alt.Chart | alt.LayerChart | alt.HConcatChart | alt.VConcatChart
SYMBOL_PX = 22


class _Shared:
    """A finished part: Altair, which copies a part to its depth each time it is put into another, takes it as it is."""

    def copy(self, deep: Any = True, ignore: list[str] | None = None) -> Self:  # noqa: ANN401, FBT002 - as Altair has it
        shared: Self = super().copy(deep=False if deep is True else deep, ignore=ignore)  # type: ignore[misc]
        return shared


class _Layer(_Shared, alt.Chart):
    pass


class _Panel(_Shared, alt.LayerChart):
    pass


class _Stack(_Shared, alt.VConcatChart):
    pass


class _Row(_Shared, alt.HConcatChart):
    pass


def stacked_parts(parts: Sequence["Part"], **settings: Any) -> alt.VConcatChart:  # noqa: ANN401 - settings are Altair's
    """Parts under one another."""
    return _Stack(vconcat=parts, **settings)


def parts_beside(parts: Sequence["Part"], **settings: Any) -> alt.HConcatChart:  # noqa: ANN401 - settings are Altair's
    """Parts beside one another."""
    return _Row(hconcat=parts, **settings)


def table(rows: Iterable[Row]) -> alt.InlineData:
    """Rows as a chart takes them: inside its own text, so that it needs no file."""
    return alt.InlineData(values=[dict(row) for row in rows])


def layered(layers: Sequence[alt.Chart], width: float, height: float) -> alt.LayerChart:
    """Layers on one another, at a size in pixels.

    Layers share their axes, so only the first one describes each of them; a layer without rows is left out. Both
    keep the specification small, which is what a chart's making time hangs on.

    Parameters
    ----------
    layers
        From back to front. The first is kept even without rows.
    width, height
        Of the panel.
    """
    described: set[str] = set()
    slim = [_slim(layer, described) for i, layer in enumerate(layers) if i == 0 or layer.data.values]
    return _Panel(layer=slim, width=width, height=height)


def _slim(layer: alt.Chart, described: set[str]) -> alt.Chart:
    """The layer with only what was set, and without axes that a layer before it has described.

    Altair copies a layer some ten times, and with it all that it might hold: made plain, it is taken as it is.
    """
    spec = layer.to_dict(validate=False)
    encoding = spec["encoding"]
    for name in ("x", "y"):
        channel = encoding.get(name, {})
        if channel.get("scale"):
            if name in described:
                encoding[name] = {
                    k: v for k, v in channel.items() if k in ("field", "type") or (k, v) == ("axis", None)
                }
            described.add(name)
    return _Layer(layer.data, mark=spec["mark"], encoding=alt.FacetedEncoding(**encoding))


@dataclass(frozen=True, slots=True)
class KeyItem:
    """One mark and what it means.

    Attributes
    ----------
    words
        What the mark stands for; one line.
    shape, colour
        As drawn in the chart.
    fill
        Its inside; white is hollow.
    dashed
        Whether its edge is dashed.
    """

    words: str
    shape: str
    colour: str
    fill: str = palette.PAPER
    dashed: bool = False


def key(items: Sequence[KeyItem], width: float) -> alt.LayerChart:
    """What does each mark mean? A line of marks with words, or several lines where they do not fit.

    Parameters
    ----------
    items
        In reading order.
    width
        Pixels there are.

    Returns
    -------
    LayerChart
        Places are plain pixels; it has no axes.
    """
    rows = _placed(items, width)
    height = palette.LINE_PX * (1 + max((int(str(row["line"])) for row in rows), default=0))
    symbols = [
        alt.Chart(table([row]))
        .mark_point(
            shape=item.shape,
            stroke=item.colour,
            fill=item.fill,
            size=80,
            strokeWidth=1.5,
            strokeDash=[3, 2] if item.dashed else [1, 0],
            opacity=1,
        )
        .encode(x=_pixel("x"), y=_pixel("y"))
        for item, row in zip(items, rows, strict=True)
    ]
    words = (
        alt.Chart(table(rows))
        .mark_text(align="left", baseline="middle", dx=12)
        .encode(x=_pixel("x"), y=_pixel("y"), text=alt.Text("words:N"))
    )
    return layered([*symbols, words], width, height)


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


def _pixel(field: str) -> alt.X:
    return alt.X(f"{field}:Q", scale=None, axis=None)


def texts(rows: Sequence[Row], *, bold: bool = False, colour: str = palette.INK) -> alt.Chart:
    """Words at places in pixels: each row has x, where they begin, y, their middle, and words."""
    mark: alt.Chart = alt.Chart(table(rows)).mark_text(
        align="left", baseline="middle", color=colour, fontWeight="bold" if bold else "normal"
    )
    return mark.encode(x=_pixel("x"), y=alt.Y("y:Q", scale=None, axis=None), text=alt.Text("words:N"))


def words_block(lines: Sequence[str], width: float, *, colour: str = palette.QUIET, left: float = 0.0) -> alt.Chart:
    """A block of words, one text a line.

    Parameters
    ----------
    lines
        Already wrapped.
    width
        Pixels of the block.
    colour
        Of the words.
    left
        Where they begin; under 0 they begin under the labels of an axis.
    """
    rows = [{"words": words, "y": palette.LINE_PX * (i + 0.5)} for i, words in enumerate(lines)]
    mark: alt.Chart = alt.Chart(table(rows)).mark_text(align="left", baseline="middle", color=colour)
    block = mark.encode(x=alt.value(left), y=alt.Y("y:Q", scale=None, axis=None), text=alt.Text("words:N"))
    return block.properties(width=width, height=palette.LINE_PX * max(1, len(lines)))
