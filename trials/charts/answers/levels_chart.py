"""The chart of levels: which catches more than the baseline, and from where on does more stop paying?"""

from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt

from schemas import LevelResult, LevelsAnswer, Verdict
from trials.charts import marks, palette
from trials.charts.bars import JointBar, axis_of, joint_bar, zero_line
from trials.charts.frame import WORD, footer_lines, framed, heading_of, outer_px, pale_word, simulated_band
from trials.charts.reading import axis_unit, ends_of_line, limits_shown, line_named
from trials.charts.spans import Span, difference_span, stacked
from trials.charts.text import shorten, text_px, wrap_all
from trials.measures.catalogue import measure_named
from trials.measures.measure import Measure
from trials.verdicts.level_words import stops_paying_words
from trials.verdicts.spoken import last_words
from trials.verdicts.tables import cost_of
from trials.wording.lists import and_list, capital
from trials.wording.numbers import plain

ROW_PX, NARROW_ROW_PX = 40, 54
COST_PX, MOST_COSTS, EXACT_UNDER = 112, 2, 1.5
LONGEST_NAME_PX = 110


@dataclass(frozen=True, slots=True)
class _Grid:
    """Where things stand, in pixels.

    names, plot: how wide the names of the set-ups and the plot are. row: how high one set-up is.
    """

    names: int
    plot: int
    row: int
    narrow: bool

    def y(self, at: int) -> float:
        """The middle of the bar of a set-up."""
        return self.row * at + (40 if self.narrow else 25)

    def text_y(self, at: int) -> float:
        """The middle of its name."""
        return self.row * at + 11 if self.narrow else self.y(at)


@marks.unchecked
def levels_chart(
    verdict: Verdict, answer: LevelsAnswer, *, narrow: bool = False, simulated: bool = False, headed: bool = True
) -> alt.VConcatChart:
    """Which level catches more than the baseline, and from where on does more stop paying?

    One row a set-up in scale order: what each block differed by from the baseline, the mean with its joint limits,
    zero, the band of the line; black sand and minutes beside it, on a phone (`narrow`) above the bars; the level that
    is named in a frame. The title is the whole sentence; not `headed` on a page that has said it and the last word
    above the chart. Of `simulated` runs it begins with that word, a dark band says so, it stands in pale letters behind
    the rows, and nothing is advised.
    """
    measure, pixels = measure_named(verdict.measure), outer_px(narrow=narrow)
    grid = _grid(answer, pixels, narrow=narrow)
    span = _span(answer, measure)
    left = float(-grid.names)
    lines = wrap_all(_meaning(verdict, answer, measure, narrow=narrow), pixels)
    said = last_words(verdict) if headed and not simulated else ""
    width = pixels - grid.names
    parts: list[marks.Part] = [
        *([simulated_band(width, left=left)] if simulated else []),
        *([marks.word_band(said, width, left, ground=palette.LAST_WORD, colour=palette.INK)] if said else []),
        _key(verdict, answer, measure, grid),
        _panel(verdict, answer, measure, grid, span, simulated=simulated),
        marks.words_block(lines, width, colour=palette.INK, left=left),
        marks.words_block(footer_lines(verdict, pixels), width, left=left),
    ]
    sentence = f"{WORD}. {verdict.sentence}" if simulated else verdict.sentence
    return framed(parts, heading_of(sentence, verdict, narrow=narrow, headed=headed), spacing=14)


def _grid(answer: LevelsAnswer, pixels: int, *, narrow: bool) -> _Grid:
    if narrow:
        return _Grid(names=0, plot=pixels - 26, row=NARROW_ROW_PX, narrow=True)
    longest = max(text_px(level.level, bold=True) for level in answer.levels)
    names = round(min(LONGEST_NAME_PX, max(palette.LABELS_PX, longest + 14)))
    return _Grid(names=names, plot=pixels - names - COST_PX * len(_cost_columns(answer)) - 24, row=ROW_PX, narrow=False)


