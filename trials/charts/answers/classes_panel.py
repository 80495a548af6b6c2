"""By size, coarse to fine: each class with its joint limits against zero and the line, the total below."""

from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt

from schemas import Compared, Verdict
from schemas.verdict import Code
from trials.charts import palette
from trials.charts.bars import JointBar, axis_of, joint_bar, zero_line
from trials.charts.marks import Part, layered, line_band, stacked_parts, texts, words_block
from trials.charts.reading import ends_of_line, limits_shown
from trials.charts.spans import Span, span_around
from trials.charts.text import shorten, wrap
from trials.measures.catalogue import measure_named
from trials.measures.measure import Measure
from trials.verdicts.class_words import amount_unit
from trials.wording.numbers import figures

ROW_PX = 24
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
    ends = ends_of_line(line, measure)
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
    rows = []
    for one in verdict.classes:
        if one.estimate is None:
            rows.append(_Row(one.label, None, (), "not_settled", one.why_not))
            continue
        words = f"{figures(one.a_run)} {amount_unit(measure)} a run"
        rows.append(
            _Row(one.label, measure.shown(one.estimate), limits_shown(one.interval, measure), PASSES[one.passes], words)
        )
    return rows


def _of_total(verdict: Verdict, measure: Measure) -> list[_Row]:
    if not isinstance(verdict.answer, Compared):
        return []
    answer = verdict.answer
    limits = limits_shown(answer.interval, measure)
    rows = [_Row(verdict.size_class or "total", measure.shown(answer.estimate), limits, verdict.code, "")]
    mix = verdict.one_size_mix
    if mix is not None:
        rows.append(_Row(MIX, measure.shown(mix.estimate), limits_shown(mix.interval, measure), "not_settled", ""))
    return rows


def _panel(
    rows: Sequence[_Row], measure: Measure, ends: Sequence[float], span: Span, plot: int, notes: int
) -> alt.LayerChart:
    axis = axis_of(span, f"difference, {measure.gain_axis}")
    layers = [*line_band(ends, span, "at", axis), zero_line()]
    for at, row in enumerate(rows):
        if row.mean is not None:
            bar = JointBar({"size": row.name}, row.mean, row.limits, row.code, ROW_PX * at + ROW_PX / 2)
            layers += joint_bar(bar, span, axis, numbers_under=False)
    layers += _words(rows, plot, notes)
    return layered(layers, plot, ROW_PX * len(rows))


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
    return [texts(names), texts([row for row in notes_of if row["words"]], colour=palette.QUIET)]
