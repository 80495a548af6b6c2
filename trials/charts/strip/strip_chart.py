"""The chart of the logbook: what did each change come to, and does it hold from lot to lot?"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

import altair as alt

from schemas.verdict import Code
from trials.charts import marks, palette
from trials.charts.bars import axis_of, outcome_bars, outcome_means, zero_line
from trials.charts.frame import framed, outer_px, title_of
from trials.charts.layout import every_nth
from trials.charts.spans import Span, difference_span
from trials.charts.strip.strip import StripPanel, StripRow
from trials.charts.text import shorten, text_px, wrap, wrap_all

ROW_PX, NARROW_ROW_PX, THIN_FROM = 36, 58, 60
TALLEST_PX, LEAST_ROW_PX = 1500.0, 4.5
NAMES_PX, NOTES_PX, EDGE_PX = 204, 200, 12
THIN_NAMES_PX = 130
BRACKET_PX, BRACKETS_APART = 10, 5
LOTS_PX, LOTS_WORDS_PX = 46, 34
NARROW_NOTES_PX, WORDS_PX = 174, 34


@dataclass(frozen=True, slots=True)
class _Grid:
    """Where things stand, in pixels; `thin` rows have no words but their name, and of many every fifth or tenth."""

    plot: float
    names: float
    notes: float
    row: float
    narrow: bool
    thin: bool

    def top(self, at: int) -> float:
        """Where a row begins."""
        return self.row * at

    def bar_y(self, at: int) -> float:
        """The middle of its bar."""
        return self.top(at) + (self.row - 13 if self.has_words_above else self.row / 2)

    @property
    def has_words_above(self) -> bool:
        """Whether words stand above each bar, where there is no room beside it."""
        return self.narrow and not self.thin

    @property
    def lots_px(self) -> float:
        """How high is what one change comes to over its lots."""
        return LOTS_PX + (LOTS_WORDS_PX if self.has_words_above else 0)

    @property
    def bar_px(self) -> float:
        """How high a bar is."""
        return min(9.0, self.row * 0.6)


@marks.unchecked
def strip_chart(
    title: str, panels: Sequence[StripPanel], said: Sequence[str], *, narrow: bool = False
) -> alt.VConcatChart:
    """What did each change come to, and does it hold from lot to lot?

    Each panel has an axis of its own, for trials in points and in % never share one; `said` stands under the plots. One
    row a trial, the newest first: its outcome as a mark at the mean, the limits as a bar, gain, costs and decision in
    words; one that has no outcome in grey, with its reason. All marks are one size. Of one change on three lots or
    more, below: a pale band where the next lot may lie, a dark bracket at the limits of the mean.
    """
    pixels = outer_px(narrow=narrow)
    most = max((len(panel.rows) for panel in panels), default=0)
    grid = _grid(pixels, most, narrow=narrow)
    left = -grid.names
    parts: list[marks.Part] = [_key(panels, grid)]
    for panel in panels:
        if panel.heading:
            parts.append(marks.words_block(wrap(panel.heading, pixels), grid.plot, colour=palette.INK, left=left))
        parts.append(_panel(panel, grid))
    parts.append(marks.words_block(wrap_all(said, pixels), grid.plot, left=left))
    return framed(parts, title_of(title, (), narrow=narrow), spacing=12)


def _grid(pixels: float, rows: int, *, narrow: bool) -> _Grid:
    thin = rows > THIN_FROM
    row = max(LEAST_ROW_PX, TALLEST_PX / rows) if thin else NARROW_ROW_PX if narrow else ROW_PX
    names = THIN_NAMES_PX if thin else 0 if narrow else NAMES_PX
    notes = 0 if narrow or thin else NOTES_PX
    return _Grid(pixels - names - notes - 2 * EDGE_PX, names, notes, row, narrow, thin)


def _codes(panels: Iterable[StripPanel]) -> list[Code]:
    found = [row.code for panel in panels for row in panel.rows] + [p.lots.code for p in panels if p.lots]
    return [code for code in palette.OUTCOME_LOOKS if code in found]


def _key(panels: Sequence[StripPanel], grid: _Grid) -> alt.LayerChart:
    items = [marks.KeyItem.of_outcome(palette.outcome_look(code)) for code in _codes(panels)]
    if any(panel.lots for panel in panels):
        items.append(marks.KeyItem("mean over lots, with limits", palette.WHISKER, palette.INK, palette.INK))
        items.append(marks.KeyItem("the next lot", "square", palette.FAINT, palette.LAST_WORD))
    if any(panel.line_ends for panel in panels):
        items.append(marks.KeyItem.of_line("under the newest line"))
    return marks.key(items, grid.plot + grid.notes)


def _span(panel: StripPanel) -> Span:
    means = [row.mean for row in panel.rows if row.mean is not None]
    ends = [end for row in panel.rows for end in row.limits]
    if panel.lots:
        ends += [*panel.lots.limits, *panel.lots.next_lot]
    return difference_span([*means, *ends], (), panel.line_ends)


def _panel(panel: StripPanel, grid: _Grid) -> alt.LayerChart:
    span, axis = _span(panel), axis_of(_span(panel), panel.axis)
    height = grid.top(len(panel.rows)) + (grid.lots_px if panel.lots else 0) + 4
    layers = [
        _ground(span, axis, height),
        *marks.line_band(panel.line_ends, span, "at", axis),
        *_next_lot(panel, grid, span, axis),
        *([] if grid.thin else _rules(panel, grid)),
        zero_line(),
        *_clear_for_words(panel, grid, span, axis),
        *_brackets(panel, grid),
        *_bars(panel, grid, span, axis),
        *_lots(panel, grid, span, axis),
        *_names(panel, grid),
        *_notes(panel, grid),
    ]
    return marks.layered(layers, grid.plot, height)


def _ground(span: Span, axis: alt.X, height: float) -> alt.Chart:
    """The plot itself, which says what its axes are."""
    row = {"at": span.low, "to": span.high, "y": 0.0, "foot": height}
    mark: alt.Chart = alt.Chart(marks.table([row])).mark_rect(color=palette.PAPER)
    return mark.encode(x=axis, x2=alt.X2("to:Q"), y=marks.pixel_y(), y2=alt.Y2("foot:Q"))


def _rules(panel: StripPanel, grid: _Grid) -> list[alt.Chart]:
    """A faint line between rows."""
    rows = [{"x": -grid.names, "x2": grid.plot + grid.notes, "y": grid.top(at)} for at in range(1, len(panel.rows) + 1)]
    return [marks.rules(rows, palette.GRID).encode(x=marks.pixel_x(), x2=alt.X2("x2:Q"), y=marks.pixel_y())]


def _clear_for_words(panel: StripPanel, grid: _Grid, span: Span, axis: alt.X) -> list[alt.Chart]:
    """Paper under the words that stand above each bar, so that no line runs through them."""
    if not grid.has_words_above:
        return []
    tops = [grid.top(at) for at in range(len(panel.rows) + bool(panel.lots))]
    rows = [{"at": span.low, "to": span.high, "y": top + (top > 0), "foot": top + WORDS_PX} for top in tops]
    paper = alt.Chart(marks.table(rows)).mark_rect(color=palette.PAPER, opacity=1)
    return [paper.encode(x=axis, x2=alt.X2("to:Q"), y=marks.pixel_y(), y2=alt.Y2("foot:Q"))]


def _bars(panel: StripPanel, grid: _Grid, span: Span, axis: alt.X) -> list[alt.Chart]:
    """Bar and mark of each trial; a layer for each outcome, for a layer a trial would take long of two thousand."""
    layers = []
    known = [(at, row) for at, row in enumerate(panel.rows) if row.code is not None and row.mean is not None]
    by_code = groupby(sorted(known, key=lambda one: str(one[1].code)), key=lambda one: one[1].code)
    for code, rows in ((code, list(found)) for code, found in by_code):
        assert code is not None  # noqa: S101 - left out above
        look = palette.outcome_look(code)
        bars = [_bar(row, grid.bar_y(at), span) for at, row in rows if row.limits]
        drawn = [{name: bar[name] for name in ("at", "to", "y")} for bar in bars] if grid.thin else bars
        told = [] if grid.thin else marks.tips("trial:N", "low:Q", "high:Q")
        mark = outcome_bars(drawn, look, grid.bar_px, 0.6 if grid.thin else 1.2)
        layers.append(mark.encode(x=axis, x2=alt.X2("to:Q"), y=marks.pixel_y(), tooltip=told or alt.Undefined))
        layers += _past(bars, span, look.colour, grid)
        layers.append(_means([_mean(row, grid.bar_y(at), span) for at, row in rows], look, grid, axis))
    return layers


def _bar(row: StripRow, y: float, span: Span) -> marks.Datum:
    low, high = row.limits
    return {"trial": row.name, "at": span.clamp(low), "to": span.clamp(high), "low": low, "high": high, "y": y}


def _mean(row: StripRow, y: float, span: Span) -> marks.Datum:
    assert row.mean is not None  # noqa: S101 - asked for above
    return {"trial": row.name, "at": span.clamp(row.mean), "gain": row.mean, "y": y}


def _means(rows: Sequence[marks.Datum], look: palette.OutcomeLook, grid: _Grid, axis: alt.X) -> alt.Chart:
    mark = outcome_means(rows, look, min(110.0, 4.0 * grid.row), 0.4 if grid.thin else 1)
    return mark.encode(x=axis, y=marks.pixel_y(), tooltip=marks.tips("trial:N", "gain:Q"))


def _past(bars: Sequence[marks.Datum], span: Span, colour: str, grid: _Grid) -> list[alt.Chart]:
    """An arrow at the edge for each limit that lies past it; its number stands in the words."""
    layers = []
    for end, place, shape in (("high", "to", "triangle-right"), ("low", "at", "triangle-left")):
        rows = [{"at": bar[place], "y": bar["y"]} for bar in bars if span.side(float(str(bar[end])))]
        layers.append(
            marks.heads(rows, shape, colour, min(70.0, 3 * grid.row)).encode(x=alt.X("at:Q"), y=marks.pixel_y())
        )
    return layers


def _names(panel: StripPanel, grid: _Grid) -> list[alt.Chart]:
    """The name of each trial, grey where it has no outcome, and under it day and change; of thin rows some names."""
    nth = every_nth(grid.row) if grid.thin else 1
    joined = BRACKET_PX + 3 * BRACKETS_APART if any(row.lot is not None for row in panel.rows) else 0
    room = grid.names - joined if grid.names else grid.plot - NARROW_NOTES_PX
    names, unders = [], []
    for at, row in enumerate(panel.rows):
        if at % nth:
            continue
        place = {"x": 0.0 - grid.names, "y": grid.top(at) + (grid.row / 2 if grid.thin else 11.0)}
        names.append({**place, "words": shorten(row.name, room), "told": row.code is not None})
        if not grid.thin:
            unders.append({**place, "y": grid.top(at) + 26.0, "words": _under(row, grid, room), "told": False})
    return _words([*names, *unders])


def _under(row: StripRow, grid: _Grid, room: float) -> str:
    """Day and change; on a phone costs and decision too, whole."""
    if not grid.narrow or not row.costs:
        return shorten(row.under, grid.plot if grid.narrow else room)
    return f"{shorten(row.under, grid.plot - text_px(f'; {row.costs}') - 8)}; {row.costs}"


def _notes(panel: StripPanel, grid: _Grid) -> list[alt.Chart]:
    """The gain in words, and under it costs and decision; on a phone the gain at the right of the name."""
    if grid.thin:
        return []
    rows = []
    for at, row in enumerate(panel.rows):
        x = grid.plot - NARROW_NOTES_PX + 8 if grid.narrow else grid.plot + EDGE_PX
        room = (NARROW_NOTES_PX if grid.narrow else grid.notes) - 6
        is_told = row.code is not None
        rows.append({"x": x, "y": grid.top(at) + 11.0, "words": shorten(row.told, room), "told": is_told})
        if row.costs and not grid.narrow:
            rows.append({"x": x, "y": grid.top(at) + 26.0, "words": shorten(row.costs, room), "told": False})
    return _words(rows)


def _words(rows: Sequence[marks.Datum]) -> list[alt.Chart]:
    looks = ((True, palette.INK), (False, palette.QUIET))
    return [marks.texts([row for row in rows if row["told"] is is_told], colour=colour) for is_told, colour in looks]


def _brackets(panel: StripPanel, grid: _Grid) -> list[alt.Chart]:
    """A thin bracket at the left that joins the trials of one lot."""
    members: dict[int, list[float]] = {}
    for at, row in enumerate(panel.rows):
        if row.lot is not None:
            members.setdefault(row.lot, []).append(grid.bar_y(at))
    ups, feet = [], []
    for place, ys in enumerate(members.values()):
        x = -BRACKET_PX - BRACKETS_APART * (place % 3) if grid.names else -4.0 - 3 * (place % 3)
        ups.append({"x": x, "y": min(ys), "y2": max(ys)})
        feet += [{"x": x, "x2": x + 4, "y": y} for y in ys]
    up = marks.rules(ups).encode(x=marks.pixel_x(), y=marks.pixel_y(), y2=alt.Y2("y2:Q"))
    return [up, marks.rules(feet).encode(x=marks.pixel_x(), x2=alt.X2("x2:Q"), y=marks.pixel_y())]


def _lots_y(panel: StripPanel, grid: _Grid) -> float:
    return grid.top(len(panel.rows)) + grid.lots_px - LOTS_PX / 2


def _next_lot(panel: StripPanel, grid: _Grid, span: Span, axis: alt.X) -> list[alt.Chart]:
    """A pale band where a trial on the next lot may lie."""
    if panel.lots is None:
        return []
    low, high = panel.lots.next_lot
    row = {"at": span.clamp(low), "to": span.clamp(high), "low": low, "high": high, "y": _lots_y(panel, grid)}
    band = alt.Chart(marks.table([row])).mark_bar(height=LOTS_PX - 16, color=palette.LAST_WORD)
    arrows = _past([row], span, palette.FAINT, grid)
    return [band.encode(x=axis, x2=alt.X2("to:Q"), y=marks.pixel_y()), *arrows]


def _lots(panel: StripPanel, grid: _Grid, span: Span, axis: alt.X) -> list[alt.Chart]:
    """A dark bracket at the limits of the mean over lots, the outcome's mark in it, and both in words."""
    if panel.lots is None:
        return []
    y, (low, high) = _lots_y(panel, grid), panel.lots.limits
    row = {"at": span.clamp(low), "to": span.clamp(high), "low": low, "high": high, "y": y}
    ends = marks.ticks([{"at": span.clamp(end), "y": y} for end in (low, high)], 2, 14)
    mean = StripRow("mean", "", panel.lots.code, panel.lots.mean, (), "", "")
    layers = [
        marks.rules([row], px=2).encode(x=axis, x2=alt.X2("to:Q"), y=marks.pixel_y()),
        ends.encode(x=axis, y=marks.pixel_y()),
        _means([_mean(mean, y, span)], palette.outcome_look(panel.lots.code), grid, axis),
    ]
    if grid.thin:
        return layers
    top, x = grid.top(len(panel.rows)), -grid.names
    first, second = (top + 11.0, top + 26.0) if grid.narrow else (y - 8.0, y + 8.0)
    beside = grid.plot - NARROW_NOTES_PX + 8 if grid.narrow else grid.plot + EDGE_PX
    said = [("mean over lots", x, first), ("the next lot", x, second)]
    said += [(panel.lots.told, beside, first), (panel.lots.next_told, beside, second)]
    return [*layers, *_words([{"x": x, "y": y, "words": words, "told": y == first} for words, x, y in said])]
