"""One row a pair: the unchanged run, joined by a line to the changed one."""

from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt

from schemas import PairResult, Run, Verdict
from trials.charts import palette
from trials.charts.frame import pale_word
from trials.charts.layout import Layout, every_nth, row_px
from trials.charts.marks import READ, KeyItem, caption, key, layered, rules, scaled, shapes, tips, x_at
from trials.charts.nuggets import Nugget, nugget_words, nuggets_in
from trials.charts.spans import span_around
from trials.charts.text import shorten

STAR_PX = 15


@dataclass(frozen=True, slots=True)
class ArmLook:
    """How the runs of one arm are drawn; a diamond on a circle of its own value leaves the ring to be seen."""

    arm: str
    shape: str
    colour: str
    fill: str
    size: float


ARM_LOOKS = (
    ArmLook("baseline", palette.CIRCLE, palette.BASELINE, palette.PAPER, 95.0),
    ArmLook("changed", palette.DIAMOND, palette.CHANGED, palette.CHANGED, 50.0),
)


def shown_pairs(verdict: Verdict) -> list[PairResult]:
    """Which pairs get a row? All but spares that nothing calls for.

    A spare not run is a row only while the trial is unfinished and a void pair waits to be replaced.
    """
    wants_spares = verdict.code == "incomplete" and verdict.pairs.void > 0
    return [
        pair
        for pair in verdict.pair_results
        if pair.status != "open" or pair.pair <= verdict.pairs.planned or wants_spares
    ]


def has_values(pairs: Sequence[PairResult]) -> bool:
    """Whether any run of these pairs has its value told."""
    return any(pair.baseline is not None or pair.changed is not None or pair.values for pair in pairs)


def has_notes(verdict: Verdict, runs: Sequence[Run] = ()) -> bool:
    """Whether any row carries words or a star."""
    pairs = shown_pairs(verdict)
    return bool(nuggets_in(runs)) or not has_values(pairs) or any(p.status != "counted" or p.note for p in pairs)


def arm_key(verdict: Verdict, layout: Layout, *, with_star: bool = False) -> alt.LayerChart:
    """What do circle and diamond stand for, in the words of the change?"""
    if len(verdict.arms) == 1:
        words = ["one run"]
    elif len(verdict.arms) > len(ARM_LOOKS):
        words = [f"baseline: {verdict.arms[0]}", "any other level"]
    else:
        words = [
            verdict.arms[i] if verdict.arms[i] == role else f"{role}: {verdict.arms[i]}"
            for i, role in enumerate(("baseline", "repeat" if verdict.arms[1] == "repeat" else "changed"))
        ]
    width = layout.plot + layout.notes
    items = [
        KeyItem(shorten(text, width / (1.0 if layout.narrow else 2.2)), look.shape, look.colour, look.fill)
        for text, look in zip(words, ARM_LOOKS, strict=False)
    ]
    if with_star:
        items.append(KeyItem("a large piece, by arm", palette.STAR, palette.INK))
    return key(items, width)


def pair_rows(
    verdict: Verdict, layout: Layout, nuggets: Sequence[Nugget] = (), *, simulated: bool = False
) -> alt.LayerChart:
    """What did each pair's two runs come to? Rows `pair` against the measure with its unit.

    Void pairs are grey with a dashed line; a large piece is a star beside its row, and the axis stays on the measure.
    Where no value is told yet, the rows carry words only and there is no axis. Simulated runs have the word behind
    them.
    """
    pairs = shown_pairs(verdict)
    height = row_px(len(pairs))
    values = [v for pair in pairs for v in (pair.baseline, pair.changed) if v is not None]
    ticks = alt.Axis(tickCount=5, grid=True) if values else None
    x = alt.X("baseline:Q", title=verdict.measure_words, scale=scaled(span_around(values)), axis=ticks)
    y = _pair_axis(pairs, height)
    notes = _notes(pairs, nuggets, layout, height, told=bool(values))
    layers = [*_links(pairs, x, y), *_dots(pairs, x, y), *_note_layers(notes, layout, y, told=bool(values))]
    high = round(height * len(pairs), 1)
    return layered([pale_word(layout.plot, high), *layers] if simulated else layers, layout.plot, high)


