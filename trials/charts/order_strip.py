"""The order strip: did the day drift?"""

from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt
import numpy as np

from schemas import Run, Verdict
from trials.charts import palette
from trials.charts.footer import tally_words
from trials.charts.frame import framed, outer_px, subtitles_of, title_of, words_only
from trials.charts.layout import layout_for
from trials.charts.marks import KeyItem, table, words_block
from trials.charts.nuggets import nugget_of
from trials.charts.rows import ARM_LOOKS, arm_key, has_values
from trials.charts.sessions import Session, session_rules, sessions_of
from trials.charts.spans import Span, span_around
from trials.charts.text import wrap
from trials.measures.catalogue import measure_named
from trials.wording.numbers import figures

TITLE = "Did the day drift? The runs in the order they were made"
HEIGHT_PX = 190
STRIP_PX = 44
FEWEST_FOR_A_LINE = 4
STRIPS = (("water_l_min", "water, L/min"), ("temp_c", "water, deg C"))


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


def order_strip(verdict: Verdict, runs: Sequence[Run], *, narrow: bool = False) -> alt.VConcatChart:
    """Did the day drift?

    Parameters
    ----------
    verdict
        For its measure, its arms and its sentence.
    runs
        With the turns in which they were really run; those without a turn or a value are left out.
    narrow
        For a phone.

    Returns
    -------
    VConcatChart
        Each run's number by its turn, sessions ruled off, void runs as grey crosses; from 4 pairs on a thin line
        through the middle of each pair. Water and temperature are strips below, where recorded. A run with a
        large piece is a star; past the axis it stands at the edge with an arrow and its number. Where no turn was
        recorded, or the values wait for the last pair, the chart says so in words.
    """
    if not has_values(verdict.pair_results):
        why = "The runs are shown when all planned pairs are in."
        return words_only(TITLE, verdict, [verdict.sentence, why], narrow=narrow)
    made = _with_values(verdict, runs)
    if not made:
        why = "No turns were recorded, so the order of the runs can't be drawn. Write `turn` beside each run."
        return words_only(TITLE, verdict, [why], narrow=narrow)
    return _drawn(verdict, runs, made, narrow=narrow)


def _drawn(verdict: Verdict, runs: Sequence[Run], made: Sequence[_Made], *, narrow: bool) -> alt.VConcatChart:
    pixels = outer_px(narrow=narrow)
    layout = layout_for(narrow=narrow, has_costs=False)
    width = pixels - palette.LABELS_PX - 10
    turns = Span(min(m.turn for m in made) - 0.6, max(m.turn for m in made) + 0.6)
    sessions = sessions_of(runs)
    parts = [
        arm_key(verdict, layout, with_star=any(m.star for m in made)),
        _main_panel(verdict, made, turns, sessions, width),
        *_condition_strips(runs, turns, sessions, width),
        words_block(_meaning(verdict, made, pixels), pixels - palette.LABELS_PX, left=-palette.LABELS_PX),
    ]
    subtitles = [verdict.sentence, *subtitles_of(verdict)]
    return framed(alt.vconcat(*parts, spacing=10), title_of(TITLE, subtitles, narrow=narrow))


def _with_values(verdict: Verdict, runs: Sequence[Run]) -> list[_Made]:
    measure = measure_named(verdict.measure)
    made = []
    for run in sorted((run for run in runs if run.turn is not None), key=lambda run: run.turn or 0):
        readings = measure.readings(run)
        value = float("nan") if readings is None else float(measure.value(np.array(readings)))
        nugget = nugget_of(run)
        if np.isfinite(value):
            made.append(_Made(run, run.turn or 0, value, "" if nugget is None else nugget.words))
    return made


def _main_panel(
    verdict: Verdict, made: Sequence[_Made], turns: Span, sessions: Sequence[Session], width: int
) -> alt.LayerChart:
    usual = [m.value for m in made if not m.star] or [m.value for m in made]
    values = span_around(usual, 0.12)
    x, y = _turn_axis(turns, "turn, as really run"), _value_axis(verdict, values)
    layers = [
        *session_rules(sessions, x, width, labelled=True),
        *_middles(made, x, y),
        *_points(made, values, x, y),
        _voids(made, values, x, y),
        *_stars(made, values, x, y),
    ]
    return alt.layer(*layers).properties(width=width, height=HEIGHT_PX)


def _turn_axis(turns: Span, title: str | None) -> alt.X:
    axis = alt.Axis(grid=False, tickMinStep=1, format="d", labels=title is not None, ticks=title is not None)
    return alt.X("turn:Q", title=title, scale=alt.Scale(domain=turns.ends, nice=False), axis=axis)


def _value_axis(verdict: Verdict, values: Span) -> alt.Y:
    words = wrap(verdict.measure_words, HEIGHT_PX)
    axis = alt.Axis(tickCount=5, minExtent=palette.LABELS_PX - 20)
    return alt.Y("value:Q", title=words, scale=alt.Scale(domain=values.ends, nice=False, zero=False), axis=axis)


