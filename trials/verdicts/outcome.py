"""The rule itself: interval limits and the worth-having line in, one code out. For one trial or for 20,000."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from schemas import Interval
from trials.statistics.arrays import Numbers
from trials.statistics.paired_t import paired_t, t_limits

Outcome = Literal["not_settled", "better", "worse", "no_difference"]
OUTCOMES: Final[tuple[Outcome, ...]] = ("not_settled", "better", "worse", "no_difference")
NOT_SETTLED, BETTER, WORSE, NO_DIFFERENCE = range(4)
OUTCOME_WORDS: Final[Mapping[str, str]] = {
    "better": "better",
    "worse": "worse",
    "no_difference": "no difference worth having",
    "not_settled": "not settled",
}


class JudgedByLimits:
    """What limits and outcome say together, of a trial of pairs or of one level of a graded one."""

    __slots__ = ()
    code: str
    interval: Interval | None

    @property
    def is_beyond_luck(self) -> bool:
        """The limits leave zero out."""
        return self.interval is not None and self.interval.leaves_zero_out

    @property
    def is_small(self) -> bool:
        """A difference beyond luck, and inside the line."""
        return self.code == "no_difference" and self.is_beyond_luck

    def is_under(self, line: float | None) -> bool:
        """A gain beyond luck, and all of its range under the line: no kinder than real but small."""
        return self.interval is not None and line is not None and 0 < self.interval.low <= self.interval.high < line


def interval_of(low: ArrayLike, high: ArrayLike, level: float) -> Interval | None:
    """Limits as they are told; None where there are none."""
    return Interval(low=float(low), high=float(high), level=level) if np.isfinite(low) else None  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class Bounds:
    """What the rule needs of each trial; every field has the leading shape of the differences.

    mean, sd: of the pair differences.
    low, high: limits of the mean by its own scatter; the floor's where all differences are equal; NaN with neither.
    floored_low, floored_high: the same with the larger of scatter and floor.
    """

    mean: Numbers
    sd: Numbers
    low: Numbers
    high: Numbers
    floored_low: Numbers
    floored_high: Numbers


def bounds(differences: ArrayLike, floor: ArrayLike | None, *, level: float = 0.95) -> Bounds:
    """Which limits has the mean difference, with and without the floor?

    Differences are on the scale of the measure, shape (..., pairs), of 2 pairs or more, finite; the floor is the SD of
    one of them by counting and weighing luck alone, one per trial (leading shape), None or NaN where it is not known.
    All differences equal (s = 0): the floor stands in everywhere; with no floor known the limits are NaN, so that
    nothing is settled.

    >>> b = bounds([2.1, .4, 3.0, 1.2, -.5, 2.6], floor=None)
    >>> round(float(b.low), 4), round(float(b.high), 4)
    (0.0499, 2.8835)
    """
    values = np.asarray(differences, dtype=float)
    pairs = values.shape[-1]
    fit = paired_t(values, level=level)
    mean, sd = np.asarray(fit.mean), np.asarray(fit.sd)
    known = np.broadcast_to(np.asarray(np.nan if floor is None else floor, dtype=float), sd.shape)
    own = np.where(sd > 0, sd, np.where(known > 0, known, np.nan))
    larger = np.fmax(own, known)
    plain = t_limits(mean, own, pairs, level=level)
    floored = t_limits(mean, larger, pairs, level=level)
    return Bounds(mean, sd, *map(np.asarray, (plain.low, plain.high, floored.low, floored.high)))


def outcome(
    low: ArrayLike, high: ArrayLike, floored_low: ArrayLike, floored_high: ArrayLike, line: float | None
) -> NDArray[np.int8]:
    """Which outcome do the limits give?

    Limits are those of `Bounds`, of any like shapes, NaN where there are none; the worth-having line is on the same
    scale, over 0. The answer is an index into `OUTCOMES`: floored limits inside (-line, line): no difference worth
    having; else low over 0: better; else high under 0: worse; else not settled. Without a line the first is never said.
    Limits of NaN settle nothing.

    The line is what statisticians call an equivalence margin; the first rule is the interval form of two one-sided
    tests (Schuirmann, J. Pharmacokin. Biopharm. 15, 1987), here at the level of the interval that is drawn.

    >>> [OUTCOMES[code] for code in outcome([.8, -4.8, -.8, -.5], [3.7, -1.2, .4, 4.7],
    ...                                     [.8, -4.8, -.8, -.5], [3.7, -1.2, .4, 4.7], 1.0)]
    ['better', 'worse', 'no_difference', 'not_settled']
    """
    low, high = np.asarray(low), np.asarray(high)
    better, worse = low > 0, high < 0
    codes = np.select([better, worse], [BETTER, WORSE], NOT_SETTLED).astype(np.int8)
    if line is None:
        return codes
    inside = (np.asarray(floored_low) > -line) & (np.asarray(floored_high) < line)
    return np.where(inside, NO_DIFFERENCE, codes).astype(np.int8)
