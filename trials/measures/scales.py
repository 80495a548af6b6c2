"""The two scales of a measure: points of a share, and natural logs of a ratio; and what is said on each."""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from schemas import Trial
from trials.measures.measure import Measure
from trials.statistics.arrays import Numbers
from trials.wording.numbers import decimals_apart, figures, on_its_side, plain, signed, times

MOST_LOG: Final = math.log(1000.0)  # a ratio over a thousandfold is only called so
MOST_POINTS: Final = 100.0
TOLD_AS_TIMES: Final = 900.0  # % from which a ratio is told as times the baseline


def points_text(number: str) -> str:
    """Name points after a number that is written out.

    >>> points_text("+1"), points_text("0.9"), points_text("1.0")
    ('+1 point', '0.9 points', '1.0 points')
    """
    return f"{number} point{'' if number.lstrip('+-') == '1' else 's'}"


class PointsMeasure(Measure):
    """A measure that is a share of the gold: its differences are points.

    >>> from trials.measures.recovery import RECOVERY
    >>> [RECOVERY.size_text(points) for points in (2.5, 1.04, 0.98, 120.0)], RECOVERY.line_text(1.0)
    (['2.5 points', '1 point', '0.98 points', 'over 100 points'], '1-point')
    """

    scale = "points"
    side = "share kept"

    def scaled(self, readings: Numbers, division: float | None) -> Numbers:  # noqa: ARG002 - points need no zeros rule
        """Points are the scale itself."""
        return self.value(readings)

    def line(self, typed: float) -> float:
        """Points are the scale itself."""
        return typed

    def shown(self, difference: float) -> float:
        """Points are shown as they are."""
        return difference

    def spread_shown(self, sd: float) -> float:
        """Points are shown as they are."""
        return sd

    def line_text(self, typed: float) -> str:
        """Name a line, as "1-point"."""
        return f"{figures(typed, 6)}-point"

    def size_text(self, difference: float) -> str:
        """Write points with their unit."""
        if difference > MOST_POINTS:
            return f"over {MOST_POINTS:.0f} points"
        return points_text(figures(difference, 2))

    @property
    def gain_axis(self) -> str:
        """Points are points of whatever the axis of the runs says."""
        return "points"

    def gain_text(self, difference: float) -> str:
        """Write points with their unit and what they are of."""
        return f"{self.size_text(difference)} {self.words.gain}"

    def spread_text(self, sd: float) -> str:
        """Write points with their unit."""
        return self.size_text(sd)

    def signed_text(self, shown: float, decimals: int) -> str:
        """Write points with their sign."""
        return points_text(signed(shown, decimals))

    def beyond_luck_text(self, shown: float, decimals: int) -> str:
        """Points keep their sign: "+2.3 points"."""
        return self.signed_text(shown, decimals)

    def of_every_hundred(self, shown: float) -> str | None:
        """Of grains they are whole ones, of gold mg.

        >>> from trials.measures.recovery import RECOVERY
        >>> from trials.measures.tracers import TRACERS
        >>> TRACERS.of_every_hundred(-7.5), RECOVERY.of_every_hundred(2.3), TRACERS.of_every_hundred(0.4)
        ('8 fewer of every 100 grains', '2.3 mg more of every 100 mg', None)
        """
        if self.weighs:
            return f"{figures(abs(shown), 2)} mg {'more' if shown > 0 else 'less'} of every 100 mg"
        more = "more" if shown > 0 else "fewer"
        return f"{plain(abs(shown), 0)} {more} of every 100 grains" if abs(shown) >= 0.5 else None

    def loss_text(self, shown: float, decimals: int) -> str:
        """Write points without their sign."""
        return f"{points_text(plain(-shown, decimals))} {self.words.less}"


