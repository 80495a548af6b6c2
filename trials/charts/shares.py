"""Shares, gains and scatter as a chart writes them: in the unit people read, and never as more than is known."""

import math
from typing import Final

from trials.measures.measure import Measure
from trials.wording.numbers import figures, plain, times

MOST_LOG: Final = math.log(1000.0)  # a ratio over a thousandfold is only called so
MOST_POINTS: Final = 100.0


def share_words(share: float) -> str:
    """Write a share as a percentage; what is not quite none or all is never rounded to it.

    Parameters
    ----------
    share
        0 to 1.

    Examples
    --------
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


def shown_gain(difference: float, measure: Measure) -> float:
    """A gain on the measure's scale in the unit that is drawn: points, or %; a ratio never over a thousandfold.

    >>> from trials.measures.catalogue import measure_named
    >>> round(shown_gain(math.log(1.2), measure_named("grain_counts")), 6)
    20.0
    """
    return measure.shown(min(difference, MOST_LOG) if measure.is_ratio else difference)


def gain_words(difference: float, measure: Measure, *, brief: bool = False) -> str:
    """Say how large a gain is.

    Parameters
    ----------
    difference
        On the measure's scale, over 0.
    measure
        Whose scale it is.
    brief
        Number and unit alone.

    Returns
    -------
    str
        Two figures. From ten times on a ratio is told as times baseline; points over 100 can't be, and are told so.

    Examples
    --------
    >>> from trials.measures.catalogue import measure_named
    >>> grains, recovery = measure_named("grain_counts"), measure_named("recovery")
    >>> gain_words(0.3, grains), gain_words(0.3, grains, brief=True), gain_words(3.0, grains)
    ('35 % more grains', '35 %', '20 times baseline')
    >>> gain_words(9.0, grains), gain_words(9.0, measure_named("tails_gold")), gain_words(9.0, grains, brief=True)
    ('over 1,000 times baseline', 'over 99.9 % less gold lost', 'over 1,000 times')
    >>> gain_words(3.58, recovery), gain_words(1.0, recovery), gain_words(120.0, recovery)
    ('3.6 points', '1 point', 'over 100 points')
    """
    if not measure.is_ratio:
        return points_words(difference)
    if difference >= MOST_LOG:
        most = "over 99.9 %" if measure.name == "tails_gold" else "over 1,000 times"
        return most if brief else f"{most} {measure.words.more if measure.name == 'tails_gold' else 'baseline'}"
    shown = measure.shown(difference)
    if shown >= 900:
        return times(1 + shown / 100) if brief else f"{times(1 + shown / 100)} baseline"
    number = plain(shown, 1) if 99 < shown < 100 and measure.name == "tails_gold" else figures_of(shown)
    return f"{number} %" if brief else f"{number} % {measure.words.more}"


def points_words(points: float) -> str:
    """Write points with their unit.

    >>> points_words(2.5), points_words(1.04), points_words(0.98)
    ('2.5 points', '1 point', '0.98 points')
    """
    if points > MOST_POINTS:
        return f"over {MOST_POINTS:.0f} points"
    number = figures_of(points)
    return f"{number} point{'' if number == '1' else 's'}"


def scatter_text(sd: float, measure: Measure) -> str:
    """Say the SD of pair differences: points, or the factor it stands for less one, in %.

    >>> from trials.measures.catalogue import measure_named
    >>> scatter_text(0.21, measure_named("grain_counts")), scatter_text(0.0, measure_named("recovery"))
    ('23 %', '0 points')
    """
    if not measure.is_ratio:
        return points_words(sd)
    if sd >= MOST_LOG:
        return "1,000 times and over"
    percent = 100.0 * math.expm1(sd)
    return f"{figures_of(percent)} %" if percent < 900 else times(1 + percent / 100)


def line_words(line: float, measure: Measure) -> str:
    """Name a worth-having line as the sentences do.

    >>> from trials.measures.catalogue import measure_named
    >>> line_words(1.0, measure_named("recovery")), line_words(-math.log(0.8), measure_named("tails_gold"))
    ('your 1-point line', 'your 20 % line')
    """
    return f"your {figures(measure.shown(line))}{' %' if measure.is_ratio else '-point'} line"


def figures_of(value: float) -> str:
    """Two figures; whole numbers from 10 on.

    >>> figures_of(0.0123), figures_of(9.96), figures_of(123.4)
    ('0.012', '10', '123')
    """
    return figures(value, 2)