def _middles(made: Sequence[_Made], x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """A line through the middle of each pair; none with few pairs, in which it would only be luck."""
    halves: dict[int, list[_Made]] = {}
    for m in made:
        if not m.run.is_void and not m.star:
            halves.setdefault(m.run.pair, []).append(m)
    rows = [
        {"turn": (a.turn + b.turn) / 2, "value": (a.value + b.value) / 2}
        for a, b in (both for both in halves.values() if len(both) == 2)
    ]
    if len(rows) < FEWEST_FOR_A_LINE:
        return []
    return [alt.Chart(table(rows)).mark_line(color=palette.FAINT, strokeWidth=1.5).encode(x=x, y=y)]


def _points(made: Sequence[_Made], values: Span, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    layers = []
    size = 70 if len(made) <= 40 else 35
    for look in ARM_LOOKS:
        rows = [m.row for m in made if not m.run.is_void and not m.star and _look_of(m.run) == look.arm]
        mark = alt.Chart(table(rows)).mark_point(
            shape=look.shape, stroke=look.colour, fill=look.fill, size=size, strokeWidth=1.8, opacity=1
        )
        layers.append(mark.encode(x=x, y=y, tooltip=["turn:Q", "pair:O", "arm:N", "value:Q"]))
    return layers


def _look_of(run: Run) -> str:
    return "baseline" if run.arm == "baseline" else "changed"


def _voids(made: Sequence[_Made], values: Span, x: alt.X, y: alt.Y) -> alt.Chart:
    rows = [{**m.row, "value": values.clamp(m.value), "void": m.run.void} for m in made if m.run.is_void]
    mark = alt.Chart(table(rows)).mark_point(
        shape="cross", angle=45, stroke=palette.FAINT, fill=palette.FAINT, size=80, opacity=1
    )
    return mark.encode(x=x, y=y, tooltip=["turn:Q", "pair:O", "arm:N", "void:N"])


def _stars(made: Sequence[_Made], values: Span, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    layers: list[alt.Chart] = []
    for look in ARM_LOOKS:
        own = [m for m in made if m.star and not m.run.is_void and _look_of(m.run) == look.arm]
        rows = [_star_row(m, values) for m in own]
        mark = alt.Chart(table(rows)).mark_point(
            shape=palette.STAR, stroke=look.colour, fill=look.fill, size=90, strokeWidth=1.5, opacity=1
        )
        layers.append(mark.encode(x=x, y=y))
        layers.append(_star_words(rows, x, y))
        past = [row for row in rows if row["side"]]
        if past:
            arrow = alt.Chart(table(past)).mark_point(
                shape="triangle-up", yOffset=-13, size=60, color=palette.INK, fill=palette.INK, opacity=1
            )
            layers.append(arrow.encode(x=x, y=y, angle=alt.Angle("turned:Q", scale=None)))
    return layers


def _star_row(m: _Made, values: Span) -> dict[str, object]:
    side = values.side(m.value)
    number = f"{figures(m.value)}; " if side else ""
    return {**m.row, "value": values.clamp(m.value), "real": m.value, "side": side, "turned": 180 if side < 0 else 0, "words": number + m.star}


def _star_words(rows: Sequence[dict[str, object]], x: alt.X, y: alt.Y) -> alt.Chart:
    return alt.Chart(table(rows)).mark_text(align="left", dx=10, baseline="middle").encode(x=x, y=y, text="words:N")


def _condition_strips(
    runs: Sequence[Run], turns: Span, sessions: Sequence[Session], width: int
) -> list[alt.LayerChart]:
    strips = []
    for field, title in STRIPS:
        rows = [
            {"turn": run.turn, "value": getattr(run, field)}
            for run in runs
            if run.turn is not None and getattr(run, field) is not None
        ]
        if rows:
            strips.append(_strip(sorted(rows, key=lambda row: row["turn"] or 0), title, turns, sessions, width))
    return strips


def _strip(
    rows: Sequence[dict[str, object]], title: str, turns: Span, sessions: Sequence[Session], width: int
) -> alt.LayerChart:
    x = _turn_axis(turns, None)
    span = span_around([float(str(row["value"])) for row in rows], 0.2)
    axis = alt.Axis(tickCount=2, grid=False, titleAngle=0, titleAlign="left", titleX=-26, titleY=-8, minExtent=26)
    y = alt.Y("value:Q", title=title, scale=alt.Scale(domain=span.ends, nice=False, zero=False), axis=axis)
    line = alt.Chart(table(rows)).mark_line(
        color=palette.QUIET, strokeWidth=1.5, point={"color": palette.QUIET, "size": 16}
    )
    return alt.layer(*session_rules(sessions, x, width, labelled=False), line.encode(x=x, y=y)).properties(
        width=width, height=STRIP_PX
    )


def _meaning(verdict: Verdict, made: Sequence[_Made], pixels: int) -> list[str]:
    texts = [tally_words(verdict.pairs)]
    if any(m.run.is_void for m in made):
        texts.append("Grey crosses are void runs.")
    if len(verdict.differences) >= FEWEST_FOR_A_LINE:
        texts.append("The thin line goes through the middle of each pair.")
    return wrap(" ".join(texts), pixels)
