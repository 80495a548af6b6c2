"""Water and its temperature along the order of the runs."""

from collections.abc import Sequence

import altair as alt

from schemas import Run
from trials.charts import palette
from trials.charts.marks import layered, table
from trials.charts.sessions import Session, session_rules
from trials.charts.spans import Span, span_around

STRIP_PX = 44
STRIPS = (("water_l_min", "water, L/min"), ("temp_c", "water, deg C"))


def turn_axis(turns: Span, title: str | None) -> alt.X:
    """The axis of turns; without a title it carries no labels either."""
    axis = alt.Axis(grid=False, tickMinStep=1, format="d", labels=title is not None, ticks=title is not None)
    return alt.X("turn:Q", title=title, scale=alt.Scale(domain=turns.ends, nice=False), axis=axis)


def condition_strips(runs: Sequence[Run], turns: Span, sessions: Sequence[Session], width: int) -> list[alt.LayerChart]:
    """Did water or its temperature drift? One thin strip each, where it was recorded.

    Parameters
    ----------
    runs
        With turns.
    turns
        The stretch of turns that the chart above shows.
    sessions
        To rule off.
    width
        Pixels there are.
    """
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
        values=ends, format=".3~g", grid=False, titleAngle=0, titleAlign="left", titleX=-26, titleY=-8, minExtent=26
    )
    y = alt.Y("value:Q", title=title, scale=alt.Scale(domain=span.ends, nice=False, zero=False), axis=axis)
    line = alt.Chart(table(rows)).mark_line(
        color=palette.QUIET, strokeWidth=1.5, point={"color": palette.QUIET, "size": 16}
    )
    return layered([*session_rules(sessions, x, width, labelled=False), line.encode(x=x, y=y)], width, STRIP_PX)
