"""How money is rounded and written: once, at the end, half away from zero, in whole units."""

from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from trials.wording.numbers import figures

GRAMS_OF_A_TROY_OUNCE: Final = 31.1034768  # exact, NIST Handbook 44 appendix C
MONTHS_UNDER_YEARS: Final = 2.0


def half_up(value: float, decimals: int = 0) -> Decimal:
    """Round the number that is shown for a float, its half away from zero; never to a negative zero.

    >>> [str(half_up(value)) for value in (2.5, -2.5, 2.4999999, -0.4)], str(half_up(55.745, 2))
    (['3', '-3', '2', '0'], '55.75')
    """
    rounded = Decimal(repr(value)).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)
    return abs(rounded) if rounded == 0 else rounded


def money(value: float, currency: str = "", decimals: int = 0) -> str:
    """Write money: whole units, a comma at each thousand, the code of its currency behind.

    >>> money(2787.4, "EUR"), money(-3.986), money(55.74939, "EUR", 2)
    ('2,787 EUR', '-4', '55.75 EUR')
    """
    return f"{half_up(value, decimals):,} {currency}".rstrip()


def value_of_a_gram(price: float, fineness: float, payout_percent: float) -> float:
    """What does a gram of gold as it is sold fetch?

    `price` is of a troy ounce of pure gold, `fineness` parts of gold in a thousand, `payout_percent` what the buyer
    pays of the gold in it.

    >>> round(value_of_a_gram(2400, 850, 85), 8)
    55.74939455
    """
    return price / GRAMS_OF_A_TROY_OUNCE * (fineness / 1000.0) * (payout_percent / 100.0)


def span_of_time(best_years: float, worst_years: float) -> str:
    """Say how long something takes at best and at worst: months where both are under two years, else years.

    >>> span_of_time(0.6522, 1.25), span_of_time(0.65, 3.14), span_of_time(0.01, 0.02)
    ('7.8 to 15 months', '0.65 to 3.1 years', 'less than a month')
    """
    if worst_years < 1 / 12:
        return "less than a month"
    by_month = worst_years < MONTHS_UNDER_YEARS
    best, worst = (figures(12 * years if by_month else years, 2) for years in (best_years, worst_years))
    unit = "months" if by_month else "years"
    return f"{best} {unit}" if best == worst else f"{best} to {worst} {unit}"
