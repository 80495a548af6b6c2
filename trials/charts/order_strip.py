"""The order strip: did the day drift?"""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

import altair as alt

from schemas import Run, Verdict
from trials.charts import palette
from trials.charts.conditions import condition_strips, session_rules, sessions_of, turn_axis
from trials.charts.frame import framed, heading_of, outer_px, tally_words, words_only
from trials.charts.layout import layout_for
from trials.charts.marks import READ, Datum, Part, caption, heads, layered, shapes, table, tips, unchecked, words_block
from trials.charts.nuggets import nugget_of
from trials.charts.rows import ARM_LOOKS, arm_key, has_values
from trials.charts.spans import Span, span_around
from trials.charts.text import wrap
from trials.measures.catalogue import measure_named
from trials.wording.numbers import figures

TITLE = "Did the day drift? The runs in the order they were made"
HEIGHT_PX = 130
FEWEST_FOR_A_LINE = 4


@dataclass(frozen=True, slots=True)
class _Made:
    """One run with its value."""

    run: Run
    turn: int
    value: float
    star: str

    @property
    def row(self) -> dict[str, object]:
        return {"turn": self.turn, "value": self.value, "pair": self.run.pair, "arm": self.run.arm}


@unchecked
def order_strip(
    verdict: Verdict, runs: Sequence[Run], *, narrow: bool = False, headed: bool = True
) -> alt.VConcatChart:
    """Did the day drift?

    Each run's number by its turn, sessions ruled off, void runs as grey crosses; from 4 pairs on a thin line through
    the middle of each pair. Water and temperature are strips below, where recorded. A run with a large piece is a star;
    past the axis it stands at the edge with an arrow and its number. Runs without a turn or a value are left out; where
    no turn was recorded, or the values wait for the last pair, the chart says so in words. Not `headed` on a page that
    has said the sentence above the chart, and has its own title.

    A run-sequence plot: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.3.25.
    """
    if not has_values(verdict.pair_results):
        why = "The runs are shown when all planned pairs are in."
        return words_only(TITLE, verdict, [why], narrow=narrow, headed=headed)
    made = _with_values(verdict, runs)
    if not made:
        why = "No turns were recorded, so the order of the runs can't be drawn. Write the turn beside each run."
        return words_only(TITLE, verdict, [why], narrow=narrow, headed=headed)
    heading = heading_of(TITLE, verdict, [verdict.sentence], narrow=narrow, headed=headed)
    return framed(_parts(verdict, runs, made, narrow=narrow), heading, padded=headed)


def _parts(verdict: Verdict, runs: Sequence[Run], made: Sequence[_Made], *, narrow: bool) -> list[Part]:
    pixels = outer_px(narrow=narrow)
    layout = layout_for(narrow=narrow, has_costs=False)
    width = pixels - palette.LABELS_PX - 10 - palette.LINE_PX * (len(wrap(verdict.measure_words, HEIGHT_PX)) - 1)
    turned = [run.turn for run in runs if run.turn is not None]
    turns = Span(min(turned) - 0.6, max(turned) + 0.6)
    sessions = sessions_of(runs)
    return [
        arm_key(verdict, layout, with_star=any(m.star for m in made)),
        _main_panel(verdict, runs, made, turns, width),
        *condition_strips(runs, turns, sessions, width),
        words_block(_meaning(verdict, made, runs, pixels), pixels - palette.LABELS_PX, left=-palette.LABELS_PX),
    ]


def _with_values(verdict: Verdict, runs: Sequence[Run]) -> list[_Made]:
    made = []
    for run in sorted((run for run in runs if run.turn is not None), key=lambda run: run.turn or 0):
        value = measure_named(verdict.measure).number_of(run)
        nugget = nugget_of(run)
        if value is not None:
            made.append(_Made(run, run.turn or 0, value, "" if nugget is None else f"{figures(nugget.mg)} mg"))
    return made


def _main_panel(
    verdict: Verdict, runs: Sequence[Run], made: Sequence[_Made], turns: Span, width: int
) -> alt.LayerChart:
    usual = [m.value for m in made if not m.star] or [m.value for m in made]
    values = span_around(usual, 0.12)
    x, y = turn_axis(turns, "turn, as really run"), _value_axis(verdict, values)
    layers = [
        *session_rules(sessions_of(runs), x, width, labelled=True),
        alt.Chart(table(_middles(verdict, made))).mark_line(color=palette.FAINT, strokeWidth=1.5).encode(x=x, y=y),
        *_points(made, x, y),
        _voids(verdict, runs, values, x, y),
        *_stars(made, values, turns, x, y),
    ]
    return layered(layers, width, HEIGHT_PX)


