"""What is said of a year's worth: the range first, then what it is made of, and what it leaves out."""

from collections.abc import Mapping
from datetime import date

from schemas import Verdict, WorthBase
from trials.measures.catalogue import measure_named
from trials.wording.lists import and_list, capital
from trials.wording.numbers import figures
from trials.wording.steps import step
from trials.worth.gain import Reason, Span3
from trials.worth.money import half_up, money, span_of_time
from trials.worth.reckon import Worth, YearCost

WHY_NOT: Mapping[Reason, str] = {
    "set aside": "the trial was set aside, so nothing of it counts",
    "grains": "this trial counts grains, and grains are not weight",
    "nothing changed": "nothing was changed in this trial, so there is no gain to price",
    "audit": "an audit compares nothing, so there is no gain to price",
    "no verdict": "there is no verdict to reckon with",
    "leaning": "the verdict only leans, and what weakens it has no price",
    "not settled": "luck could still have done it, so the gain could be zero",
    "no level": "no level is named that is worth taking",
    "one size": "the verdict is on one size of gold, and the gold of a year is of all sizes",
    "could be zero": "the gain could be zero",
    "no limits": "nothing is known of the scatter, so the gain has no limits",
}


def worth_sentence(worth: Worth, verdict: Verdict, currency: str) -> str:
    """The answer in one sentence."""
    if worth.refused is not None:
        return f"No money is shown: {WHY_NOT[worth.refused]}.{_break_even_words(worth, verdict)}"
    if worth.benefit is None:
        return "No money is shown: the gold of a year was not typed."
    span = money_range(worth.benefit, f"{currency} a year".lstrip())
    if verdict.code == "worse":
        return f"Less gold: {span}, with all that it costs or saves."
    if worth.benefit.low > 0:
        return f"Worth {span}, after all that it costs."
    if worth.benefit.high < 0:
        return f"More gold, but it costs more than it brings: {span}."
    return f"More gold, but {span}: it could cost more than it brings."


def money_range(span: Span3, currency: str) -> str:
    """Low to high, then the middle.

    >>> money_range(Span3(2787.4, 3484.3, 4181.2), "EUR"), money_range(Span3(-3.99, 2.97, 9.93), "")
    ('2,787 to 4,181 EUR, middle 3,484', '-4 to 10, middle 3')
    """
    return f"{money(span.low)} to {money(span.high, currency)}, middle {money(span.mid)}"


def worth_details(worth: Worth, verdict: Verdict, base: WorthBase, today: date) -> list[str]:
    """What the range is made of, when it has paid, and what it does not hold; a line each."""
    lines = [
        *gold_lines(worth, base),
        *(_cost_line(cost, base) for cost in worth.costs),
        *_payback_line(worth, verdict, base.currency),
    ]
    if worth.refused is None:
        lines += [_break_even_words(worth, verdict).strip()]
    return [line for line in (*lines, *caution_lines(worth, verdict, base, today)) if line]


def gold_lines(worth: Worth, base: WorthBase) -> list[str]:
    """The gold of a year and what it fetches."""
    if worth.gram is None:
        return []
    gram = f"a gram fetches {money(worth.gram, base.currency, 2)}"
    ounce = f"{money(base.price, base.currency)} a troy ounce on {base.price_date}"
    price = f"{gram} ({ounce}, {figures(base.fineness, 6)} fine, {figures(base.payout_percent, 4)} % paid out)"
    if worth.gold_g is None or worth.gold_money is None:
        return [f"{capital(price)}."]
    grams = worth.gold_g
    brings = f"{figures(grams.low)} to {figures(grams.high)} g a year, middle {figures(grams.mid)}"
    return [f"Gold: {brings}; {price}, so {money_range(worth.gold_money, base.currency)}."]


def _cost_line(cost: YearCost, base: WorthBase) -> str:
    name = capital(cost.what)
    if cost.how == "typed" and cost.amount is None:
        return f"{name}: {money(cost.money or 0.0, base.currency)} a year."
    if cost.amount is None:
        missing = "type the clean-ups of a year, or the dirt, and it is priced"
        return f"{name}: measured, but not priced; {missing}."
    unit = "kg" if cost.what == "black sand" else "min"
    more = "more" if cost.amount >= 0 else "less" if unit == "kg" else "fewer"
    took = f"{name}: {figures(abs(cost.amount))} {unit} {more} a year{_TAKEN_FROM[cost.how]}"
    if cost.how == "in the minutes":
        return f"{took}; what it costs is in the minutes of cleaning up, and not priced twice."
    if cost.money is None:
        return f"{took}; not priced, since what a kg costs was not typed."
    word = "costs" if cost.money >= 0 else "saves"
    return f"{took}: {word} {money(abs(cost.money), base.currency)}."