class RatioMeasure(Measure):
    """A measure compared as a ratio: its differences are natural logs of it.

    >>> from trials.measures.grain_counts import GRAIN_COUNTS
    >>> [GRAIN_COUNTS.size_text(log) for log in (0.3, 3.0, 9.0)]
    ['35 %', '20 times', 'over 1,000 times']
    >>> GRAIN_COUNTS.gain_text(0.3), GRAIN_COUNTS.gain_text(3.0), GRAIN_COUNTS.line_text(20.0)
    ('35 % more grains', '20 times baseline', '20 %')
    >>> GRAIN_COUNTS.spread_text(0.21), GRAIN_COUNTS.spread_text(3.0), GRAIN_COUNTS.spread_text(9.0)
    ('23 %', '20 times', '1,000 times and over')
    """

    scale = "ln ratio"
    shown_by_hand = "100 x (exp(d) - 1)"

    def value(self, readings: Numbers) -> Numbers:
        """The reading itself."""
        return readings[..., 0]

    def scaled(self, readings: Numbers, division: float | None) -> Numbers:
        """Log of what was weighed."""
        return log_masses(readings[..., 0], division)

    def floor(self, baseline: Numbers, changed: Numbers, division: float | None) -> Numbers | None:
        """Weighing luck of the log ratio."""
        return weighing_floor(baseline[..., 0], changed[..., 0], division)

    def is_empty(self, baseline: Numbers, changed: Numbers) -> NDArray[np.bool_]:
        """None in either half: nothing to compare."""
        return np.equal(baseline[..., 0], 0) & np.equal(changed[..., 0], 0)

    def line(self, typed: float) -> float:
        """A line of x % more is ln(1 + x/100)."""
        return float(np.log1p(typed / 100.0))

    def shown(self, difference: float) -> float:
        """A log ratio d is shown as 100(exp(d) - 1) % more."""
        return float(100.0 * np.expm1(difference))

    def spread_shown(self, sd: float) -> float:
        """100(exp(sd) - 1), whichever way the measure counts as a gain."""
        return 100.0 * math.expm1(sd)

    def line_text(self, typed: float) -> str:
        """Name a line, as "20 %"."""
        return f"{figures(typed, 6)} %"

    def line_ends_text(self, typed: float, decimals: int) -> str:
        """Both ends in %, with the sign of what is counted.

        >>> from trials.measures.grain_counts import GRAIN_COUNTS
        >>> from trials.measures.tails_gold import TAILS_GOLD
        >>> GRAIN_COUNTS.line_ends_text(20.0, 0), TAILS_GOLD.line_ends_text(20.0, 0)
        ('-17 to +20 %', '-20 to +25 %')
        """
        decimals = max(decimals, len(figures(typed, 6).partition(".")[2]))
        low, high = self.signed_limits(self.shown(-self.line(typed)), typed, decimals)
        return f"{low} to {high} %"

    def over_baseline(self, shown: float) -> float:
        """Changed over baseline, from the % that is shown."""
        return 1.0 + shown / 100.0

    def as_times(self, shown: Sequence[float], marks: Sequence[float]) -> tuple[str, ...] | None:
        """In two figures, each on its own side of each mark; a thousandfold is only called so.

        >>> from trials.measures.grain_counts import GRAIN_COUNTS
        >>> GRAIN_COUNTS.as_times([1450.0, 30.0, 2e9], [0.0]), GRAIN_COUNTS.as_times([39.0], [0.0])
        (('16', '1.3', 'over 1,000'), None)
        >>> from trials.measures.tails_gold import TAILS_GOLD
        >>> TAILS_GOLD.as_times([87.4698, -1020.9], [87.47])
        ('0.1254', '11')
        """
        if max(map(abs, shown)) < TOLD_AS_TIMES:
            return None
        lines = [round(self.over_baseline(mark), 9) for mark in marks]  # 1 - 87.47 % is 0.1253, and no hair under it
        return tuple(_times_number(self.over_baseline(one), lines) for one in shown)

    def size_text(self, difference: float) -> str:
        """Write % in two figures; from ten times the baseline on, as so many times."""
        if difference >= MOST_LOG:
            return "over 1,000 times"
        shown = self.shown(difference)
        return times(1 + shown / 100) if shown >= TOLD_AS_TIMES else f"{figures(shown, 2)} %"

    @property
    def gain_axis(self) -> str:
        """A % of what there is more of."""
        return f"% {self.words.more}"

    def gain_text(self, difference: float) -> str:
        """Write % with what there is more of; from ten times on, as so many times baseline."""
        told_as_times = self.shown(min(difference, MOST_LOG)) >= TOLD_AS_TIMES
        of = "baseline" if told_as_times else self.words.more
        return f"{self.size_text(difference)} {of}"

    def spread_text(self, sd: float) -> str:
        """Write the factor that an SD of logs stands for less one, in %."""
        if sd >= MOST_LOG:
            return "1,000 times and over"
        percent = self.spread_shown(sd)
        return f"{figures(percent, 2)} %" if percent < TOLD_AS_TIMES else times(1 + percent / 100)

    def beyond_luck_text(self, shown: float, decimals: int) -> str:
        """Write a shown number without its sign, as "39 % more grains"."""
        return f"{plain(abs(shown), decimals)} % {self.words.more if shown > 0 else self.words.less}"

    def loss_text(self, shown: float, decimals: int) -> str:
        """As what is beyond luck is written."""
        return self.beyond_luck_text(shown, decimals)

    def base_text(self, trial: Trial) -> str | None:
        """Of stored tailings, the share is of what a second pass takes from them."""
        if not trial.feeds_tails:
            return None
        return "A share of what the unchanged gear takes from these tails, not of your dirt."


def _times_number(ratio: float, marks: Sequence[float]) -> str:
    if ratio > math.exp(MOST_LOG):
        return f"over {math.exp(MOST_LOG):,.0f}"
    if ratio < math.exp(-MOST_LOG):
        return f"under {math.exp(-MOST_LOG):.3f}"
    decimals = decimals_apart([ratio], marks, max(0, 1 - math.floor(math.log10(ratio))))
    return plain(on_its_side(ratio, marks, decimals), decimals)


def log_masses(masses: Numbers, division: float | None) -> Numbers:
    """Natural log of each mass, so that differences are logs of a ratio.

    Masses are those of all runs of a trial in mg, (..., blocks, runs of a block); NaN where a run is missing. Half of
    one scale division, in mg, is added to every mass of a trial in which any is 0, so that the log exists; to none
    otherwise. A zero with no division known gives NaN: the caller stops at it.
    """
    has_zero = (masses == 0).any(axis=(-2, -1), keepdims=True)
    added = np.where(has_zero, np.nan if division is None else division / 2.0, 0.0)
    return np.asarray(np.log(masses + added))


def weighing_floor(baseline: Numbers, changed: Numbers, division: float | None) -> Numbers | None:
    """SD of a log mass ratio by weighing alone: sqrt((w/M0)^2 + (w/M1)^2), w = sqrt(2) divisions.

    First-order propagation of the two weighings (JCGM 100:2008, eq. 10); each net mass is a gross less a tare,
    hence the sqrt(2). A mass of 0 counts as half a division, as in the ratio itself.

    >>> import numpy as np
    >>> weighing_floor(np.array([20.0]), np.array([20.0]), 1.0).round(4)
    array([0.1])
    """
    if division is None:
        return None
    net = np.sqrt(2.0) * division
    smallest = division / 2.0
    one, other = (net / np.maximum(half, smallest) for half in (baseline, changed))
    return np.asarray(np.hypot(one, other))
