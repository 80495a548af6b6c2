"""What every measure must answer: what it reads of a run, its scale, its floor, how it is shown."""

from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from schemas import MeasureName, Run, Scale, Trial
from trials.statistics.arrays import Numbers
from trials.wording.numbers import plain, signed


@dataclass(frozen=True, slots=True)
class Words:
    """How a measure is spoken of.

    Attributes
    ----------
    axis
        What one run's number is, with its unit.
    signed
        What a signed number counts: "points", "% grains".
    more, less
        What a gain and a loss are called when they are beyond luck.
    difference
        What a column of differences is headed, with its unit; more gold is positive.
    """

    axis: str
    signed: str
    more: str
    less: str
    difference: str


class Measure(ABC):
    """One main measure. Arrays of readings have the shape (..., pairs, readings of a run)."""

    name: ClassVar[MeasureName]
    scale: ClassVar[Scale]
    inputs: ClassVar[tuple[str, ...]]
    words: ClassVar[Words]
    weighs: ClassVar[bool] = True
    is_ratio: ClassVar[bool] = False

    def readings(self, run: Run) -> tuple[float, ...] | None:
        """Read what the measure needs of a run, or None where any of it was not measured."""
        found = [getattr(run, name) for name in self.inputs]
        return None if any(value is None for value in found) else tuple(float(value) for value in found)

    def division(self, trial: Trial) -> float | None:
        """One division of the gold scale in mg; None where the measure is counted or the scale not known."""
        return None if trial.scales.gold_g is None or not self.weighs else 1000.0 * trial.scales.gold_g

    @abstractmethod
    def value(self, readings: Numbers) -> Numbers:
        """One number a run, in the unit of `words.axis`; shape (..., pairs). NaN where there is none."""

    @abstractmethod
    def difference(self, baseline: Numbers, changed: Numbers, division: float | None) -> Numbers:
        """One difference a pair on the measure's scale, more gold positive; shape (..., pairs)."""

    @abstractmethod
    def floor(self, baseline: Numbers, changed: Numbers, division: float | None) -> Numbers | None:
        """SD of each pair difference by counting or weighing luck alone; None where no division is known."""

    @abstractmethod
    def is_empty(self, baseline: Numbers, changed: Numbers) -> NDArray[np.bool_]:
        """Whether a pair carries no information because no gold was found at all; shape (..., pairs)."""

    def zeros(self, readings: Numbers) -> NDArray[np.bool_]:
        """Whether a run found none of what a ratio is made of; shape (..., pairs)."""
        return np.equal(readings[..., 0], 0) & self.is_ratio

    @abstractmethod
    def line(self, typed: float) -> float:
        """The worth-having line on the scale, from the points or % that were typed."""

    @abstractmethod
    def shown(self, difference: float) -> float:
        """The difference in the unit a person reads: points, or % more (less lost for gold in tails)."""

    def signed_text(self, shown: float, decimals: int) -> str:
        """Write a shown number with its sign and unit, as "+2.3 points"."""
        return f"{signed(shown, decimals)} {self.words.signed}"

    def beyond_luck_text(self, shown: float, decimals: int) -> str:
        """Write a shown number that is beyond luck, as "39 % more grains"."""
        return f"{plain(abs(shown), decimals)} % {self.words.more if shown > 0 else self.words.less}"


class PointsMeasure(Measure):
    """A measure that is a share of the gold: its differences are points."""

    scale = "points"

    def difference(self, baseline: Numbers, changed: Numbers, division: float | None) -> Numbers:  # noqa: ARG002 - points need no zeros rule
        """Points: the changed run's number less the baseline's."""
        return self.value(changed) - self.value(baseline)

    def line(self, typed: float) -> float:
        """Points are the scale itself."""
        return typed

    def shown(self, difference: float) -> float:
        """Points are shown as they are."""
        return difference

    def beyond_luck_text(self, shown: float, decimals: int) -> str:
        """Points keep their sign: "+2.3 points"."""
        return self.signed_text(shown, decimals)


class RatioMeasure(Measure):
    """A measure compared as a ratio: its differences are natural logs of it."""

    scale = "ln ratio"
    is_ratio = True

    def value(self, readings: Numbers) -> Numbers:
        """The reading itself."""
        return readings[..., 0]

    def is_empty(self, baseline: Numbers, changed: Numbers) -> NDArray[np.bool_]:
        """None in either half: nothing to compare."""
        return np.equal(baseline[..., 0], 0) & np.equal(changed[..., 0], 0)

    def line(self, typed: float) -> float:
        """A line of x % more is ln(1 + x/100)."""
        return float(np.log1p(typed / 100.0))

    def shown(self, difference: float) -> float:
        """A log ratio d is shown as 100(exp(d) - 1) % more."""
        return float(100.0 * np.expm1(difference))


def log_mass_ratio(baseline: Numbers, changed: Numbers, division: float | None) -> Numbers:
    """Natural log of changed over baseline mass, for each pair.

    Parameters
    ----------
    baseline, changed
        Masses in mg, shape (..., pairs).
    division
        One scale division in mg. Half of it is added to every mass of a trial in which any is 0, so that the
        log exists; to none otherwise.

    Returns
    -------
    ndarray
        Shape (..., pairs). A zero with no division known gives NaN: the caller stops at it.
    """
    masses = np.concatenate([baseline, changed], axis=-1)
    has_zero = (masses == 0).any(axis=-1, keepdims=True)
    added = np.where(has_zero, np.nan if division is None else division / 2.0, 0.0)
    return np.log(changed + added) - np.log(baseline + added)


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
    parts = (net / np.maximum(half, smallest) for half in (baseline, changed))
    return _together(*parts)


def _together(one: Numbers, other: Numbers) -> Numbers:
    """Two independent uncertainties as one."""
    return np.hypot(one, other)