def _span(answer: LevelsAnswer, measure: Measure) -> Span:
    told = [level for level in answer.levels if level.estimate is not None]
    means = [measure.shown(level.estimate or 0.0) for level in told]
    blocks = [measure.shown(d) for level in told for d in level.differences if d is not None]
    ends = [end for level in told for end in limits_shown(level.interval, measure)]
    return difference_span([*blocks, *means], ends, ends_of_line(answer.worth_having, measure))


def _key(verdict: Verdict, answer: LevelsAnswer, measure: Measure, grid: _Grid) -> alt.LayerChart:
    items = [
        marks.KeyItem("one block", palette.CIRCLE, palette.PAPER, palette.INK),
        marks.KeyItem(f"baseline: {verdict.arms[0]}", palette.CIRCLE, palette.BASELINE),
    ]
    for code in dict.fromkeys(level.code for level in answer.levels):
        if code is not None and code != "too_few":
            look = palette.outcome_look(code)
            items.append(marks.KeyItem.of_outcome(look, f"{look.words}, with joint limits"))
    if verdict.line_typed is not None:
        items.append(marks.KeyItem.of_line(f"under {line_named(verdict, measure)}"))
    return marks.key(items, outer_px(narrow=grid.narrow) - grid.names)


def _panel(
    verdict: Verdict, answer: LevelsAnswer, measure: Measure, grid: _Grid, span: Span, *, simulated: bool
) -> alt.LayerChart:
    axis = axis_of(span, f"difference from {shorten(verdict.arms[0], 90)}, {axis_unit(verdict, measure)}")
    high = grid.row * len(answer.levels) + 4
    layers = [
        *marks.line_band(ends_of_line(answer.worth_having, measure), span, "at", axis),
        *([pale_word(grid.plot, high)] if simulated else []),
        _frame(answer, grid, span, axis),
        zero_line(),
        *_blocks(answer, measure, grid, span, axis),
        *_bars(answer, measure, grid, span, axis),
        *_names(answer, grid),
        *_costs(answer, grid),
    ]
    return marks.layered(layers, grid.plot, high)


def _frame(answer: LevelsAnswer, grid: _Grid, span: Span, axis: alt.X) -> alt.Chart:
    """A frame around the level that is named."""
    rows = [
        {"at": span.low, "to": span.high, "y": grid.row * at + 1, "foot": grid.row * (at + 1) - 1}
        for at, level in enumerate(answer.levels)
        if level.level == answer.named
    ]
    mark: alt.Chart = alt.Chart(marks.table(rows)).mark_rect(
        fillOpacity=0, stroke=palette.INK, strokeWidth=1.2, cornerRadius=4
    )
    return mark.encode(x=axis, x2=alt.X2("to:Q"), y=marks.pixel_y(), y2=alt.Y2("foot:Q"))


def _blocks(answer: LevelsAnswer, measure: Measure, grid: _Grid, span: Span, axis: alt.X) -> list[alt.Chart]:
    """A dot for what each block differed by, like ones above one another; one past the axis stands at its edge."""
    rows = []
    for at, level in enumerate(answer.levels):
        told = [(block, measure.shown(d)) for block, d in enumerate(level.differences, start=1) if d is not None]
        heights = stacked([span.clamp(d) for _, d in told], 6.0 * span.width / grid.plot)
        rows += [
            {
                "at": span.clamp(d),
                "difference": d,
                "level": level.level,
                "block": block,
                "y": grid.y(at) - 10 - 5 * min(up, 2),
            }
            for (block, d), up in zip(told, heights, strict=True)
        ]
    mark = marks.shapes(rows, palette.CIRCLE, palette.PAPER, palette.INK, 26, 0.8)
    return [mark.encode(x=axis, y=marks.pixel_y(), tooltip=marks.tips("level:N", "block:O", "difference:Q"))]


def _bars(answer: LevelsAnswer, measure: Measure, grid: _Grid, span: Span, axis: alt.X) -> list[alt.Chart]:
    baseline = marks.shapes([{"at": 0.0, "y": grid.y(0)}], palette.CIRCLE, palette.BASELINE, palette.PAPER, 110, 2)
    layers = [baseline.encode(x=axis, y=marks.pixel_y())]
    for at, level in enumerate(answer.levels):
        if level.estimate is not None and level.code is not None:
            limits, mean = limits_shown(level.interval, measure), measure.shown(level.estimate)
            bar = JointBar({"level": level.level}, mean, limits, level.code, grid.y(at))
            layers += joint_bar(bar, span, axis, numbers_under=True)
    return layers


