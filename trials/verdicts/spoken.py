"""The values of a verdict in words: an estimate with its limits, the line, the lots, the dates, a void run."""

from collections.abc import Sequence
from dataclasses import dataclass

from schemas import Cost, FedLot, Finding, Interval, Shown, Verdict, VoidRun
from schemas.cost import Part
from trials.measures.measure import Measure
from trials.wording.lists import capital, count_of
from trials.wording.numbers import decimals_apart, decimals_for, on_its_side, plain, ratio_in_range, times


@dataclass(frozen=True, slots=True)
class Spoken:
    """An estimate and its limits as a person reads them; the same text thrice where there is no interval.

    estimate, low, high: as the sentence prints them: gold in tails that is not beyond luck keeps the sign of the gold
        lost.
    shown: the numbers themselves, more gold positive.
    decimals: how finely the interval lets them be told.
    joins: the word before the name of the unchanged set-up, as in "39 % more grains than painted"; blank where the
        estimate does not compare.
    at_most: the most that less gold may come to, where the lower limit is under 0.
    """

    estimate: str
    low: str
    high: str
    shown: Shown
    decimals: int
    joins: str = ""
    at_most: str = ""

    @property
    def limits(self) -> str:
        """The limits as they follow the estimate; nothing where there are none."""
        return "" if self.shown.low is None else f" ({self.low} to {self.high})"


def speak(measure: Measure, mean: float, interval: Interval | None, worth_having: float | None) -> Spoken:
    """Put an estimate and its limits into words, as finely as the interval allows.

    Beyond luck a ratio is told as a share more or less with plain limits; else all numbers keep their sign. Where a
    number is ten times the baseline or more, all are told as times.

    `worth_having` is the line as typed, points or %; no number is rounded to the wrong side of an end of it, nor is a
    limit to that of zero.

    >>> from trials.measures.catalogue import measure_named
    >>> said = speak(measure_named("grain_counts"), 0.33, Interval(low=0.11, high=0.55, level=0.95), None)
    >>> said.estimate + said.limits
    '39 % more grains (12 to 73)'
    """
    shown = measure.shown(mean)
    ends = () if interval is None else (measure.shown(interval.low), measure.shown(interval.high))
    low, high = ends or (shown, shown)
    line = _ends_spoken_of(measure, low, high, worth_having)
    finest = decimals_apart([low, high], [0.0, *line], decimals_for((high - low) / 2.0))
    decimals = decimals_apart([shown], line, finest)
    texts, joins = _texts(measure, shown, ends, line, decimals)
    numbers = Shown(
        unit="%" if measure.is_ratio else "points",
        estimate=shown,
        low=low if ends else None,
        high=high if ends else None,
        words=texts[0],
    )
    lost = measure.loss_text(on_its_side(low, [0.0, *line], decimals), decimals) if low < 0 else "no less gold"
    return Spoken(*texts, numbers, decimals, joins, at_most=f"at most {lost}" if low < 0 else lost)


def _ends_spoken_of(measure: Measure, low: float, high: float, worth_having: float | None) -> list[float]:
    """The ends of the line that a sentence may place limits by: not the far one, of a loss that reaches past it."""
    if worth_having is None:
        return []
    far = measure.shown(-measure.line(worth_having))
    return [worth_having] if high < 0 and low <= far else [worth_having, far]


def _texts(
    measure: Measure, shown: float, ends: tuple[float, ...], line: Sequence[float], decimals: int
) -> tuple[tuple[str, str, str], str]:
    """Estimate, lower and upper limit, and the word that joins the unchanged set-up to them."""
    low, high = ends or (shown, shown)
    gains, loses = bool(ends) and low > 0, bool(ends) and high < 0
    as_times = measure.as_times((shown, low, high), [0.0, *line])
    if as_times is not None:
        middle, *both = as_times
        first, last = both if measure.side != "lost" else both[::-1]
        joins = "of" if gains or loses else ""
        return (f"{middle} times the {measure.words.counted}", first, f"{last} times"), joins
    estimate = on_its_side(shown, line, decimals)
    low, high = (on_its_side(end, [0.0, *line], decimals) for end in (low, high))
    joins = "than" if measure.is_ratio and (gains or loses) else ""
    if gains:
        return (measure.beyond_luck_text(estimate, decimals), plain(low, decimals), plain(high, decimals)), joins
    if loses and measure.is_ratio:
        return (measure.beyond_luck_text(estimate, decimals), plain(-high, decimals), plain(-low, decimals)), joins
    return (measure.signed_text(estimate, decimals), *measure.signed_limits(low, high, decimals)), joins


def ratio_texts(cost: Cost | Part) -> tuple[str, str, str]:
    """The ratio of a cost and its limits, as they are printed everywhere; "" each where it has none.

    >>> ratio_texts(Cost(name="minutes", unit="min", limit=1.2, limit_is_ours=True, status="over", ratio=1.648,
    ...                  low=1.62, high=1.68))
    ('1.65', '1.62', '1.68')
    """
    if cost.ratio is None or cost.low is None or cost.high is None:
        return "", "", ""
    marks = []
    if isinstance(cost, Cost):
        marks = [mark for mark, is_told in ((cost.limit, True), (1.0, cost.saves)) if mark is not None and is_told]
    return ratio_in_range(cost.ratio, cost.low, cost.high, marks)


