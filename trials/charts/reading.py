"""The numbers of a verdict in the unit a person reads: points, or % more."""

from dataclasses import dataclass

from schemas import Verdict
from trials.measures.catalogue import measure_named
from trials.measures.measure import Measure
from trials.wording.numbers import decimals_for, figures, signed


@dataclass(frozen=True, slots=True)
class Reading:
    """A verdict as it is drawn: more gold to the right, for gold in tails less lost.

    Attributes
    ----------
    measure
        Which measure turns the scale into the unit.
    axis
        What a difference is, with its unit.
    differences
        One per counted pair.
    estimate, limits
        The mean and the ends of its interval; empty where a gate stands.
    line_ends
        Where the worth-having band begins and ends.
    line_words
        The line in words, as the sentence names it; empty where none was set.
    said
        Estimate, limits and level in words.
    decimals
        How finely a number beside a mark is written.
    """

    measure: Measure
    axis: str
    differences: tuple[float, ...]
    estimate: float | None
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
        return f"{signed(shown, self.decimals)}{' %' if self.measure.is_ratio else ''}"


def read_verdict(verdict: Verdict) -> Reading:
    """Put a verdict's numbers into the unit people read.

    Parameters
    ----------
    verdict
        Of any code; what it does not have stays empty.

    Returns
    -------
    Reading
        Logs become % by the measure's own rule; points stay.
    """
    measure = measure_named(verdict.measure)
    limits = (
        () if verdict.interval is None else (measure.shown(verdict.interval.low), measure.shown(verdict.interval.high))
    )
    line = verdict.worth_having
    spread = (limits[1] - limits[0]) / 2 if limits else 10.0
    return Reading(
        measure=measure,
        axis=_axis_words(measure, verdict),
        differences=tuple(map(measure.shown, verdict.differences)),
        estimate=None if verdict.estimate is None else measure.shown(verdict.estimate),
        limits=limits,
        line_ends=() if line is None else (measure.shown(-line), measure.shown(line)),
        line_words=_line_words(verdict, measure),
        said=said_of(verdict, measure),
        decimals=decimals_for(spread),
    )


def _axis_words(measure: Measure, verdict: Verdict) -> str:
    of_what = "" if measure.is_ratio else f" ({verdict.measure_words.split(',')[0]})"
    return f"difference of a pair, {measure.gain_axis}{of_what}"


def _line_words(verdict: Verdict, measure: Measure) -> str:
    if verdict.worth_having is None:
        return ""
    return f"your {measure.line_text(measure.shown(verdict.worth_having))} line"


def said_of(verdict: Verdict, measure: Measure) -> tuple[str, ...]:
    """The estimate, its limits and their level, as lines; empty where there is no estimate.

    Gold in tails that is not beyond luck has its signs turned, so that less lost is a plus, as on the axis.
    """
    if verdict.estimate is None or verdict.shown is None:
        return ()
    shown = verdict.shown
    estimate, low, high = shown.estimate, shown.low, shown.high
    if measure.side == "lost" and _straddles_zero(verdict):
        size, _, _ = estimate.lstrip("+-").partition(" ")
        estimate = f"{size} % {measure.words.more if verdict.estimate >= 0 else measure.words.less}"
        low, high = _turned(shown.high), _turned(shown.low)
    if verdict.interval is None:
        return (estimate, "no interval")
    return (estimate, f"{low} to {high}", f"{figures(100 * verdict.interval.level)} % interval")


def _straddles_zero(verdict: Verdict) -> bool:
    return verdict.interval is None or verdict.interval.low <= 0 <= verdict.interval.high


def _turned(number: str) -> str:
    """The same number with its sign turned."""
    return number.translate(str.maketrans("+-", "-+"))
