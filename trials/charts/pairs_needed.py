"""How many pairs: the smallest gain that so many pairs usually find."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import altair as alt
import numpy as np

from schemas import MeasureName
from trials.charts import marks, palette
from trials.charts.findable import PAIR, Findable, findable_of
from trials.charts.frame import framed, outer_px, title_of
from trials.charts.spans import Span
from trials.charts.text import text_px, wrap, wrap_evenly
from trials.measures.catalogue import measure_named
from trials.measures.scales import MOST_POINTS
from trials.plans.power import FEWEST_PLANNED, MOST_PLANNED
from trials.statistics.blocks_needed import MOST_BLOCKS
from trials.wording.lists import count_of

HEIGHT_PX = 250
GAP_PX = 10
LEAST_LABEL_PX = 150  # words beside a square are not broken into shorter lines
MOST_DOTS = 30
ARROW_PX = 7  # how far above the plot an arrow stands
HALO_PX = 5
NO_ANSWER = f"How many {{}} can't be reckoned; {FEWEST_PLANNED} are the fewest that a verdict takes."
NO_SCATTER = (
    "Nothing in this plan can be seen to scatter. Pairs always do: give their scatter, or run a nothing-changed check."
)
USUALLY = "Usually: 4 times in 5, with the 95 % interval of the verdict leaving 0 out."
USUALLY_IN_BLOCKS = "Usually: one level that gains so much is called better 4 times in 5, by limits joint for {}."


@marks.unchecked
def pairs_needed_chart(  # noqa: PLR0913 - all that makes the curve, each named by the caller
    *,
    sd: float,
    measure: MeasureName,
    line: float | None,
    pairs: int,
    scatter: str | None = None,
    sd_at_line: float | None = None,
    arms: int = 2,
    narrow: bool = False,
) -> alt.VConcatChart:
    """How many pairs does the trial need?

    The smallest gain that is found 4 times in 5 (two-sided 5 %) against the number of pairs, in points or %; a filled
    square at the planned number, 3 or more, a hollow one where the curve first meets the line. Where the curve leaves
    the axis an arrow stands above 3 pairs with their number. `sd`, of pair differences with nothing changed, and the
    worth-having `line` are on the measure's scale (points, or natural log of a ratio); `scatter` says in words how
    large that SD is and where it is known from, without which it is called assumed; `sd_at_line` is the SD with a
    change at the line, by which the curve goes, where that is known to be another. With more than 2 `arms` it is blocks
    of a graded trial that are drawn, and what they find of one level. With an SD of 0, where nothing can
    be seen to scatter, the chart only says so. Raises ValueError for an SD under 0, a line not over 0, either not
    finite, or fewer than 3 pairs.

    A power curve turned to read the effect (Cohen, "Statistical Power Analysis for the Behavioral Sciences", 1988,
    section 2.4).
    """
    _require(sd, line, pairs)
    what = "pairs" if arms == PAIR else "blocks"
    pixels = outer_px(narrow=narrow)
    if sd == 0:
        title = title_of(NO_ANSWER.format(what), [], narrow=narrow)
        return framed([marks.words_block(wrap(NO_SCATTER, pixels), pixels)], title)
    plan = findable_of(sd_at_line or sd, measure_named(measure), line, pairs, arms)
    width = pixels - palette.LABELS_PX - 14
    assumed = f"Assumed: with nothing changed, pairs differ by {plan.measure.spread_text(sd)} (SD)"
    known = assumed if scatter is None else f"Scatter of pairs with nothing changed (SD): {scatter}"
    usually = USUALLY if arms == PAIR else USUALLY_IN_BLOCKS.format(count_of(arms - 1, "level"))
    small_print = f"{usually} Twice the scatter would want about four times the {what}."
    parts: list[marks.Part] = [
        *_key(plan, width),
        _panel(plan, width),
        marks.words_block(wrap(small_print, pixels), pixels - palette.LABELS_PX, left=-palette.LABELS_PX),
    ]
    return framed(parts, title_of(_title(plan), [f"{known}{_with_gain(plan, sd)}."], narrow=narrow))


def _with_gain(plan: Findable, sd: float) -> str:
    """The SD with the line's gain on, where it reads as another."""
    unchanged, changed = plan.measure.spread_text(sd), plan.measure.spread_text(plan.sd)
    return "" if unchanged == changed else f", with such a gain by {changed}"