def times_text(cost: Cost | Part) -> str:
    """The ratio of a cost alone, within the limits it is printed with elsewhere: "1.65 times"."""
    ratio = ratio_texts(cost)[0]
    return f"{ratio} times" if ratio else times(cost.ratio or 1.0)


def line_words(measure: Measure, typed: float, decimals: int) -> str:
    """Name a line, with both its ends where they are not alike.

    >>> from trials.measures.catalogue import measure_named
    >>> line_words(measure_named("recovery"), 1.0, 1), line_words(measure_named("gold_mass"), 20.0, 0)
    ('your 1-point line', 'your 20 % line (-17 to +20 %)')
    """
    ends = measure.line_ends_text(typed, decimals)
    return f"your {measure.line_text(typed)} line{f' ({ends})' if ends else ''}"


NAMED_IN_HEADLINE = 2


def but_clause(weak_in: Sequence[str]) -> str:
    """Say within a headline what weakens it; blank where nothing does.

    >>> but_clause(["pair 2 spans two sessions"])
    ', but pair 2 spans two sessions'
    >>> but_clause(["one thing", "another", "a third", "a fourth"])
    ', but one thing, another, and 2 more things weaken it'
    """
    named, more = list(weak_in[:NAMED_IN_HEADLINE]), len(weak_in) - NAMED_IN_HEADLINE
    if not named:
        return ""
    if more > 0:
        return f", but {', '.join(named)}, and {count_of(more, 'more thing')} {'weakens' if more == 1 else 'weaken'} it"
    return f", but {', and '.join(named)}"


def weaknesses(findings: Sequence[Finding]) -> tuple[str, ...]:
    """What a headline has to say after "but": a clause of each thing that weakens, one for each check."""
    told = {finding.check: finding for finding in reversed(findings) if finding.severity == "WEAKENS"}
    return tuple(one.in_headline or f"{check} weakens it" for check, one in reversed(told.items()))


def doubts(findings: Sequence[Finding]) -> tuple[str, ...]:
    """What leaves a keep to the person though it does not weaken the verdict: a note that has a clause for it.

    It may be part of a gain or all there is to it. Luck brings such a note to about 1 fair trial in 300, so hardly a
    fair keep is lost (own simulation, not published: 1,200 trials of 3, 6 and 12 pairs in all measures, low and usual
    noise).
    """
    return tuple(one.in_headline for one in findings if one.severity == "NOTE" and one.in_headline)


def against_line(interval: Interval | None, mean: float, line: float | None, text: str | None) -> str:
    """Say how a gain beyond luck stands to the line, `text` on paper; all numbers on the scale.

    >>> against_line(Interval(low=0.8, high=3.7, level=0.95), 2.3, 1.0, "1-point")
    'your 1-point line lies inside the range'
    """
    if line is None or interval is None or text is None:
        return "no line was set for what is worth having"
    if interval.low >= line:
        return f"surely past your {text} line"
    if interval.high < line:
        return f"under your {text} line at this scatter"
    if mean >= line:
        return f"your {text} line lies inside the range"
    return f"short of your {text} line, which lies inside the range"


def lots_words(lots: Sequence[FedLot]) -> str:
    """Name the lots, each by its kind, and by its name where it was given one.

    >>> lots_words([FedLot(name="lot", kind="natural")]), lots_words([FedLot(name="bar", kind="natural")])
    ('natural', 'bar (natural)')
    """
    return ", ".join(lot.kind if lot.name == "lot" else f"{lot.name} ({lot.kind})" for lot in lots)


def dates_words(dates: Sequence[str]) -> str:
    """The first and the last session.

    >>> dates_words(["2026-05-02 am", "2026-05-02 pm", "2026-05-04 am"]), dates_words([])
    ('2026-05-02 am to 2026-05-04 am', 'dates not recorded')
    """
    if not dates:
        return "dates not recorded"
    return dates[0] if len(dates) == 1 else f"{dates[0]} to {dates[-1]}"


def last_words(verdict: Verdict) -> str:
    """What to do with the change, and why, as one sentence; empty where a verdict has no last word."""
    word = verdict.last_word
    return "" if word is None else f"{capital(word)}: {verdict.last_word_why}."


def void_words(void: VoidRun) -> str:
    """Say which run was struck, why, and whether its gold was known then.

    >>> void_words(VoidRun(pair=3, arm="changed", why="spill", gold_known=False))
    'pair 3, changed: spill, gold not known then'
    """
    arm = "" if void.arm is None else f", {void.arm}"
    known = "" if void.gold_known is None else f", gold {'known' if void.gold_known else 'not known'} then"
    return f"pair {void.pair}{arm}: {void.why}{known}"
