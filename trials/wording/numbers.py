"""How finely a number may be shown, and how it is written."""

import math
from collections.abc import Iterable

MOST_DECIMALS = 6
ROUNDING_DUST = 1e-9  # in steps of the last decimal


def decimals_for(half_width: float) -> int:
    """How many decimals, 0 to 6, do a value and its limits deserve?

    As many as give the half-width of the interval, in the unit that is shown, one or two figures: none from 10 on, one
    from 0.3, and under that one more for each tenth; one where it is 0. The rule is our own, after the advice to give
    an uncertainty with one or two figures (Taylor, An Introduction to Error Analysis, 1997, section 2.2; from memory).

    >>> [decimals_for(h) for h in (31, 2.6, 0.6, 0.15, 0)]
    [0, 1, 1, 2, 1]
    """
    if half_width <= 0:
        return 1
    if half_width >= 9.5:
        return 0
    return min(MOST_DECIMALS, max(1, math.ceil(-math.log10(half_width / 3.0))))


def decimals_apart(values: Iterable[float], marks: Iterable[float], decimals: int) -> int:
    """How many decimals keep each value on its own side of each mark?

    A lower limit of 0.03 shown as "0.0" would hide that zero is outside. Up to two decimals are added.

    >>> decimals_apart([0.03, 4.1], [0.0], 1), decimals_apart([0.9, 2.0], [0.0], 1)
    (2, 1)
    """
    values, marks = list(values), list(marks)
    for extra in range(3):
        places = min(decimals + extra, MOST_DECIMALS)
        hidden = (round(v, places) == round(m, places) and v != m for v in values for m in marks)
        if not any(hidden):
            return places
    return min(decimals + 2, MOST_DECIMALS)


def on_its_side(value: float, marks: Iterable[float], decimals: int) -> float:
    """Round a value for print, but never onto or past a mark that it is not at.

    Where so many decimals would do that, it goes one step of the last of them back to its own side, so that no sentence
    contradicts its number.

    >>> on_its_side(1.9996, [2.0], 1), on_its_side(2.0004, [2.0], 1), on_its_side(2.0, [2.0], 1)
    (1.9, 2.1, 2.0)
    """
    step = 10.0**-decimals
    rounded = round(value, decimals)
    for mark in marks:
        if value < mark <= rounded:
            rounded = round(math.ceil(mark / step - ROUNDING_DUST) * step - step, decimals)
        elif value > mark >= rounded:
            rounded = round(math.floor(mark / step + ROUNDING_DUST) * step + step, decimals)
    return rounded


def plain(value: float, decimals: int) -> str:
    """Write a number with so many decimals and a comma at each thousand, never as "-0.0".

    >>> plain(-0.04, 1), plain(12.25, 0), plain(7306.2, 0)
    ('0.0', '12', '7,306')
    """
    text = f"{value:,.{decimals}f}"
    return text.removeprefix("-") if round(value, decimals) == 0 else text


def signed(value: float, decimals: int) -> str:
    """Write a number with its sign, a plus too.

    >>> signed(2.31, 1), signed(-0.5, 1), signed(0.01, 1)
    ('+2.3', '-0.5', '0.0')
    """
    text = plain(value, decimals)
    return f"+{text}" if round(value, decimals) > 0 else text


def figures(value: float, count: int = 3) -> str:
    """Write a number with so many figures and no exponent, trailing zeros dropped, a comma at each thousand.

    >>> figures(12.3456), figures(0.00123), figures(2500.0), figures(0.0)
    ('12.3', '0.00123', '2,500', '0')
    """
    if value == 0:
        return "0"
    places = max(0, count - 1 - math.floor(math.log10(abs(value))))
    text = plain(value, places)
    return text.rstrip("0").rstrip(".") if "." in text else text


def typed_figures(value: float, count: int = 3) -> str:
    """Write a number as a person types it: as `figures`, without commas.

    >>> typed_figures(2500.0), typed_figures(0.5)
    ('2500', '0.5')
    """
    return figures(value, count).replace(",", "")


def mass_words(mass_g: float, count: int = 3) -> str:
    """Say a mass of dirt or sand with so many figures.

    >>> mass_words(350.0), mass_words(12_000.0)
    ('350 g', '12 kg')
    """
    return f"{figures(mass_g / 1000, count)} kg" if mass_g >= 1000 else f"{figures(mass_g, count)} g"


def times(ratio: float) -> str:
    """Write a ratio as people say it.

    >>> times(1.94), times(0.82), times(1.04), times(12.4), times(1520.0)
    ('1.9 times', '0.82 times', '1.04 times', '12 times', '1,520 times')
    """
    decimals = 2 if ratio < 1.5 else 1 if ratio < 9.95 else 0
    return f"{plain(ratio, decimals)} times"


def ratio_in_range(ratio: float, low: float, high: float, marks: Iterable[float]) -> tuple[str, str, str]:
    """Write a ratio and its limits with the same decimals, 2 unless it takes more to keep them off the marks.

    >>> ratio_in_range(1.648, 1.62, 1.68, [1.5]), ratio_in_range(1.19, 1.178, 1.2002, [1.2])
    (('1.65', '1.62', '1.68'), ('1.1900', '1.1780', '1.2002'))
    """
    marks = list(marks)
    decimals = decimals_apart([ratio, low, high], marks, min(2, decimals_for((high - low) / 2.0)))
    one, other, last = (plain(on_its_side(value, marks, decimals), decimals) for value in (ratio, low, high))
    return one, other, last


def half_minutes(minutes: float) -> str:
    """Write minutes to the nearest half; under 10, to the nearest tenth.

    >>> half_minutes(9.64), half_minutes(12.1)
    ('9.6', '12')
    """
    return figures(round(minutes * 2) / 2 if minutes >= 10 else round(minutes, 1), 6)


def one_in(p: float) -> str:
    """Say how rarely luck alone does as much.

    >>> one_in(1 / 32), one_in(0.0001), one_in(0.7)
    ('about 1 time in 32', 'less than 1 time in 1,000', 'about 70 times in 100')
    """
    if p < 0.001:
        return "less than 1 time in 1,000"
    if p > 0.4:
        return f"about {round(100 * p)} times in 100"
    return f"about 1 time in {round(1 / p):,}"


def share_words(share: float) -> str:
    """Write a share, 0 to 1, as a percentage; what is not quite none or all is never rounded to it.

    >>> [share_words(share) for share in (0, 0.00002, 0.0244, 0.81, 0.996, 0.99999, 1)]
    ['0 %', 'under 0.1 %', '2.4 %', '81 %', '99.6 %', 'over 99.9 %', '100 %']
    """
    percent = 100.0 * share
    if 0 < percent < 0.05:
        return "under 0.1 %"
    if 99.95 <= percent < 100:
        return "over 99.9 %"
    is_fine = 0 < percent < 9.95 or 99 < percent < 100
    return f"{plain(percent, 1 if is_fine else 0)} %"