def _require(sd: float, line: float | None, pairs: int) -> None:
    if not (np.isfinite(sd) and sd >= 0):
        raise ValueError(f"sd is {sd}; it must be 0 or more and finite. Give it on the measure's scale.")
    if line is not None and not (np.isfinite(line) and line > 0):
        raise ValueError(f"line is {line}; it must be over 0 and finite. Give it on the measure's scale.")
    if pairs < FEWEST_PLANNED:
        raise ValueError(f"pairs is {pairs}; a verdict needs {FEWEST_PLANNED} or more. Plan {FEWEST_PLANNED}.")


def _title(plan: Findable) -> str:
    found, planned = plan.found(plan.pairs), count_of(plan.pairs, plan.what)
    if not plan.measure.is_ratio and found > MOST_POINTS:
        return f"{planned} would usually miss even a gain of 100 points: {plan.what}s scatter too much."
    gain = plan.measure.gain_text(found) if plan.measure.is_ratio else f"a gain of {plan.measure.size_text(found)}"
    finds = f"can usually find {gain}"
    if plan.line is None:
        return f"{planned} {finds}."
    words = plan.line_words
    if plan.needed is None:
        most = "a million" if plan.arms == PAIR else f"{MOST_BLOCKS:,}"
        return f"{planned} {finds}; {most} would not do for {words}."
    if plan.needed > plan.pairs:
        past = f", and a plan holds {MOST_PLANNED}" if plan.needed > MOST_PLANNED else ""
        return f"{planned} {finds}; {words} wants {count_of(plan.needed, plan.what)}{past}."
    would_do = f"; {plan.needed} would do" if plan.needed < plan.pairs else ""
    return f"{planned} are enough for {words}: they {finds}{would_do}."


def _key(plan: Findable, width: int) -> list[alt.LayerChart]:
    if plan.line is None:
        return []
    reach = "" if (plan.line_shown or 0.0) <= plan.top else ": all of it"
    words = f"under {plan.line_words}{reach}"
    return [marks.key([marks.KeyItem.of_line(words)], width)]


def _panel(plan: Findable, width: int) -> alt.LayerChart:
    across = Span(FEWEST_PLANNED - 0.02 * plan.last, 1.015 * plan.last)
    ticks = alt.Axis(grid=False, tickMinStep=1, format="d", values=_ticks(plan))
    x = alt.X("pairs:Q", title=f"{plan.what}s", scale=marks.scaled(across), axis=ticks)
    y = alt.Y(
        "gain:Q",
        title=f"smallest gain usually found, {plan.measure.gain_axis}",
        scale=alt.Scale(domain=[0, plan.top], nice=False),
        axis=alt.Axis(
            tickCount=5,
            grid=True,
            titleAngle=0,
            titleAlign="left",
            titleX=-palette.LABELS_PX,
            titleY=-22,
            minExtent=palette.LABELS_PX,
        ),
    )
    layers = [*_band(plan, y), _curve(plan, x, y), *_arrow(plan, x, y), *_squares(plan, x, y)]
    return marks.layered([*layers, *_labels(plan, width, across, x, y)], width, HEIGHT_PX)


def _ticks(plan: Findable) -> list[int]:
    """3 pairs, and round numbers."""
    step = 1 if plan.last <= 16 else 5 if plan.last <= MOST_PLANNED else 5 * round(plan.last / 50)
    return [FEWEST_PLANNED, *(k for k in range(2 * step if step == 1 else step, plan.last + 1, step) if k > 3)]


def _band(plan: Findable, y: alt.Y) -> list[alt.Chart]:
    line = plan.line_shown
    if line is None:
        return []
    area = alt.Chart(marks.table([{"gain": 0.0, "to": min(line, plan.top), "line": line}])).mark_rect(
        color=palette.BAND
    )
    edge = marks.rules([{"gain": line}] if line <= plan.top else [], palette.BAND_EDGE, 1.2, [4, 3])
    return [area.encode(y=y, y2=alt.Y2("to:Q")), edge.encode(y=y)]


def _curve(plan: Findable, x: alt.X, y: alt.Y) -> alt.Chart:
    whole = [{"pairs": k, "gain": plan.gain(k)} for k in range(FEWEST_PLANNED, plan.last + 1)]
    drawn: list[dict[str, float]] = [row for row in whole if row["gain"] <= plan.top]
    if len(drawn) < len(whole):
        drawn.insert(0, {"pairs": plan.leaves, "gain": plan.top})
    dots = {"color": palette.INK, "size": 14} if plan.last <= MOST_DOTS else False
    mark: alt.Chart = alt.Chart(marks.table(drawn)).mark_line(color=palette.INK, strokeWidth=2, point=dots)
    return mark.encode(x=x, y=y, tooltip=marks.tips("pairs:O", "gain:Q"))


