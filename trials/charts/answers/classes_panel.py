"""By size, coarse to fine: each class with its joint limits against zero and the line, the total below."""

from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt

from schemas import Compared, Interval, Verdict
from schemas.verdict import Code
from trials.charts import palette
from trials.charts.bars import axis_of
from trials.charts.marks import (
    Part,
    heads,
    layered,
    line_band,
    pixel_x,
    pixel_y,
    shapes,
    stacked_parts,
    table,
    words_block,
)
from trials.charts.spans import Span, span_around
from trials.charts.text import shorten, wrap
from trials.measures.catalogue import measure_named
from trials.measures.measure import Measure
from trials.wording.numbers import decimals_for, figures, signed

ROW_PX, BAR_PX = 24, 9
LEAST_NOTES_PX = 60
MIX = "mix"
WIDEST = 2.5  # limits are drawn as far as so many times the largest mean or the line
HEAD = "By size, coarse to fine (limits joint for all sizes tested)"
PASSES: dict[str | None, Code] = {"gains": "better", "loses": "worse", None: "not_settled"}


@dataclass(frozen=True, slots=True)
class _Row:
    """One row: its name, its mean and limits in the unit that is drawn, its mark, and the words at its right."""

    name: str
    mean: float | None
    limits: tuple[float, ...]
    code: Code
    words: str


def classes_panel(verdict: Verdict, plot: int, notes: int) -> alt.VConcatChart:
    """Which sizes gain and which lose? A row a class, then the total, and the total at one size mix where it is known.

    A class with too few to test has words and no bar. `plot` and `notes` are the widths of bars and words in pixels.
    """
    measure = measure_named(verdict.measure)
    rows = [*_of_classes(verdict, measure), *_of_total(verdict, measure)]
    line = verdict.answer.worth_having if isinstance(verdict.answer, Compared) else None
    ends = () if line is None else (measure.shown(-line), measure.shown(line))
    means = [row.mean for row in rows if row.mean is not None]
    span = _span(means, [end for row in rows for end in row.limits], ends)
    head = f"{HEAD}; {MIX}: the total at one size mix" if verdict.one_size_mix is not None else HEAD
    lines = wrap(f"{head}.", plot + notes + palette.LABELS_PX)
    heading = words_block(lines, plot + notes, left=-palette.LABELS_PX, colour=palette.INK)
    parts: list[Part] = [heading, _panel(rows, measure, ends, span, plot, notes)]
    return stacked_parts(parts, spacing=6)


def _span(means: Sequence[float], limits: Sequence[float], ends: Sequence[float]) -> Span:
    reach = WIDEST * max(map(abs, (*means, *ends)), default=1.0)
    return span_around([0.0, *means, *ends, *(min(max(limit, -reach), reach) for limit in limits)], 0.05)


def _of_classes(verdict: Verdict, measure: Measure) -> list[_Row]:
    unit = "mg" if measure.weighs else "seeded" if measure.is_seeded else "grains"
    rows = []
    for one in verdict.classes:
        if one.estimate is None:
            rows.append(_Row(one.label, None, (), "not_settled", one.why_not))
            continue
        words = f"{figures(one.a_run)} {unit} a run"
        rows.append(
            _Row(one.label, measure.shown(one.estimate), _shown(one.interval, measure), PASSES[one.passes], words)
        )
    return rows


def _of_total(verdict: Verdict, measure: Measure) -> list[_Row]:
    if not isinstance(verdict.answer, Compared):
        return []
    total = verdict.size_class or "total"
    rows = [
        _Row(total, measure.shown(verdict.answer.estimate), _shown(verdict.answer.interval, measure), verdict.code, "")
    ]
    mix = verdict.one_size_mix
    if mix is not None:
        rows.append(
            _Row(
                MIX,
                measure.shown(mix.estimate),
                _shown(mix.interval, measure),
                "not_settled",
                "",
            )
        )
    return rows


def _shown(interval: Interval | None, measure: Measure) -> tuple[float, ...]:
    return () if interval is None else (measure.shown(interval.low), measure.shown(interval.high))


def _panel(
    rows: Sequence[_Row], measure: Measure, ends: Sequence[float], span: Span, plot: int, notes: int
) -> alt.LayerChart:
    axis = axis_of(span, f"difference, {measure.gain_axis}")
    zero = alt.Chart(table([{"at": 0.0}])).mark_rule(color=palette.INK, strokeWidth=1.5)
    layers = [*line_band(ends, span, "at", axis), zero.encode(x=axis)]
    for at, row in enumerate(rows):
        layers += _bar(row, ROW_PX * at + ROW_PX / 2, span, axis)
    layers += _words(rows, plot, notes)
    return layered(layers, plot, ROW_PX * len(rows))


def _bar(row: _Row, y: float, span: Span, axis: alt.X) -> list[alt.Chart]:
    if row.mean is None:
        return []
    look = palette.outcome_look(row.code)
    layers = []
    if row.limits:
        low, high = row.limits
        at = {"at": span.clamp(low), "to": span.clamp(high), "low": low, "high": high, "y": y, "size": row.name}
        bar = alt.Chart(table([at])).mark_bar(
            height=BAR_PX,
            fill=look.colour if look.filled else palette.PAPER,
            stroke=look.colour,
            strokeWidth=1.4,
            fillOpacity=0.45 if look.filled else 1,
        )
        layers.append(bar.encode(x=axis, x2=alt.X2("to:Q"), y=pixel_y()))
        layers += [mark for end in row.limits if span.side(end) for mark in _past(end, span, y, look.colour)]
    spot = [{"at": span.clamp(row.mean), "mean": row.mean, "y": y, "size": row.name}]
    upright = look.shape == palette.OPEN_BAR
    shape = palette.UPRIGHT if upright else look.shape
    layers.append(
        shapes(spot, shape, look.colour if upright else palette.PAPER, look.colour, 110, 1).encode(x=axis, y=pixel_y())
    )
    return layers


def _past(end: float, span: Span, y: float, colour: str) -> list[alt.Chart]:
    side = span.side(end)
    row = [{"at": span.clamp(end), "y": y, "number": signed(end, decimals_for(abs(end) / 10))}]
    head = heads(row, "triangle-right" if side > 0 else "triangle-left", colour, 80)
    words = alt.Chart(table(row)).mark_text(align="right" if side > 0 else "left", dx=-9 * side, baseline="middle")
    return [
        head.encode(x=alt.X("at:Q"), y=pixel_y()),
        words.encode(x=alt.X("at:Q"), y=pixel_y(), text=alt.Text("number:N")),
    ]


def _words(rows: Sequence[_Row], plot: int, notes: int) -> list[alt.Chart]:
    """Names left of the bars, amounts right of them; what is not tested says why across the plot."""
    names, notes_of = [], []
    for at, row in enumerate(rows):
        y = ROW_PX * at + ROW_PX / 2
        names.append({"words": shorten(row.name, palette.LABELS_PX + 2), "x": float(-palette.LABELS_PX), "y": y})
        x, room = (4.0, plot + notes) if row.mean is None else (plot + 10.0, notes)
        if row.mean is not None and notes < LEAST_NOTES_PX:
            continue
        notes_of.append({"words": shorten(row.words, room), "x": x, "y": y})
    layers = []
    for found, colour in ((names, palette.INK), ([row for row in notes_of if row["words"]], palette.QUIET)):
        mark = alt.Chart(table(found)).mark_text(align="left", baseline="middle", color=colour)
        layers.append(mark.encode(x=pixel_x(), y=pixel_y(), text=alt.Text("words:N")))
    return layers
