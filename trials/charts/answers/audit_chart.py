"""The chart of an audit: what is kept of each size, found in the tails, or missing, against the loss line."""

from dataclasses import dataclass

import altair as alt

from schemas import AuditAnswer, SizeKept, Verdict
from trials.charts import palette
from trials.charts.fills import Area, Fill, filled
from trials.charts.frame import footer_lines, framed, heading_of, outer_px
from trials.charts.marks import Part, caption, layered, pixel_x, pixel_y, rules, texts, ticks, unchecked, words_block
from trials.charts.text import shorten, wrap_all
from trials.wording.numbers import figures, plain

ROW_PX, BAR_PX, NOTES_PX, KEY_PX = 44, 16, 150, 22
KEPT, TAILS, MISSING = Fill("#8F8A82"), Fill(palette.PAPER, "rising"), Fill(palette.PAPER, "dots")
LESS_THAN_ALL = 1.0  # % of the scale left free at its right end, so that a limit at 100 is seen whole


@dataclass(frozen=True, slots=True)
class _Place:
    """How wide the plot and the words beside it are; on a phone they are 0, and words stand above each bar."""

    plot: int
    notes: int

    @property
    def above(self) -> int:
        """Room for words above a bar."""
        return 0 if self.notes else palette.LINE_PX

    @property
    def row(self) -> int:
        """How high a size is."""
        return ROW_PX + self.above

    def top(self, at: int) -> float:
        """Where the bar of a size begins."""
        return self.row * at + self.above + 4.0

    def x(self, percent: float) -> float:
        """Where a share of 0 to 100 % stands."""
        return self.plot * percent / (100 + LESS_THAN_ALL)


@unchecked
def audit_chart(
    verdict: Verdict, answer: AuditAnswer, *, narrow: bool = False, headed: bool = True
) -> alt.VConcatChart:
    """Where do losses start?

    A row a size, coarse to fine: kept plain, tails hatched, missing dotted, as shares of the grains seeded; below it
    the limits of the share kept; a dashed line where more is lost than the line allows. Words say each size's numbers;
    the size where losses start is in bold.
    """
    pixels = outer_px(narrow=narrow)
    place = _Place(pixels - palette.LABELS_PX - (16 if narrow else NOTES_PX), 0 if narrow else NOTES_PX)
    width, left = pixels - palette.LABELS_PX, float(-palette.LABELS_PX)
    lines = wrap_all(_meaning(answer), pixels)
    parts: list[Part] = [
        _key(width),
        _panel(verdict, answer, place),
        words_block(lines, width, colour=palette.INK, left=left),
        words_block(footer_lines(verdict, pixels), width, left=left),
    ]
    return framed(parts, heading_of(verdict.sentence, verdict, narrow=narrow, headed=headed), spacing=14)


def _key(width: int) -> alt.LayerChart:
    areas, rows, x = [], [], 0.0
    for words, fill in (("kept", KEPT), ("in the tails", TAILS), ("missing", MISSING)):
        areas.append(Area(x, 4, x + 26, 18, fill, {"what": words}))
        rows.append({"x": x + 32, "y": 11.0, "words": words})
        x += 44 + 7.0 * len(words)
    return layered([*filled(areas), texts(rows)], width, KEY_PX)


def _panel(verdict: Verdict, answer: AuditAnswer, place: _Place) -> alt.LayerChart:
    height = place.row * len(answer.sizes)
    areas = [area for at, size in enumerate(answer.sizes) for area in _areas(size, at, place)]
    layers = [
        *_axis(place, height),
        *filled(areas),
        *(mark for at, size in enumerate(answer.sizes) for mark in _limits(size, at, place)),
        _line(answer, place, height),
        *_names(verdict, answer, place),
    ]
    return layered(layers, place.plot, height + 40)


