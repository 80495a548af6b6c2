"""What a plan would bring: of a hundred such trials, how many end which way."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import altair as alt

from trials.charts import palette
from trials.charts.frame import framed, outer_px, title_of
from trials.charts.marks import Datum, Part, layered, pixel_x, pixel_y, shapes, texts, unchecked, words_block
from trials.charts.text import text_px, wrap
from trials.measures.catalogue import measure_named
from trials.rehearsal.judged import Ending
from trials.rehearsal.level_rehearsal import LevelsRehearsal
from trials.rehearsal.rehearsal import Rehearsal
from trials.wording.lists import count_of
from trials.wording.numbers import plain, share_words

MARKS = 100
MARKS_HIGH = 5
STEP_PX = 15.0
LIST_LEFT_PX = 330  # where the list of endings begins beside the marks; on a phone it stands below
NUMBER_LEFT_PX = 22
TOO_FEW, BLOCKED = "too few pairs with gold in them", "stopped by a fair-run check"


@dataclass(frozen=True, slots=True)
class _Look:
    """How an ending is drawn, and what it is called with nothing changed and with a true change."""

    ending: Ending
    shape: str
    colour: str
    fill: str
    size: float
    nothing: str
    change: str


def _look_of(ending: Ending, nothing: str, change: str) -> _Look:
    look = palette.outcome_look(ending)
    size = 70.0 if look.shape == palette.OPEN_BAR else 62.0
    return _Look(ending, look.shape, look.colour, look.fill, size, nothing, change)


LOOKS: Final = (
    _look_of("better", "better: a false alarm", "better: found"),
    _look_of("worse", "worse: a false alarm", "worse: the wrong way round"),
    _look_of("no_difference", "no difference worth having: right", "no difference worth having: missed"),
    _look_of("not_settled", "not settled", "not settled"),
    _Look("too_few", "square", palette.FAINT, palette.PAPER, 50.0, TOO_FEW, TOO_FEW),
    _Look("blocked", palette.DIAGONAL_CROSS, palette.INK, palette.PAPER, 50.0, BLOCKED, BLOCKED),
)


@unchecked
def rehearsal_chart(nothing: Rehearsal, at_line: Rehearsal | None, *, narrow: bool = False) -> alt.VConcatChart:
    """How often would the plan say what, with nothing changed and with a change as large as the line?

    With nothing changed every better and worse is a false alarm. `at_line`, of the same plan, is None where it was
    not rehearsed; of a graded plan the change is its last level alone. There are a hundred marks for each, in the
    shapes of the outcomes, shared out as the trials ended; beside them every ending with its own number; one too rare
    for a mark has its number alone. Raises ValueError where the two are not of one measure and one number of pairs.
    """
    if at_line is not None:
        _require_one_plan(nothing, at_line)
    pixels = outer_px(narrow=narrow)
    parts: list[Part] = [_panel(nothing, "Nothing changed", pixels, is_true=False, narrow=narrow)]
    if at_line is not None:
        parts.append(_panel(at_line, _change_words(at_line), pixels, is_true=True, narrow=narrow))
    parts.append(words_block(wrap(_small_print(nothing, at_line), pixels), pixels))
    return framed(parts, title_of(_title(nothing, at_line), [], narrow=narrow), spacing=18)


def _require_one_plan(nothing: Rehearsal, at_line: Rehearsal) -> None:
    for name, one, other in (
        ("pairs", nothing.pairs, at_line.pairs),
        ("measure", nothing.scenario.measure, at_line.scenario.measure),
    ):
        if one != other:
            raise ValueError(f"{name} is {one} with nothing changed and {other} with a change; rehearse one plan.")


def _change_words(at_line: Rehearsal) -> str:
    if at_line.scenario.line is None:
        return "A true change"
    measure = measure_named(at_line.scenario.measure)
    if isinstance(at_line, LevelsRehearsal):
        line = measure.line_text(measure.shown(at_line.scenario.line))
        return f"{at_line.scenario.levels[-1]} alone gaining as much as your {line} line"
    return f"A true change as large as your {measure.line_text(measure.shown(at_line.scenario.line))} line"


def false_alarms(nothing: Rehearsal) -> float:
    """Share of the trials that call a gain or a loss with nothing changed, 0 to 1."""
    return nothing.share("better") + nothing.share("worse")


def _title(nothing: Rehearsal, at_line: Rehearsal | None) -> str:
    alarms = f"With nothing changed, {share_words(false_alarms(nothing))} of such trials would cry gain or loss"
    if at_line is None:
        return f"{alarms}: false alarms."
    change = _change_words(at_line)
    return f"{alarms}; {change[0].lower()}{change[1:]} would be found in {share_words(at_line.found)}."


def _small_print(nothing: Rehearsal, at_line: Rehearsal | None) -> str:
    told = [nothing] if at_line is None else [nothing, at_line]
    luck = 100.0 * max(_luck(each, each.share(look.ending)) for each in told for look in LOOKS)
    rehearsed = "Rehearsed" if at_line is None else "Each rehearsed"
    look_after = nothing.scenario.look_after
    look = ""
    if look_after is not None:
        stops = " and ".join(share_words(each.stopped_at_look) for each in told)
        look = f" After the early look at {look_after} pairs {stops} stop."
    blocks = count_of(nothing.pairs, "block" if isinstance(nothing, LevelsRehearsal) else "pair")
    return (
        f"Each mark is 1 trial in {MARKS}. {rehearsed} {nothing.times:,} times on invented dirt, "
        f"{blocks} each, seed {nothing.seed}: a share may be "
        f"{plain(max(luck, 0.1), 1)} points off by the luck of the rehearsal.{look}"
    )


def _luck(rehearsal: Rehearsal, share: float) -> float:
    """How far 19 rehearsals in 20 keep to the true share: 2 standard errors, for none or all the rule of three."""
    return 2.0 * rehearsal.standard_error(share) if 0 < share < 1 else 3.0 / rehearsal.times


def _panel(rehearsal: Rehearsal, heading: str, pixels: int, *, is_true: bool, narrow: bool) -> alt.LayerChart:
    alarms = "" if is_true else f": {share_words(false_alarms(rehearsal))} false alarms"
    lines = wrap(heading + alarms, pixels, bold=True)
    top = palette.LINE_PX * len(lines) + 4
    marks = _marks(rehearsal, top)
    left, list_top = (0.0, top + STEP_PX * MARKS_HIGH + 4) if narrow else (float(LIST_LEFT_PX), top - 2)
    told = [look for look in LOOKS if _is_listed(look.ending, rehearsal)]
    listed: list[dict[str, object]] = [
        {
            "ending": look.ending,
            "share": rehearsal.share(look.ending),
            "x": left + 8,
            "y": list_top + palette.LINE_PX * (i + 0.5),
        }
        for i, look in enumerate(told)
    ]
    shares = [share_words(rehearsal.share(look.ending)) for look in told]
    numbers = [
        {"x": left + NUMBER_LEFT_PX, "y": row["y"], "words": words} for words, row in zip(shares, listed, strict=True)
    ]
    names_left = left + NUMBER_LEFT_PX + max(text_px(words, bold=True) for words in shares) + 10
    is_graded = isinstance(rehearsal, LevelsRehearsal)
    names = [
        {"x": names_left, "y": row["y"], "words": _words_of(look, is_true=is_true, is_graded=is_graded)}
        for look, row in zip(told, listed, strict=True)
    ]
    symbols = [_points(look, [row for row in [*marks, *listed] if row["ending"] == look.ending]) for look in told]
    title = [{"x": 0.0, "y": palette.LINE_PX * (i + 0.5), "words": line} for i, line in enumerate(lines)]
    height = max(top + STEP_PX * MARKS_HIGH, list_top + palette.LINE_PX * len(told))
    return layered([texts([*title, *numbers], bold=True), *symbols, texts(names)], pixels, height)


def _words_of(look: _Look, *, is_true: bool, is_graded: bool) -> str:
    """What an ending is called; of a graded trial that is better it may be another level that is."""
    if is_true and is_graded and look.ending == "better":
        return "better: that level, or another"
    return look.change if is_true else look.nothing


def _is_listed(ending: Ending, rehearsal: Rehearsal) -> bool:
    """The outcomes that the rule can give are always told, the rest where they came up."""
    can_be = ending in ("better", "worse", "not_settled")
    return can_be or rehearsal.counts[ending] > 0 or (ending == "no_difference" and rehearsal.scenario.line is not None)


def _points(look: _Look, rows: Sequence[Datum]) -> alt.Chart:
    return shapes(rows, look.shape, look.colour, look.fill, look.size, 1.4).encode(
        x=pixel_x(), y=pixel_y(), tooltip=[alt.Tooltip("ending:N"), alt.Tooltip("share:Q", format=".3~%")]
    )


def _marks(rehearsal: Rehearsal, top: float) -> list[dict[str, object]]:
    """A hundred marks, column by column, each ending's together."""
    shares = [rehearsal.share(look.ending) for look in LOOKS]
    endings = [
        (look.ending, share)
        for look, share, count in zip(LOOKS, shares, shared_out(shares), strict=True)
        for _ in range(count)
    ]
    return [
        {
            "ending": ending,
            "share": share,
            "x": STEP_PX * (i // MARKS_HIGH + 0.5),
            "y": top + STEP_PX * (i % MARKS_HIGH + 0.5),
        }
        for i, (ending, share) in enumerate(endings)
    ]


def shared_out(shares: Sequence[float]) -> list[int]:
    """How many of a hundred marks does each share get, so that all are given out?

    Whole ones first, then one each to those with the largest rest, the first of equal ones; the method of largest
    remainders, common practice.

    >>> shared_out([0.024, 0.025, 0.401, 0.55])
    [2, 3, 40, 55]
    """
    exact = [MARKS * share for share in shares]
    whole = [int(value + 1e-9) for value in exact]
    by_rest = sorted(range(len(exact)), key=lambda i: (round(whole[i] - exact[i], 9), i))
    for i in by_rest[: MARKS - sum(whole)]:
        whole[i] += 1
    return whole
