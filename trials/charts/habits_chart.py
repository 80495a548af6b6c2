"""What habits would claim: how often each cries gain although nothing was changed."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import altair as alt

from trials.charts import palette
from trials.charts.fills import FILLS, Area, Fill, filled, stretched
from trials.charts.frame import framed, outer_px, title_of
from trials.charts.marks import Part, layered, rules, texts, unchecked, words_block
from trials.charts.text import text_px, wrap
from trials.wording.numbers import share_words

BAR_PX = 16
LABEL_SHARE = 0.45  # of the width, for the words left of the bars; on a phone they stand above
GAP_PX = 12
FAIR = "a fair trial, as planned here"
HABIT_FILL, FAIR_FILL = FILLS[0], FILLS[1]


@dataclass(frozen=True, slots=True)
class _Row:
    """One habit, or the fair trial, with its place in pixels."""

    habit: str
    words: Sequence[str]
    share: float
    is_fair: bool
    top: float
    bar_top: float
    bottom: float


@unchecked
def habits_chart(
    rows: Sequence[tuple[str, float]], fair: float, times: int, *, narrow: bool = False
) -> alt.VConcatChart:
    """How often would each habit have cried gain with nothing changed?

    `rows` holds 1 or more habits in words, each with the share of its `times` rehearsed trials that called a gain, 0 to
    1; `fair` is the share of the fair trial. There is a bar from 0 for each habit, the worst first, and a hatched one
    for the fair trial at the end; the number is written at each, and a dashed line stands at the fair trial's rate.
    Raises ValueError for no habit, a share outside 0 to 1, or times under 1.
    """
    _require(rows, fair, times)
    pixels = outer_px(narrow=narrow)
    small_print = (
        f"Each was rehearsed {times:,} times on invented dirt with nothing changed, so that every gain called is a "
        "false alarm."
    )
    panel = _panel(rows, fair, times, pixels, narrow=narrow)
    parts: list[Part] = [panel, words_block(wrap(small_print, pixels), pixels)]
    return framed(parts, title_of(_title(rows, fair), [], narrow=narrow))


def _require(rows: Sequence[tuple[str, float]], fair: float, times: int) -> None:
    if not rows:
        raise ValueError("rows is empty; the chart needs 1 habit or more. Rehearse one first.")
    for words, share in (*rows, ("the fair trial", fair)):
        if not 0 <= share <= 1:
            raise ValueError(f"{words}: the share is {share}; it must be from 0 to 1. Write 5 % as 0.05.")
    if times < 1:
        raise ValueError(f"times is {times}; it must be 1 or more. Give how often each habit was rehearsed.")


def _title(rows: Sequence[tuple[str, float]], fair: float) -> str:
    worst = max(share for _, share in rows)
    if worst <= fair:
        none = "this habit would cry gain no more" if len(rows) == 1 else "none of these habits would cry gain more"
        return f"With nothing changed, {none} often than a fair trial: {share_words(fair)} of trials."
    those = "this habit" if len(rows) == 1 else "the worst of these habits"
    return (
        f"With nothing changed, {those} would cry gain in {share_words(worst)} of trials, a fair trial in "
        f"{share_words(fair)}."
    )


def _panel(
    habits: Sequence[tuple[str, float]], fair: float, times: int, pixels: int, *, narrow: bool
) -> alt.LayerChart:
    left = 0.0 if narrow else LABEL_SHARE * pixels
    told = sorted(habits, key=lambda row: -row[1])
    rows = list(_placed([*told, (FAIR, fair)], pixels if narrow else left - GAP_PX, narrow=narrow))
    longest = max(text_px(_number(row.share, times)) for row in rows)
    scale = (pixels - left - longest - GAP_PX) / (max(row.share for row in rows) or 1.0)
    areas = [
        Area(left, row.bar_top, left + scale * row.share, row.bar_top + BAR_PX, _fill(row), _told(row))
        for row in rows
        if row.share > 0
    ]
    words = [
        {"x": 0.0, "y": row.top + palette.LINE_PX * (i + 0.5), "words": line}
        for row in rows
        for i, line in enumerate(row.words)
    ]
    ends = [left + scale * max(row.share, fair) + 8 for row in rows]
    numbers = [
        {"x": end, "y": row.bar_top + BAR_PX / 2, "words": _number(row.share, times)}
        for row, end in zip(rows, ends, strict=True)
    ]
    layers = [*filled(areas), *_fair_line(rows, left + scale * fair, narrow=narrow), texts(words)]
    return layered([*layers, texts(numbers, bold=True)], pixels, rows[-1].bottom + 4)


def _placed(rows: Sequence[tuple[str, float]], room: float, *, narrow: bool) -> Iterator[_Row]:
    """Where each row stands: words above their bar on a phone, else left of it."""
    top = 0.0
    for i, (words, share) in enumerate(rows):
        lines = wrap(words, room)
        height = palette.LINE_PX * len(lines)
        bar_top = top + height + 4 if narrow else top + max(0.0, (height - BAR_PX) / 2) + 4
        bottom = bar_top + BAR_PX + 4 if narrow else max(bar_top + BAR_PX + 4, top + height + 8)
        yield _Row(words, lines, share, i == len(rows) - 1, top if narrow else top + 4, bar_top, bottom)
        top = bottom + (8 if narrow else 0)


def _number(share: float, times: int) -> str:
    return share_words(share) if share > 0 else f"none of {times:,}"


def _fill(row: _Row) -> Fill:
    return FAIR_FILL if row.is_fair else HABIT_FILL


def _told(row: _Row) -> dict[str, object]:
    return {"habit": row.habit, "share": row.share}


def _fair_line(rows: Sequence[_Row], at: float, *, narrow: bool) -> list[alt.Chart]:
    """A dashed line at the fair trial's rate, on a white one so that it is seen on a bar; it leaves words alone."""
    ends = [
        {"x": at, "x2": at, "y": row.bar_top - 3 if narrow else row.top - 4, "y2": row.bottom}
        for row in rows
        if not row.is_fair
    ]
    return [stretched(rules(ends, palette.PAPER, 3)), stretched(rules(ends, px=1.6, dash=[4, 3]))]
