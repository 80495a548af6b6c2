"""What a change is worth a year, all in: one frozen result of a verdict, a year's base and what the change costs."""

from dataclasses import dataclass, replace
from typing import Final, Literal

from schemas import Verdict, WorthBase
from trials.worth import gain
from trials.worth.measured import Extra, Extras
from trials.worth.money import value_of_a_gram

MINUTES_OF_AN_HOUR: Final = 60.0
NO_EXTRAS: Final = Extras()
How = Literal["typed", "dirt", "cleanups", "in the minutes"]


@dataclass(frozen=True, slots=True)
class OwnCosts:
    """What this one change costs, as typed.

    once: money spent once. running: money a year. minutes: more a year, in the stead of those measured.
    """

    once: float = 0.0
    running: float = 0.0
    minutes: float | None = None


@dataclass(frozen=True, slots=True)
class YearCost:
    """One thing that a change costs a year, or saves where it is under 0.

    amount: minutes, or kg of black sand; None where it is money from the start.
    money: what that comes to; None where it has no price.
    how: what the amount is taken from: typed; measured, by the dirt fed, or with a run for each clean-up; or it is in
        the minutes of cleaning up already.
    """

    what: str
    amount: float | None
    money: float | None
    how: How


@dataclass(frozen=True, slots=True)
class Worth:
    """What a change is worth a year.

    refused: why no gain is told; None where one is.
    gram: what a gram of the gold fetches; None where nothing was priced.
    gold_g, gold_money, benefit: gold gained, what it fetches, and what is left after all costs; None where refused.
    costs: minutes, black sand and what runs on, each with its money; cost_money: all that have a price.
    payback_years: of what is spent once, at best and at worst; None where the low end brings nothing, or nothing is
        spent.
    break_even: points, or %, at which the year's costs are paid; None where that can't be reckoned.
    """

    refused: gain.Reason | None
    gram: float | None
    gold_g: gain.Span3 | None
    gold_money: gain.Span3 | None
    costs: tuple[YearCost, ...]
    cost_money: float
    benefit: gain.Span3 | None
    once: float
    payback_years: tuple[float, float] | None
    break_even: float | None


def worth_a_year(verdict: Verdict, base: WorthBase, own: OwnCosts, extras: Extras = NO_EXTRAS) -> Worth:
    """What is this change worth a year, in grams and money, and when has it paid?

    The verdict is of a trial with two set-ups whose measure weighs gold; its limits give low and high, its mean the
    middle. Gold, price and clean-ups of the year (`base`) are taken as they are: what is not known of them is not in
    the range. `own` is what the change costs, as typed; `extras` are minutes and black sand more, as the trial measured
    them, at their mean.

    B = gain x value of a gram - minutes x wage - black sand - what runs on; value of a gram: price / 31.1034768 x
    fineness / 1000 x payout. Payback is what is spent once over B, where B is over 0 at both ends and the verdict is
    not worse. Break-even is the costs of a year over what one point, or one %, brings. Methods page, section 4.
    """
    reason = gain.why_not(verdict)
    is_told = verdict.answer.kind in ("pairs", "levels")
    costs = _costs(base, own, extras if is_told else NO_EXTRAS)
    cost_money = sum(cost.money for cost in costs if cost.money is not None)
    gram = value_of_a_gram(base.price, base.fineness, base.payout_percent)
    year = None if reason == "one size" else gain.year_of_gold(verdict.measure, base, gain.baseline_percent_of(verdict))
    gold_g = None if reason or year is None else gain.difference_of(verdict).each(year.gain_g)
    gold_money = None if gold_g is None else gold_g.each(lambda grams: grams * gram)
    benefit = None if gold_money is None else gold_money.each(lambda brings: brings - cost_money)
    return Worth(
        refused=reason,
        gram=gram,
        gold_g=gold_g,
        gold_money=gold_money,
        costs=costs,
        cost_money=cost_money,
        benefit=benefit,
        once=own.once,
        payback_years=None if verdict.code == "worse" else _payback(own.once, benefit),
        break_even=_break_even(cost_money, year, gram),
    )


def nothing_to_price(reason: gain.Reason) -> Worth:
    """Of a trial whose gain has no price whatever is typed."""
    return Worth(reason, None, None, None, (), 0.0, None, 0.0, None, None)


def _break_even(cost_money: float, year: gain.YearOfGold | None, gram: float) -> float | None:
    if year is None:
        return None
    return cost_money / (year.gold_g * year.of_one * gram)


def _payback(once: float, benefit: gain.Span3 | None) -> tuple[float, float] | None:
    if benefit is None or once <= 0 or min(benefit.low, benefit.high) <= 0:
        return None
    return once / benefit.high, once / benefit.low


def _costs(base: WorthBase, own: OwnCosts, extras: Extras) -> tuple[YearCost, ...]:
    """What the change costs a year, each thing for itself."""
    run_wage = base.wage_h if base.run_wage_h is None else base.run_wage_h
    found: list[YearCost] = []
    if own.minutes is not None:
        found.append(YearCost("minutes", own.minutes, own.minutes / MINUTES_OF_AN_HOUR * base.wage_h, "typed"))
    else:
        for what, extra, wage in (
            ("run minutes", extras.run_minutes, run_wage),
            ("clean-up minutes", extras.cleanup_minutes, base.wage_h),
        ):
            found += _measured(what, extra, base, wage / MINUTES_OF_AN_HOUR)
    sand = _measured("black sand", extras.black_sand_kg, base, _price_of_sand(base))
    is_in_minutes = any(cost.what in ("minutes", "clean-up minutes") for cost in found)
    found += [
        replace(one, money=0.0, how="in the minutes") if one.money is None and is_in_minutes else one for one in sand
    ]
    if own.running:
        found.append(YearCost("running costs", None, own.running, "typed"))
    return tuple(found)


def _price_of_sand(base: WorthBase) -> float | None:
    """What a kg more of black sand costs; None where that was not typed."""
    if base.sand_kg is not None:
        return base.sand_kg
    return None if base.sand_minutes_kg is None else base.sand_minutes_kg / MINUTES_OF_AN_HOUR * base.wage_h


def _measured(what: str, extra: Extra | None, base: WorthBase, price: float | None) -> list[YearCost]:
    if extra is None:
        return []
    amount = extra.a_year(base)
    how: How = "dirt" if extra.a_kg is not None and base.dirt_kg is not None else "cleanups"
    return [YearCost(what, amount, None if amount is None or price is None else amount * price, how)]