def _arrow(plan: Findable, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """Where 3 pairs lie past the axis, an arrow above their place on it, with what they come to."""
    if plan.gain(FEWEST_PLANNED) <= plan.top:
        return []
    found = plan.measure.size_text(plan.found(FEWEST_PLANNED))
    row = {"pairs": FEWEST_PLANNED, "gain": plan.top, "words": f"{FEWEST_PLANNED} {plan.what}s: {found}"}
    above = alt.YOffsetValue(-ARROW_PX)  # type: ignore[no-untyped-call]
    head = marks.heads([row], palette.UP, palette.INK, 90)
    is_told = FEWEST_PLANNED in (plan.pairs, plan.needed)
    words = marks.caption([] if is_told else [row], dx=GAP_PX)
    return [mark.encode(x=x, y=y, yOffset=above) for mark in (head, words)]


def _squares(plan: Findable, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """A filled square at the planned pairs, a hollow one where the curve first meets the line; both with a stem."""
    spots = [("planned", plan.pairs, palette.INK, [1, 0])]
    if plan.is_crossed and plan.needed not in (None, plan.pairs):
        spots.append(("needed", plan.needed or 0, palette.PAPER, [4, 3]))
    layers = []
    for role, pairs, fill, dash in spots:
        row = [{"role": role, "pairs": pairs, "gain": min(plan.gain(pairs), plan.top), "foot": 0.0}]
        stem = marks.rules(row, px=1.2, dash=dash)
        square = marks.shapes(row, "square", palette.INK, fill, 85, 1.8)
        layers += [stem.encode(x=x, y=y, y2=alt.Y2("foot:Q")), square.encode(x=x, y=y)]
    return layers


@dataclass(frozen=True, slots=True)
class _Label:
    """Words above the curve: their lower left corner in pixels, from the left end and from the top of the panel."""

    lines: Sequence[str]
    left: float
    bottom: float

    @property
    def top(self) -> float:
        return self.bottom - palette.LINE_PX * len(self.lines)


def _labels(plan: Findable, width: int, across: Span, x: alt.X, y: alt.Y) -> Iterator[alt.Chart]:
    """What the squares stand for, on white that parts words from lines; the left one lifted where both would touch."""
    placed: list[_Label] = []
    for pairs, words in sorted(_told(plan, is_brief=width < outer_px(narrow=True)), reverse=True):
        label = _beside(plan, pairs, words, width, across)
        for other in placed:
            bottom = min(label.bottom, other.top - 2)
            label = _Label(label.lines, label.left, bottom)
        placed.append(label)
    for label in placed:
        row = {
            "pairs": across.low + label.left / width * across.width,
            "gain": plan.top * (1 - (label.top + palette.LINE_PX / 2) / HEIGHT_PX),
        }
        for mark in marks.on_paper([{**row, "words": "\n".join(label.lines)}], HALO_PX, lineBreak="\n"):
            yield mark.encode(x=x, y=y)


def _told(plan: Findable, *, is_brief: bool) -> list[tuple[int, str]]:
    found = plan.measure.size_text(plan.found(plan.pairs))
    finds = found if is_brief else f"{count_of(plan.pairs, plan.what)} find {found}"
    planned = (plan.pairs, f"planned: {finds}")
    if not plan.is_crossed or plan.needed is None or plan.needed == plan.pairs:
        return [planned]
    line = plan.measure.size_text(plan.line or 0.0)
    return [planned, (plan.needed, f"{plan.needed} {plan.what}s{':' if is_brief else ' find'} your {line}")]


def _beside(plan: Findable, pairs: int, words: str, width: int, across: Span) -> _Label:
    """Above the curve, beginning right of its square, or as far left as it must to end inside the panel.

    What lies past the top of the axis is told beside the arrow there.
    """
    leaves = plan.leaves
    at = (max(pairs, leaves) - across.low) / across.width * width
    lines = wrap_evenly(words, max(width - at - GAP_PX, LEAST_LABEL_PX))
    left = min(at + GAP_PX, width - max(text_px(line) for line in lines))
    if pairs < leaves:
        return _Label(lines, left, palette.LINE_PX * (len(lines) - 0.5))
    begins = across.low + left / width * across.width
    height = min(plan.gain(max(min(begins, pairs), leaves)), plan.top) / plan.top * HEIGHT_PX
    return _Label(lines, left, HEIGHT_PX - height - 7)