def _areas(size: SizeKept, at: int, place: _Place) -> list[Area]:
    """One bar: kept, then in the tails, then missing; what is not kept is one area where the tails are not known."""
    top = place.top(at)
    tails = size.seeded - size.kept if size.in_tails is None else size.in_tails
    shares = [("kept", size.kept, KEPT), ("in the tails", tails, TAILS), ("missing", size.missing or 0, MISSING)]
    areas, done = [], 0
    for what, grains, fill in shares:
        if grains:
            left, right = (place.x(100 * count / size.seeded) for count in (done, done + grains))
            areas.append(
                Area(left, top, right, top + BAR_PX, fill, {"size": size.label, "what": what, "grains": grains})
            )
        done += grains
    return areas


def _limits(size: SizeKept, at: int, place: _Place) -> list[alt.Chart]:
    """A bracket below the bar: where the true share kept may lie."""
    y = place.top(at) + BAR_PX + 8
    low, high = (place.x(100 * end) for end in (size.interval.low, size.interval.high))
    told = {"size": size.label, "low": 100 * size.interval.low, "high": 100 * size.interval.high}
    rule = rules([{**told, "x": low, "x2": high, "y": y}], px=2)
    ends = ticks([{"x": end, "y": y} for end in (low, high)], 2, 8)
    return [rule.encode(x=pixel_x(), x2=alt.X2("x2:Q"), y=pixel_y()), ends.encode(x=pixel_x(), y=pixel_y())]


def _line(answer: AuditAnswer, place: _Place, height: float) -> alt.Chart:
    row = {"x": place.x(100 - answer.loss_line), "y": 0.0, "y2": height, "kept": 100 - answer.loss_line}
    return rules([row], palette.WORSE, 2, [5, 3]).encode(x=pixel_x(), y=pixel_y(), y2=alt.Y2("y2:Q"))


def _axis(place: _Place, height: float) -> list[alt.Chart]:
    marks = [0, 25, 50, 75, 100]
    grid = rules([{"x": place.x(m), "y": 0.0, "y2": height} for m in marks], palette.GRID)
    rows = [{"x": place.x(m), "y": height + 10.0, "words": str(m)} for m in marks]
    rows.append({"x": place.x(50), "y": height + 28.0, "words": "share of the grains seeded, %"})
    words = caption(rows, align="center").encode(x=pixel_x(), y=pixel_y())
    return [grid.encode(x=pixel_x(), y=pixel_y(), y2=alt.Y2("y2:Q")), words]


def _names(verdict: Verdict, answer: AuditAnswer, place: _Place) -> list[alt.Chart]:
    """The sizes left of their bars, and their numbers at the right, on a phone above the bar."""
    layers = []
    for bold in (True, False):
        rows = []
        for at, size in enumerate(answer.sizes):
            if (bool(size.label) and size.label == answer.losses_start) is not bold:
                continue
            y = place.top(at) + BAR_PX / 2
            name = shorten(size.label or verdict.grain_sizes or "all", palette.LABELS_PX + 4)
            rows.append({"x": float(-palette.LABELS_PX), "y": y, "words": name})
            kept = f"{size.kept} of {size.seeded}: {size.state}"
            if not place.notes:
                rows.append({"x": 0.0, "y": y - palette.LINE_PX, "words": kept})
            else:
                rows.append({"x": place.plot + 12.0, "y": y, "words": kept})
                ends = f"{plain(100 * size.interval.low, 0)} to {plain(100 * size.interval.high, 0)} % kept"
                rows.append({"x": place.plot + 12.0, "y": y + palette.LINE_PX, "words": ends})
        layers.append(texts(rows, bold=bold))
    return layers


def _meaning(answer: AuditAnswer) -> list[str]:
    whose = "our default" if answer.loss_line_is_ours else "your line"
    line = f"Dashed: {figures(100 - answer.loss_line)} % kept, {whose}; a size loses left of it, and holds right of it."
    luck = "counting luck alone" if answer.runs == 1 else "with the luck from run to run"
    return [line, f"Brackets: 95 % limits of the share kept, {luck}."]
