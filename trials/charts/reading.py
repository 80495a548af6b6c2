"""The numbers of a verdict in the unit a person reads: points, or % more."""

from dataclasses import dataclass

from schemas import Compared, Interval, Verdict
from trials.measures.catalogue import measure_named
from trials.measures.measure import Measure
from trials.verdicts.spoken import speak
from trials.wording.numbers import decimals_for, figures, plain, signed


@dataclass(frozen=True, slots=True)
class Reading:
    """A verdict as it is drawn: more gold to the right, for gold in tails less lost.

    axis: what a difference is, with its unit.
    limits, line_ends: of the interval and of the worth-having band; empty where there is none.
    line_words: the line as the sentence names it; empty where none was set.
    said: estimate, limits and level in words.
    decimals: how finely a number beside a mark is written.
    """

    measure: Measure
    axis: str
    differences: tuple[float, ...]
    estimate: float
    limits: tuple[float, ...]
    line_ends: tuple[float, ...]
    line_words: str
    said: tuple[str, ...]
    decimals: int

    def shown(self, difference: float) -> float:
        """A value on the scale in the unit that is drawn."""
        return self.measure.shown(difference)

    def number(self, shown: float) -> str:
        """A number beside a mark, with sign and %."""
        return number_beside(self.measure, shown, self.decimals)


def read_answer(verdict: Verdict, answer: Compared) -> Reading:
    """Put the numbers of an answer into the unit people read: logs become % by the measure's own rule."""
    measure = measure_named(verdict.measure)
    interval, line = answer.interval, answer.worth_having
    limits = limits_shown(interval, measure)
    spread = (limits[1] - limits[0]) / 2 if limits else 10.0
    return Reading(
        measure=measure,
        axis=f"difference of a pair, {axis_unit(verdict, measure)}",
        differences=tuple(map(measure.shown, answer.differences)),
        estimate=measure.shown(answer.estimate),
        limits=limits,
        line_ends=ends_of_line(line, measure),
        line_words=line_named(verdict, measure),
        said=_said_of(verdict, answer, measure),
        decimals=decimals_for(spread),
    )


def line_named(verdict: Verdict, measure: Measure) -> str:
    """The line as the sentence names it; empty where none was set."""
    return "" if verdict.line_typed is None else f"your {measure.line_text(verdict.line_typed)} line"


def number_beside(measure: Measure, shown: float, decimals: int) -> str:
    """A number beside a mark, with sign and %."""
    return f"{signed(shown, decimals)}{' %' if measure.is_ratio else ''}"


def limits_shown(interval: Interval | None, measure: Measure) -> tuple[float, ...]:
    """Limits on the scale in the unit that is drawn; empty where there are none."""
    return () if interval is None else (measure.shown(interval.low), measure.shown(interval.high))


def ends_of_line(line: float | None, measure: Measure) -> tuple[float, ...]:
    """The ends of a line on the scale in the unit that is drawn; empty where none was set."""
    return () if line is None else (measure.shown(-line), measure.shown(line))


def axis_unit(verdict: Verdict, measure: Measure) -> str:
    """In what an axis of differences is told, and of what where that is points."""
    of_what = "" if measure.is_ratio else f" ({verdict.measure_words.split(',')[0]})"
    return f"{measure.gain_axis}{of_what}"


def _said_of(verdict: Verdict, answer: Compared, measure: Measure) -> tuple[str, ...]:
    """The estimate, its limits and their level, as lines.

    Gold in tails that is not beyond luck is told the way the axis runs, less lost being a plus.
    """
    interval = answer.interval
    spoken = speak(measure, answer.estimate, interval, verdict.line_typed)
    estimate, low, high = spoken.estimate, spoken.low, spoken.high
    if measure.side == "lost" and (interval is None or not interval.leaves_zero_out):
        shown = spoken.shown
        sense = measure.words.more if shown.estimate >= 0 else measure.words.less
        estimate = f"{plain(abs(shown.estimate), spoken.decimals)} % {sense}"
        low, high = (signed(end or 0.0, spoken.decimals) for end in (shown.low, shown.high))
    if interval is None:
        return (estimate, "no interval")
    return (estimate, f"{low} to {high}", f"{figures(100 * interval.level)} % interval")
