"""Fills that can be told apart on grey paper: plain ones and hatched ones, the hatching drawn line by line."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

import altair as alt

from trials.charts import palette
from trials.charts.marks import Datum, pixel_x, pixel_y, table, tips

Hatch = Literal["none", "rising", "falling", "dots", "upright", "level"]
APART_PX = 5.0


@dataclass(frozen=True, slots=True)
class Fill:
    """How an area is filled: its ground, and what is drawn on it."""

    ground: str
    hatch: Hatch = "none"


FILLS: Final = (
    Fill("#5F5A53"),
    Fill(palette.PAPER, "rising"),
    Fill("#D6D2CA"),
    Fill(palette.PAPER, "dots"),
    Fill("#8F8A82"),
    Fill(palette.PAPER, "upright"),
    Fill("#D6D2CA", "falling"),
    Fill(palette.PAPER, "level"),
    Fill("#D6D2CA", "dots"),
    Fill("#D6D2CA", "level"),
)
REST: Final = Fill(palette.PAPER)


@dataclass(frozen=True, slots=True)
class Area:
    """A filled oblong, in pixels from the upper left of its panel; `told` goes into its row."""

    left: float
    top: float
    right: float
    bottom: float
    fill: Fill
    told: Datum


def filled(areas: Sequence[Area]) -> list[alt.Chart]:
    """Oblongs with their fills: grounds, then hatching, then outlines."""
    grounds = dict.fromkeys(area.fill.ground for area in areas)
    layers = [_oblongs([area for area in areas if area.fill.ground == ground], ground) for ground in grounds]
    lines = [line for area in areas if area.fill.hatch != "dots" for line in _lines(area)]
    dots = [dot for area in areas if area.fill.hatch == "dots" for dot in _lines(area)]
    for rows, width in ((lines, 1.0), (dots, 2.2)):
        rule = alt.Chart(table(rows)).mark_rule(color=palette.INK, strokeWidth=width, strokeCap="round")
        layers.append(stretched(rule))
    outline = alt.Chart(table([_row(area) for area in areas])).mark_rect(
        fill=None, fillOpacity=0, stroke=palette.INK, strokeWidth=1
    )
    return [*layers, stretched(outline)]


def _oblongs(areas: Sequence[Area], ground: str) -> alt.Chart:
    rows = [{**_row(area), **area.told} for area in areas]
    mark: alt.Chart = alt.Chart(table(rows)).mark_rect(color=ground, opacity=1)
    told = areas[0].told if areas else {}
    named = (f"{name}:{'Q' if isinstance(value, float) else 'N'}" for name, value in told.items())
    return stretched(mark).encode(tooltip=tips(*named))


def _row(area: Area) -> dict[str, object]:
    return {"x": area.left, "y": area.top, "x2": area.right, "y2": area.bottom}


def stretched(mark: alt.Chart) -> alt.Chart:
    """A mark between two places in pixels, as its rows have them: x, y, x2, y2."""
    return mark.encode(x=pixel_x(), y=pixel_y(), x2=alt.X2("x2:Q"), y2=alt.Y2("y2:Q"))


def _lines(area: Area) -> Iterator[Datum]:
    """The hatching of an area, each line cut where it meets the edge."""
    for x, y, x2, y2 in _ends(area):
        yield {"x": round(x, 2), "y": round(y, 2), "x2": round(x2, 2), "y2": round(y2, 2)}


def _ends(area: Area) -> list[tuple[float, float, float, float]]:
    left, top, right, bottom = area.left, area.top, area.right, area.bottom
    match area.fill.hatch:
        case "none":
            return []
        case "upright":
            return [(x, top, x, bottom) for x in _steps(left, right)]
        case "level":
            return [(left, y, right, y) for y in _steps(top, bottom)]
        case "dots":
            return [(x, y, x + 0.1, y) for x in _steps(left, right) for y in _steps(top, bottom)]
        case "rising":  # along such a line x + y is the same
            sums = _steps(left + top, right + bottom)
            return [
                (max(left, both - bottom), min(bottom, both - left), min(right, both - top), max(top, both - right))
                for both in sums
            ]
        case "falling":  # along such a line y - x is the same
            gaps = _steps(top - right, bottom - left)
            return [
                (max(left, top - gap), max(top, left + gap), min(right, bottom - gap), min(bottom, right + gap))
                for gap in gaps
            ]


def _steps(low: float, high: float) -> list[float]:
    """Places evenly apart between two ends, none at an end."""
    count = int((high - low) / APART_PX + 0.5)
    return [low + (high - low) * (k + 0.5) / count for k in range(count)]
