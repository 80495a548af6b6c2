"""Sessions along the order of the runs: where one ends and the next begins."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import altair as alt

from schemas import Run
from trials.charts import palette
from trials.charts.marks import table
from trials.charts.text import shorten

FEWEST_LETTERS = 11  # a name cut shorter than this says nothing


@dataclass(frozen=True, slots=True)
class Session:
    """A stretch of turns within one session.

    Attributes
    ----------
    name
        As written on the sheet.
    first, last
        Its turns.
    """

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
    rules = alt.Chart(table(between)).mark_rule(color=palette.FAINT, strokeDash=[5, 4]).encode(x=x)
    if not labelled or not sessions:
        return [rules]
    turns = sessions[-1].last - sessions[0].first + 1.2
    names = []
    for session in sessions:
        words = shorten(session.name, (session.last - session.first + 1) * width / turns)
        if words == session.name or len(words) > FEWEST_LETTERS:
            names.append({"turn": session.first - 0.4, "session": words})
    label = alt.Chart(table(names)).mark_text(align="left", baseline="bottom", color=palette.QUIET)
    return [rules, label.encode(x=x, y=alt.value(-4), text=alt.Text("session:N"))]