_TAKEN_FROM = {
    "typed": "",
    "dirt": ", by the dirt fed",
    "cleanups": ", a run of the trial taken as a clean-up",
    "in the minutes": "",
}


def _payback_line(worth: Worth, verdict: Verdict, currency: str) -> list[str]:
    if worth.benefit is None or worth.once <= 0:
        return []
    spent = money(worth.once, currency)
    if worth.payback_years is not None:
        return [f"The {spent} spent once are back after {span_of_time(*worth.payback_years)}."]
    why = "it loses gold" if verdict.code == "worse" else "at the low end it brings nothing"
    return [f"No payback of the {spent} is told: {why}."]


def _break_even_words(worth: Worth, verdict: Verdict) -> str:
    """At which gain the year's costs are paid; nothing where that can't be said, or costs nothing."""
    if worth.break_even is None or worth.cost_money == 0:
        return ""
    measure = measure_named(verdict.measure)
    unit = f"% {measure.words.more}" if measure.is_ratio else "points"
    even = figures(abs(worth.break_even), 2)
    if worth.break_even > 0:
        return f" Break-even is {even} {unit}: from there on the gold pays for the rest."
    return f" Break-even is -{even} {'%' if measure.is_ratio else 'points'}: what it saves would pay for such a loss."


def caution_lines(worth: Worth, verdict: Verdict, base: WorthBase, today: date) -> list[str]:
    """What is not in the range, and where the price comes from."""
    lines = []
    if verdict.measure == "gold_mass" and any(lot.kind.endswith("tailings") for lot in verdict.lots):
        lines.append("Of stored tails the gold of a clean-up is what a second pass of the unchanged gear gives.")
    if worth.refused is None and worth.gold_g is not None:
        left_out = ["the gold of a year", "the price", *(["the minutes"] if worth.costs else [])]
        lines.append(
            f"The range holds the luck of the trial alone, and not how far {and_list(left_out)} may be off. Other dirt "
            "may give another gain."
        )
    days_old = (today - base.price_date).days
    if days_old > OLD_PRICE_DAYS:
        today_s = step("--price types today's", "today's is typed below")
        lines.append(f"The price is {days_old} days old; {today_s}.")
    return [*lines, "Nothing was fetched: the price is the one you typed, and no currency is converted."]


OLD_PRICE_DAYS = 30  # our default


def worth_json(worth: Worth, verdict: Verdict, base: WorthBase | None) -> dict[str, object]:
    """Every number of it, in full; money in the currency, `shown` as it is printed."""
    unit = "%" if measure_named(verdict.measure).is_ratio else "points"
    return {
        "format": 1,
        "trial": verdict.trial,
        "code": verdict.code,
        "verdict": verdict.sentence,
        "sentence": worth_sentence(worth, verdict, "" if base is None else base.currency),
        "refused": worth.refused,
        "value_of_a_gram": worth.gram,
        "gold_g_a_year": _span_json(worth.gold_g),
        "gold_money_a_year": _span_json(worth.gold_money),
        "costs": [
            {"what": cost.what, "amount": cost.amount, "money": cost.money, "how": cost.how} for cost in worth.costs
        ],
        "cost_money_a_year": worth.cost_money,
        "money_a_year": _span_json(worth.benefit),
        "shown": None if worth.benefit is None else _span_json(worth.benefit.each(lambda x: int(half_up(x)))),
        "spent_once": worth.once,
        "payback_years": None
        if worth.payback_years is None
        else dict(zip(("best", "worst"), worth.payback_years, strict=True)),
        "break_even": worth.break_even,
        "break_even_unit": unit,
        "base": None if base is None else base.model_dump(mode="json", exclude={"typed"}),
    }


def _span_json(span: Span3 | None) -> dict[str, float] | None:
    return None if span is None else {"low": span.low, "mid": span.mid, "high": span.high}