def _names(answer: LevelsAnswer, grid: _Grid) -> list[alt.Chart]:
    """The set-ups' names, the one that is named in bold; left of the bars, on a phone above them with their costs."""
    layers = []
    for bold in (True, False):
        rows = [
            {
                "words": shorten(level.level, grid.names or grid.plot / 2),
                "x": float(2 - grid.names),
                "y": grid.text_y(at),
            }
            for at, level in enumerate(answer.levels)
            if (level.level == answer.named) is bold
        ]
        layers += _words(rows, palette.INK, bold=bold, halo=grid.narrow)
    return layers


def _costs(answer: LevelsAnswer, grid: _Grid) -> list[alt.Chart]:
    """What each costs against the baseline, in columns beside the bars; on a phone behind its name."""
    columns = _cost_columns(answer)
    rows = []
    for at, level in enumerate(answer.levels):
        said = [(name, _cost_text(level, name, is_short=grid.narrow)) for name in columns]
        if grid.narrow:
            left = 14 + min(grid.plot / 2, text_px(level.level, bold=True))
            words = "; ".join(f"{name} {text}" for name, text in said if text)
            rows.append({"words": shorten(words, grid.plot - left), "x": left, "y": grid.text_y(at)})
            continue
        for place, (name, text) in enumerate(said):
            words = name if level.code is None else text
            rows.append(
                {"words": shorten(words, COST_PX - 6), "x": grid.plot + 14.0 + COST_PX * place, "y": grid.y(at)}
            )
    return _words([row for row in rows if row["words"]], palette.QUIET, bold=False, halo=grid.narrow)


def _words(rows: Sequence[marks.Datum], colour: str, *, bold: bool, halo: bool) -> list[alt.Chart]:
    """Words at places in pixels; with a halo where they stand over lines."""
    if not halo:
        return [marks.texts(rows, bold=bold, colour=colour)]
    layers = marks.on_paper(rows, fontWeight="bold" if bold else "normal", color=colour)
    return [layer.encode(x=marks.pixel_x(), y=marks.pixel_y()) for layer in layers]


def _cost_columns(answer: LevelsAnswer) -> list[str]:
    """The costs that were recorded, black sand and minutes first."""
    return list(dict.fromkeys(c.name for level in answer.levels for c in level.costs if c.ratio is not None))[
        :MOST_COSTS
    ]


def _cost_text(level: LevelResult, name: str, *, is_short: bool) -> str:
    """A cost in times the baseline, with what it is to its limit where it is not within; in short where it is over."""
    cost = cost_of(level, name)
    if cost is None or cost.ratio is None:
        return ""
    number = plain(cost.ratio, 2 if cost.ratio < EXACT_UNDER else 1)
    is_bare = cost.status == "within" or (is_short and cost.status == "not shown")
    return number if is_bare else f"{number}, {cost.status}"


def _meaning(verdict: Verdict, answer: LevelsAnswer, measure: Measure, *, narrow: bool) -> list[str]:
    """What the frame says, and where more stops paying."""
    leads = "the one that leads; none is shown to be better"
    unpicked = "the one that catches least" if verdict.code == "worse" else leads
    named = "the one to use" if answer.pick is not None else unpicked
    stops = stops_paying_words(answer, measure, verdict.line_typed)
    lines = [f"In the frame: {answer.named}, {named}.", *([stops] if stops else [])]
    columns = and_list(_cost_columns(answer))
    unsure = "" if narrow else _unsure_words(answer)
    return [*lines, f"{capital(columns)}: times the baseline{unsure}."] if columns else lines


def _unsure_words(answer: LevelsAnswer) -> str:
    """What "not shown" beside a number means, where it stands."""
    unsure = any(cost.ratio is not None and cost.status == "not shown" for one in answer.levels for cost in one.costs)
    return "; not shown: it may be over its limit" if unsure else ""