def _pair_axis(pairs: Sequence[PairResult], height: float) -> alt.Y:
    numbers = [pair.pair for pair in pairs]
    nth = every_nth(height)
    labelled = [n for i, n in enumerate(numbers) if (i % nth == 0 if nth <= 2 else n % nth == 0 or i == 0)]
    return alt.Y(
        "pair:O",
        sort=None,
        title=None,
        scale=alt.Scale(domain=numbers),
        axis=alt.Axis(
            values=labelled, labelExpr="'pair ' + datum.value", ticks=False, domain=False, minExtent=palette.LABELS_PX
        ),
    )


def _links(pairs: Sequence[PairResult], x: alt.X, y: alt.Y) -> list[alt.Chart]:
    both = [pair for pair in pairs if pair.baseline is not None and pair.changed is not None]
    lines = []
    for is_void in (False, True):
        rows = [_row(pair) for pair in both if (pair.status == "void") == is_void]
        mark = rules(rows, palette.FAINT, 1.5, [3, 3] if is_void else [1, 0])
        lines.append(mark.encode(x=x, x2=alt.X2("changed:Q"), y=y))
    return lines


def _row(pair: PairResult) -> dict[str, object]:
    return pair.model_dump(include={"pair", "status", "baseline", "changed", "difference", "first", "session"})


def _dots(pairs: Sequence[PairResult], x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """Hollow circles and filled diamonds; the void ones grey and hollow."""
    layers = []
    told = tips("pair:O", "baseline:Q", "changed:Q", "first:N", "session:N", "status:N", count=READ)
    for look in ARM_LOOKS:
        for is_void in (False, True):
            rows = [
                _row(pair)
                for pair in pairs
                if (pair.status == "void") == is_void and getattr(pair, look.arm) is not None
            ]
            place = x.copy()
            place.shorthand = f"{look.arm}:Q"
            edge, fill = (palette.FAINT, palette.PAPER) if is_void else (look.colour, look.fill)
            size = min(look.size, look.size / 8.0 * row_px(len(pairs)))
            mark = shapes(rows, look.shape, edge, fill, size, 1.8)
            layers.append(mark.encode(x=place, y=y, tooltip=told))
    return layers


@dataclass(frozen=True, slots=True)
class _Note:
    pair: int
    words: str
    stars: tuple[str, ...] = ()


def _notes(
    pairs: Sequence[PairResult], nuggets: Sequence[Nugget], layout: Layout, height: float, *, told: bool
) -> list[_Note]:
    """Words beside rows that need them; where rows are too thin for all, the later ones give way."""
    notes: list[_Note] = []
    room = layout.notes if told else layout.notes + layout.plot
    last_y = -palette.LINE_PX * 1.0
    for index, pair in enumerate(pairs):
        own = [nugget for nugget in nuggets if nugget.pair == pair.pair and told]
        status = _status_words(pair, told=told, brief=layout.narrow and told)
        weight = nugget_words(own, brief=layout.narrow or bool(status))
        words = shorten("; ".join(text for text in (weight, status) if text), room + 16 - STAR_PX * len(own))
        y = index * height
        if words and (own or y - last_y >= palette.TEXT_PX):
            notes.append(_Note(pair.pair, words, tuple(nugget.arm for nugget in own)))
            last_y = y
    return notes


def _status_words(pair: PairResult, *, told: bool, brief: bool) -> str:
    match pair.status:
        case "void":
            return f"void: {pair.note}" if pair.note and not brief else "void"
        case "empty":
            return "none found"
        case "open" if pair.baseline is None and pair.changed is None:
            return "not yet run"
        case "open":
            return "one run only" if None in (pair.baseline, pair.changed) else ""
        case _ if not told:
            return "run; shown when all planned pairs are in"
        case _:
            return "" if brief else pair.note


def _note_layers(notes: Sequence[_Note], layout: Layout, y: alt.Y, *, told: bool) -> list[alt.Chart]:
    left = layout.plot + 10 if told else 4
    layers = []
    for place in range(3):
        rows = [{"pair": note.pair, "note": note.words} for note in notes if len(note.stars) == place]
        mark = caption(rows, "note", color=palette.QUIET)
        layers.append(mark.encode(x=x_at(left + STAR_PX * place), y=y))
    for look in ARM_LOOKS:
        for place in range(2):
            rows = [
                {"pair": n.pair}
                for n in notes
                if len(n.stars) > place and (n.stars[place] == "baseline") == (look.arm == "baseline")
            ]
            star = shapes(rows, palette.STAR, look.colour, look.fill, 55, 1.2)
            layers.append(star.encode(x=x_at(left + 4 + STAR_PX * place), y=y))
    return layers
