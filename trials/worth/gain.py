"""How much more gold a year the difference of a verdict comes to, and why it may not be told."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import exp, expm1
from typing import Final, Literal

from schemas import LevelsAnswer, PairsAnswer, Verdict, WorthBase

Reason = Literal[
    "set aside",
    "grains",
    "nothing changed",
    "audit",
    "no verdict",
    "leaning",
    "not settled",
    "no level",
    "one size",
    "could be zero",
    "no limits",
]
WEIGHED: Final = ("recovery", "gold_mass", "tails_gold")


@dataclass(frozen=True, slots=True)
class Span3:
    """The same thing at the lower limit of the difference, at its mean, and at the upper limit."""

    low: float
    mid: float
    high: float

    def each(self, of: Callable[[float], float]) -> "Span3":
        """What is reckoned of each of the three."""
        return Span3(of(self.low), of(self.mid), of(self.high))


@dataclass(frozen=True, slots=True)
class YearOfGold:
    """What gold a difference is a share of, in a year.

    gold_g: that gold.
    of_difference: the share that a difference on the measure's scale is of it.
    of_one: the share that one point, or one % more, is of it.
    """

    gold_g: float
    of_difference: Callable[[float], float]
    of_one: float

    def gain_g(self, difference: float) -> float:
        """Gold gained a year by a difference on the measure's scale."""
        return self.gold_g * self.of_difference(difference)


def year_of_gold(measure: str, base: WorthBase, baseline_percent: float | None) -> YearOfGold | None:
    """Of what gold is a difference of this measure a share? None where that gold was not typed.

    `baseline_percent` is the mean recovery of the unchanged runs, which makes of gold kept the gold that was fed.

    recovery: G d/100 of the gold fed, or K N d/R0 of the gold kept now. gold_mass: K N (exp(d) - 1). tails_gold, whose
    d is -ln(T1/T0): gold lost x (1 - exp(-d)). The identities of the measures themselves.

    >>> from datetime import date
    >>> sold = {"price": 2400, "price_date": date(2026, 5, 3), "fineness": 850, "payout_percent": 85, "wage_h": 12}
    >>> round(year_of_gold("recovery", WorthBase(cleanups=250, gold_g=0.8, **sold), 82.0).gain_g(2.3), 3)
    5.61
    """
    return _YEARS[measure](base, baseline_percent)


def _of_recovery(base: WorthBase, baseline_percent: float | None) -> YearOfGold | None:
    if base.gold_fed_g is not None:
        return YearOfGold(base.gold_fed_g, lambda d: d / 100.0, 0.01)
    if base.gold_kept_g is None or not baseline_percent:
        return None
    share = 1.0 / baseline_percent
    return YearOfGold(base.gold_kept_g, lambda d: d * share, share)


def _of_gold_mass(base: WorthBase, _: float | None) -> YearOfGold | None:
    return None if base.gold_kept_g is None else YearOfGold(base.gold_kept_g, expm1, 0.01)


def _of_tails_gold(base: WorthBase, _: float | None) -> YearOfGold | None:
    return None if base.tails_gold_g is None else YearOfGold(base.tails_gold_g, lambda d: 1.0 - exp(-d), 0.01)


_YEARS: Mapping[str, Callable[[WorthBase, float | None], YearOfGold | None]] = {
    "recovery": _of_recovery,
    "gold_mass": _of_gold_mass,
    "tails_gold": _of_tails_gold,
}


def why_not(verdict: Verdict) -> Reason | None:
    """Why no gain in money may be told of a verdict; None where it may."""
    answer = verdict.answer
    interval = answer.interval
    against: tuple[tuple[bool, Reason], ...] = (
        (verdict.measure not in WEIGHED, "grains"),
        (verdict.trial_kind == "nothing-changed check", "nothing changed"),
        (verdict.trial_kind == "audit", "audit"),
        (not isinstance(answer, PairsAnswer | LevelsAnswer), "no verdict"),
        (verdict.size_class is not None, "one size"),
        (verdict.leaning, "leaning"),
        (verdict.code == "not_settled", "not settled"),
        (isinstance(answer, LevelsAnswer) and answer.pick is None, "no level"),
        (interval is None, "no limits"),
        (interval is not None and not interval.leaves_zero_out, "could be zero"),
    )
    return next((reason for holds, reason in against if holds), None)


def difference_of(verdict: Verdict) -> Span3:
    """The difference a verdict tells, with its limits, on the measure's scale; only where `why_not` is None.

    Of a graded trial it is that of the level named, and its limits hold for all levels at once.

    Raises ValueError: the verdict has no such difference.
    """
    answer = verdict.answer
    if not isinstance(answer, PairsAnswer | LevelsAnswer) or answer.interval is None:
        raise ValueError(f"the verdict on {verdict.trial} has no limits")
    return Span3(answer.interval.low, answer.estimate, answer.interval.high)


def baseline_percent_of(verdict: Verdict) -> float | None:
    """The mean of the unchanged runs that count, for a recovery in %; None where none is told."""
    if isinstance(verdict.answer, LevelsAnswer):
        return verdict.answer.levels[0].mean
    told = [pair.baseline for pair in verdict.pair_results if pair.status == "counted" and pair.baseline is not None]
    return sum(told) / len(told) if told else None
