"""The values of a verdict in words: an estimate with its limits, the line, the lots, the dates, a void run."""

from collections.abc import Sequence
from dataclasses import dataclass

from schemas import FedLot, Interval, Shown, Verdict, VoidRun
from trials.measures.measure import Measure
from trials.wording.numbers import decimals_apart, decimals_for, plain


@dataclass(frozen=True, slots=True)
class Spoken:
    """An estimate and its limits as a person reads them; the same text thrice where there is no interval.

    estimate, low, high: as the sentence prints them: gold in tails that is not beyond luck keeps the sign of the gold
        lost.
    shown: the numbers themselves, more gold positive.
    decimals: how finely the interval lets them be told.
    """

    estimate: str
    low: str
    high: str
    shown: Shown
    decimals: int

    @property
    def limits(self) -> str:
        """The limits as they follow the estimate; nothing where there are none."""
        return "" if self.shown.low is None else f" ({self.low} to {self.high})"


def speak(measure: Measure, mean: float, interval: Interval | None, worth_having: float | None) -> Spoken:
    """Put an estimate and its limits into words, as finely as the interval allows.

    Beyond luck a ratio is told as a share more or less with plain limits; else all numbers keep their sign.

    `worth_having` is the line as typed, points or %; no limit is rounded to its wrong side.

    >>> from trials.measures.catalogue import measure_named
    >>> said = speak(measure_named("grain_counts"), 0.33, Interval(low=0.11, high=0.55, level=0.95), None)
    >>> said.estimate + said.limits
    '39 % more grains (12 to 73)'
    """
    shown = measure.shown(mean)
    ends = () if interval is None else (measure.shown(interval.low), measure.shown(interval.high))
    low, high = ends or (shown, shown)
    marks = [0.0] if worth_having is None else [0.0, worth_having]
    decimals = decimals_apart([low, high], marks, decimals_for((high - low) / 2.0))
    if ends and low > 0:
        texts = (measure.beyond_luck_text(shown, decimals), plain(low, decimals), plain(high, decimals))
    elif ends and high < 0 and measure.is_ratio:
        texts = (measure.beyond_luck_text(shown, decimals), plain(-high, decimals), plain(-low, decimals))
    else:
        texts = (measure.signed_text(shown, decimals), *measure.signed_limits(low, high, decimals))
    numbers = Shown(
        unit="%" if measure.is_ratio else "points",
        estimate=shown,
        low=low if ends else None,
        high=high if ends else None,
        words=texts[0],
    )
    return Spoken(*texts, numbers, decimals)


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
    return "" if word is None else f"{word[0].upper()}{word[1:]}: {verdict.last_word_why}."


def void_words(void: VoidRun) -> str:
    """Say which run was struck, why, and whether its gold was known then.

    >>> void_words(VoidRun(pair=3, arm="changed", why="spill", gold_known=False))
    'pair 3, changed: spill, gold not known then'
    """
    arm = "" if void.arm is None else f", {void.arm}"
    known = "" if void.gold_known is None else f", gold {'known' if void.gold_known else 'not known'} then"
    return f"pair {void.pair}{arm}: {void.why}{known}"