def _value_axis(verdict: Verdict, values: Span) -> alt.Y:
    words = wrap(verdict.measure_words, HEIGHT_PX)
    axis = alt.Axis(tickCount=5, minExtent=palette.LABELS_PX - 20)
    return alt.Y("value:Q", title=words, scale=alt.Scale(domain=values.ends, nice=False, zero=False), axis=axis)


def _middles(verdict: Verdict, made: Sequence[_Made]) -> list[Datum]:
    """The middle of each pair or block, for a line through them; none of few pairs, in which it would only be luck."""
    counted = {pair.pair for pair in verdict.pair_results if pair.status == "counted"}
    halves: dict[int, list[_Made]] = {}
    for m in made:
        if m.run.pair in counted and not m.star:
            halves.setdefault(m.run.pair, []).append(m)
    whole = [runs for runs in halves.values() if len(runs) == len(verdict.arms)]
    if len(whole) < FEWEST_FOR_A_LINE or len(verdict.arms) == 1:
        return []
    return [{"turn": fmean(m.turn for m in runs), "value": fmean(m.value for m in runs)} for runs in whole]


def _points(made: Sequence[_Made], x: alt.X, y: alt.Y) -> list[alt.Chart]:
    layers = []
    size = 70 if len(made) <= 40 else 35
    for look in ARM_LOOKS:
        rows = [m.row for m in made if not m.run.is_void and not m.star and _look_of(m.run) == look.arm]
        mark = shapes(rows, look.shape, look.colour, look.fill, size, 1.8)
        layers.append(mark.encode(x=x, y=y, tooltip=tips("turn:O", "pair:O", "arm:N", "value:Q", count=READ)))
    return layers


def _look_of(run: Run) -> str:
    return "baseline" if run.arm in ("baseline", "") else "changed"


def _voids(verdict: Verdict, runs: Sequence[Run], values: Span, x: alt.X, y: alt.Y) -> alt.Chart:
    """Grey crosses; a void run without a value stands at the foot."""
    rows = []
    for run in runs:
        if run.is_void and run.turn is not None:
            value = measure_named(verdict.measure).number_of(run)
            foot = values.low + 0.04 * values.width
            rows.append({"turn": run.turn, "value": foot if value is None else values.clamp(value), "void": run.void})
    mark: alt.Chart = alt.Chart(table(rows)).mark_point(
        shape=palette.DIAGONAL_CROSS, stroke=palette.FAINT, strokeWidth=2, size=70, opacity=1
    )
    return mark.encode(x=x, y=y, tooltip=tips("turn:O", "void:N"))


def _stars(made: Sequence[_Made], values: Span, turns: Span, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """A star for each run with a large piece; past the axis it stands inside its edge, under an arrow."""
    layers: list[alt.Chart] = []
    for look in ARM_LOOKS:
        own = [m for m in made if m.star and not m.run.is_void and _look_of(m.run) == look.arm]
        rows = [_star_row(m, values) for m in own]
        mark = shapes(rows, palette.STAR, look.colour, look.fill, 90, 1.5)
        layers.append(mark.encode(x=x, y=y))
        layers += _star_words(rows, turns, x, y)
        past = [{**row, "value": values.high if row["side"] == 1 else values.low} for row in rows if row["side"]]
        if past:
            arrow = heads(past, palette.UP, palette.INK, 50)
            layers.append(arrow.encode(x=x, y=y, angle=alt.Angle("turned:Q", scale=None)))
    return layers


def _star_words(rows: Sequence[Datum], turns: Span, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """The weights beside the stars, on the side where there is room."""
    middle = turns.low + turns.width / 2
    left = [row for row in rows if float(str(row["turn"])) <= middle]
    right = [row for row in rows if float(str(row["turn"])) > middle]
    return [mark.encode(x=x, y=y) for mark in (caption(left, dx=10), caption(right, align="right", dx=-10))]


def _star_row(m: _Made, values: Span) -> dict[str, object]:
    side = values.side(m.value)
    number = f"{figures(m.value)} with " if side else ""
    inside = values.clamp(m.value) - side * 0.09 * values.width
    return {**m.row, "value": inside, "real": m.value, "side": side, "turned": 90 - 90 * side, "words": number + m.star}


def _meaning(verdict: Verdict, made: Sequence[_Made], runs: Sequence[Run], pixels: int) -> list[str]:
    texts = [tally_words(verdict)]
    if any(run.is_void for run in runs):
        texts.append("Grey crosses are void runs.")
    if _middles(verdict, made):
        of = "block" if len(verdict.arms) > len(ARM_LOOKS) else "pair"
        texts.append(f"The thin line goes through the middle of each {of}.")
    if len(sessions_of(runs)) > 1:
        texts.append("Dashed lines part the sessions.")
    return wrap(" ".join(texts), pixels)
