"""What stands on the chart of a gain's price: one mark for a change, or one a level, and the words beside it."""

from collections.abc import Sequence
from dataclasses import dataclass

from schemas import Compared, Cost, LevelsAnswer, Verdict
from trials.charts import palette
from trials.charts.costs import limit_words
from trials.charts.reading import ends_of_line, limits_shown, line_named, number_beside, read_answer
from trials.charts.spans import Span, difference_span
from trials.measures.catalogue import measure_named
from trials.measures.measure import Measure
from trials.verdicts.spoken import ratio_texts, times_text
from trials.verdicts.tables import cost_of
from trials.wording.lists import and_list
from trials.wording.numbers import decimals_for


@dataclass(frozen=True, slots=True)
class PricedGain:
    """A gain at its price, in the unit people read: a mark with cross bars.

    name: of a level; blank where there is one change alone. look: its shape and colour.
    """

    gain: float
    limits: tuple[float, ...]
    sand: Cost
    name: str
    look: palette.OutcomeLook
    is_named: bool = False


@dataclass(frozen=True, slots=True)
class PricePlane:
    """All that is drawn of a verdict.

    spots: none where no black sand is known. said: what stands in words beside it.
    decimals: how finely a number beside a mark is written.
    """

    spots: tuple[PricedGain, ...]
    measure: Measure
    differences: tuple[float, ...]
    line_ends: tuple[float, ...]
    line_words: str
    decimals: int
    said: tuple[str, ...]

    @property
    def is_of_levels(self) -> bool:
        """Whether there is a mark for each level."""
        return any(spot.name for spot in self.spots)

    @property
    def limit(self) -> float | None:
        """The most that black sand may be, times the baseline."""
        return self.spots[0].sand.limit

    def gains(self) -> Span:
        """Which stretch of gains is drawn."""
        ends = [end for spot in self.spots for end in spot.limits]
        means = [spot.gain for spot in self.spots]
        return difference_span([*self.differences, *means[1:]], ends, self.line_ends, means[0])

    def number(self, shown: float) -> str:
        """A number beside a mark, with sign and %."""
        return number_beside(self.measure, shown, self.decimals)


def price_of_change(verdict: Verdict, answer: Compared) -> PricePlane:
    """One change, its gain and its sand."""
    reading, sand = read_answer(verdict, answer), _cost_named(verdict.costs, "black sand")
    minutes = _minutes_words(verdict)
    look = palette.OutcomeLook(palette.CHANGED, palette.DIAMOND, filled=True, words="the change")
    spots, said = [], [minutes]
    if sand is not None and sand.ratio is not None:
        spots = [PricedGain(reading.estimate, reading.limits, sand, "", look)]
        said = [f"Gold: {', '.join(reading.said)}.", f"Black sand: {_against_limit(sand)}.", minutes]
    return PricePlane(
        spots=tuple(spots),
        measure=reading.measure,
        differences=reading.differences,
        line_ends=reading.line_ends,
        line_words=reading.line_words,
        decimals=reading.decimals,
        said=tuple(said),
    )


def prices_of_levels(verdict: Verdict, answer: LevelsAnswer) -> PricePlane:
    """Every level that is judged and whose sand is known."""
    measure = measure_named(verdict.measure)
    spots, unknown = [], []
    for level in answer.levels:
        sand = cost_of(level, "black sand")
        if level.estimate is None or level.code is None:
            continue
        if sand is None:
            unknown.append(level.level)
            continue
        limits, look = limits_shown(level.interval, measure), palette.outcome_look(level.code)
        spots.append(
            PricedGain(measure.shown(level.estimate), limits, sand, level.level, look, level.level == answer.named)
        )
    used = () if answer.pick is None else (f"In bold: {answer.pick}, the one to use.",)
    half = max(((spot.limits[1] - spot.limits[0]) / 2 for spot in spots if spot.limits), default=10.0)
    lacking = (f"Not drawn, for their black sand is not known: {and_list(unknown)}.",) if unknown and spots else ()
    return PricePlane(
        spots=tuple(spots),
        measure=measure,
        differences=(),
        line_ends=ends_of_line(answer.worth_having, measure),
        line_words=line_named(verdict, measure),
        decimals=decimals_for(half),
        said=(*used, *lacking, _minutes_of_levels(answer)),
    )


def _minutes_of_levels(answer: LevelsAnswer) -> str:
    told = [(level.level, cost_of(level, "minutes")) for level in answer.levels]
    known = [(name, cost) for name, cost in told if cost is not None]
    if not known:
        return "Minutes: not recorded."
    each = and_list([f"{times_text(cost)} with {name}" for name, cost in known])
    return f"Minutes: {each}; {limit_words(known[0][1])}."


def _cost_named(costs: Sequence[Cost], name: str) -> Cost | None:
    return next((cost for cost in costs if cost.name == name), None)


def _against_limit(cost: Cost) -> str:
    """Say a cost with its limits, and how it stands to the most it may be."""
    stands = "not shown to be within" if cost.status == "not shown" else cost.status
    _, low, high = ratio_texts(cost)
    return f"{times_text(cost)} baseline{f' ({low} to {high})' if low else ''}, {stands} the {limit_words(cost)}"


def _minutes_words(verdict: Verdict) -> str:
    minutes = _cost_named(verdict.costs, "minutes")
    if minutes is None or minutes.ratio is None:
        return "Minutes: not recorded."
    return f"Minutes: {_against_limit(minutes)}."
