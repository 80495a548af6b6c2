"""Along the order of the runs: where one session ends and the next begins, and water and its temperature."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import altair as alt

from schemas import Run
from trials.charts import palette
from trials.charts.marks import caption, layered, number_format, rules, scaled, table, y_at
from trials.charts.spans import Span, span_around
from trials.charts.text import shorten

FEWEST_LETTERS = 11  # a name cut shorter than this says nothing
STRIP_PX = 44
STRIPS = (("water_l_min", "water, L/min"), ("temp_c", "water, deg C"))


@dataclass(frozen=True, slots=True)
class Session:
    """A stretch of turns within one session, named as on the sheet."""

    name: str
    first: int
    last: int


def sessions_of(runs: Sequence[Run]) -> list[Session]:
    """Which stretches of turns belong to one session each?

    >>> runs = [Run(pair=1, arm="baseline", turn=t, session=s) for t, s in ((1, "am"), (2, "am"), (3, "pm"))]
    >>> [(s.name, s.first, s.last) for s in sessions_of(runs)]
    [('am', 1, 2), ('pm', 3, 3)]
    """
    found: list[Session] = []
    for run in sorted((r for r in runs if r.turn is not None and r.session), key=lambda r: r.turn or 0):
        turn, name = run.turn or 0, run.session or ""
        if found and found[-1].name == name:
            found[-1] = Session(name, found[-1].first, turn)
        else:
            found.append(Session(name, turn, turn))
    return found


def session_rules(sessions: Sequence[Session], x: alt.X, width: int, *, labelled: bool) -> list[alt.Chart]:
    """A rule between sessions, and their names above where asked for."""
    between = [{"turn": (before.last + after.first) / 2} for before, after in pairwise(sessions)]
    between_them = rules(between, palette.FAINT, dash=[5, 4]).encode(x=x)
    if not labelled or not sessions:
        return [between_them]
    turns = sessions[-1].last - sessions[0].first + 1.2
    names = []
    for session in sessions:
        words = shorten(session.name, (session.last - session.first + 1) * width / turns)
        if words == session.name or len(words) > FEWEST_LETTERS:
            names.append({"turn": session.first - 0.4, "session": words})
    label = caption(names, "session", baseline="bottom", color=palette.QUIET)
    return [between_them, label.encode(x=x, y=y_at(-4))]


def turn_axis(turns: Span, title: str | None) -> alt.X:
    """The axis of turns; without a title it carries no labels either."""
    axis = alt.Axis(grid=False, tickMinStep=1, format="d", labels=title is not None, ticks=title is not None)
    return alt.X("turn:Q", title=title, scale=scaled(turns), axis=axis)


def condition_strips(runs: Sequence[Run], turns: Span, sessions: Sequence[Session], width: int) -> list[alt.LayerChart]:
    """Did water or its temperature drift? A thin strip each, where recorded, over the turns that the chart shows."""
    strips = []
    for field, title in STRIPS:
        rows = [
            {"turn": run.turn, "value": getattr(run, field)}
            for run in sorted(runs, key=lambda run: run.turn or 0)
            if run.turn is not None and getattr(run, field) is not None
        ]
        if rows:
            strips.append(_strip(rows, title, turns, sessions, width))
    return strips


def _strip(
    rows: Sequence[dict[str, object]], title: str, turns: Span, sessions: Sequence[Session], width: int
) -> alt.LayerChart:
    x = turn_axis(turns, None)
    values = sorted({float(str(row["value"])) for row in rows})
    span = span_around(values, 0.2)
    ends = [values[0], values[-1]]
    axis = alt.Axis(
        values=ends,
        format=number_format(),
        grid=False,
        titleAngle=0,
        titleAlign="left",
        titleX=-26,
        titleY=-8,
        minExtent=26,
    )
    y = alt.Y("value:Q", title=title, scale=alt.Scale(domain=span.ends, nice=False, zero=False), axis=axis)
    line = alt.Chart(table(rows)).mark_line(
        color=palette.QUIET, strokeWidth=1.5, point={"color": palette.QUIET, "size": 16}
    )
    return layered([*session_rules(sessions, x, width, labelled=False), line.encode(x=x, y=y)], width, STRIP_PX)
