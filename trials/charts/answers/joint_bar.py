"""A mean with its joint limits, one row of several: a bar cut at the axis, a mark at the mean, arrows past the edge."""

from dataclasses import dataclass

import altair as alt

from schemas.verdict import Code
from trials.charts import palette
from trials.charts.bars import limits_bar, outcome_means
from trials.charts.marks import Datum, heads, pixel_y, written
from trials.charts.spans import Span
from trials.wording.numbers import decimals_for, signed

BAR_PX = 9
MEAN_SIZE = 120


@dataclass(frozen=True, slots=True)
class JointBar:
    """What is drawn of one row, in the unit people read.

    told: goes into its rows, so that a picture can be read back.
    limits: empty where there are none.
    y: its middle, in pixels.
    """

    told: Datum
    mean: float
    limits: tuple[float, ...]
    code: Code
    y: float


def joint_bar(bar: JointBar, span: Span, axis: alt.X, *, numbers_under: bool) -> list[alt.Chart]:
    """Draw it; the number of a limit past the edge stands under its arrow, or before it."""
    look = palette.outcome_look(bar.code)
    layers = []
    if bar.limits:
        layers.append(limits_bar({**bar.told, "y": bar.y}, bar.limits, span, axis, look, BAR_PX))
        past = [limit for limit in bar.limits if span.side(limit)]
        layers += [mark for limit in past for mark in _past(limit, bar.y, span, look.colour, under=numbers_under)]
    spot = {**bar.told, "at": span.clamp(bar.mean), "mean": bar.mean, "y": bar.y}
    return [*layers, outcome_means([spot], look, MEAN_SIZE, 1).encode(x=axis, y=pixel_y())]


def _past(limit: float, y: float, span: Span, colour: str, *, under: bool) -> list[alt.Chart]:
    side = span.side(limit)
    row = [{"at": span.clamp(limit), "y": y, "number": signed(limit, decimals_for(abs(limit) / 10)), "value": limit}]
    head = heads(row, "triangle-right" if side > 0 else "triangle-left", colour, 85)
    dx, dy = (0, 13) if under else (-9 * side, 0)
    words = written(row, "number", align="right" if side > 0 else "left", dx=dx, dy=dy)
    return [mark.encode(x=alt.X("at:Q"), y=pixel_y()) for mark in (head, words)]
