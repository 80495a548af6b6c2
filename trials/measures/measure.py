"""What every measure must answer: what it reads of a run, its scale, its floor, how it is shown and foretold."""

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Literal

import numpy as np
from numpy.typing import NDArray

from schemas import MeasureName, Run, Scale, Trial
from schemas.base import MEASURE_WORDS
from trials.statistics.arrays import Numbers
from trials.wording.numbers import figures, signed

What = Literal["gold", "native grains", "seeded grains"]
"""What is weighed (gold) or counted (grains)."""
Side = Literal["kept", "lost", "share kept"]
"""Where: in the catch, in the tails, or the catch as a share of all that was found or fed."""


@dataclass(frozen=True, slots=True)
class Words:
    """How a measure is spoken of.

    axis: what one run's number is, with its unit.
    signed: what a signed number counts: "points", "% grains".
    more, less: what a gain and a loss are called when they are beyond luck.
    gain: what a gain of so many points or % is one of, where a line is asked for: "more recovery".
    unit: what one run's number counts, in a sentence.
    difference: what a column of differences is headed, with its unit; more gold is positive.
    taken: what is weighed or counted, in a few words.
    short: the same in a column of a table.
    by_hand: the difference d of a pair as a formula for paper.
    """

    axis: str
    signed: str
    more: str
    less: str
    gain: str
    unit: str
    difference: str
    taken: str
    short: str
    by_hand: str

    @property
    def counted(self) -> str:
        """What a signed number counts, without its %: "grains"."""
        return self.signed.removeprefix("% ")


class Measure(ABC):
    """One main measure. Arrays of readings have the shape (..., pairs, readings of a run).

    name: as plans write it; it stands in `schemas.base.MEASURE_WORDS`.
    inputs: the fields of a run that it reads.
    what, side: what is weighed or counted, and where.
    is_simulated: the noise model foretells it: read of simulated runs, its inputs make this number, and its luck is
        that of `what` and `side`. Where False, nothing is rehearsed or reckoned for it before runs are in.
    shown_by_hand: the formula on paper from a difference d to what is shown; blank where it is shown as it is.
    """

    name: ClassVar[MeasureName]
    inputs: ClassVar[tuple[str, ...]]
    words: ClassVar[Words]
    what: ClassVar[What] = "gold"
    side: ClassVar[Side]
    scale: ClassVar[Scale]
    is_simulated: ClassVar[bool] = False
    shown_by_hand: ClassVar[str] = ""

    @property
    def weighs(self) -> bool:
        """Whether it is weighed on the gold scale, and not counted."""
        return self.what == "gold"

    @property
    def is_seeded(self) -> bool:
        """Whether it counts grains that were counted in."""
        return self.what == "seeded grains"

    @property
    def is_ratio(self) -> bool:
        """Whether its differences are logs of a ratio, told in %."""
        return self.scale == "ln ratio"

    @property
    def needs_tails(self) -> bool:
        """Whether its number is made of all tails of every run."""
        return MEASURE_WORDS[self.name].needs_tails

    @property
    def searches_tails(self) -> bool:
        """Whether gold or grains are looked for in the tails: for the number itself, or for seeded ones gone astray."""
        return self.needs_tails or self.is_seeded

    @property
    def needs_like_halves(self) -> bool:
        """Whether halves that hold unlike gold differ by that alone; not where a run is measured by its own gold."""
        return self.side != "share kept"

    def readings(self, run: Run) -> tuple[float, ...] | None:
        """Read what the measure needs of a run, or None where any of it was not measured."""
        found: list[float] = []
        for name in self.inputs:
            value = getattr(run, name)
            if value is None:
                return None
            found.append(float(value))
        return tuple(found)

    def number_of(self, run: Run | None) -> float | None:
        """One run's number in the unit of the measure; None where it has none."""
        readings = None if run is None else self.readings(run)
        value = np.nan if readings is None else float(self.value(np.array(readings)))
        return value if np.isfinite(value) else None

    def division(self, trial: Trial) -> float | None:
        """One division of the gold scale in mg; None where the measure is counted or the scale not known."""
        return None if trial.scales.gold_g is None or not self.weighs else 1000.0 * trial.scales.gold_g

    @abstractmethod
    def value(self, readings: Numbers) -> Numbers:
        """One number a run, in the unit of `words.axis`; shape (..., pairs). NaN where there is none."""

    @abstractmethod
    def scaled(self, readings: Numbers, division: float | None) -> Numbers:
        """One number a run on the measure's scale, more gold higher, for differences; (..., blocks, runs of a block).

        Readings of all runs of a trial, (..., blocks, runs of a block, readings of a run), NaN where a run is missing.
        """

    def difference(self, baseline: Numbers, changed: Numbers, division: float | None) -> Numbers:
        """One difference a pair on the measure's scale, more gold positive; shape (..., pairs)."""
        both = self.scaled(np.stack([baseline, changed], axis=-2), division)
        return np.asarray(both[..., 1] - both[..., 0])

    @abstractmethod
    def floor(self, baseline: Numbers, changed: Numbers, division: float | None) -> Numbers | None:
        """SD of each pair difference by counting or weighing luck alone; None where no division is known."""

    @abstractmethod
    def is_empty(self, baseline: Numbers, changed: Numbers) -> NDArray[np.bool_]:
        """Whether a pair carries no information because no gold was found at all; shape (..., pairs)."""

    def zeros(self, readings: Numbers) -> NDArray[np.bool_]:
        """Whether a run found none of what a ratio is made of; shape (..., pairs)."""
        return np.equal(readings[..., 0], 0) & self.is_ratio

    def counting_luck(self, run: Run) -> str:  # noqa: ARG002 - what is weighed has none
        """The exact 95 % limits of one run's count by counting luck alone; blank where there is none."""
        return ""

    @abstractmethod
    def line(self, typed: float) -> float:
        """The worth-having line on the scale, from the points or % that were typed."""

    @abstractmethod
    def shown(self, difference: float) -> float:
        """The difference in the unit a person reads: points, or % more (less lost for gold in tails)."""

    @abstractmethod
    def spread_shown(self, sd: float) -> float:
        """An SD in the unit a person reads: points, or of a ratio the factor it stands for less one, in %."""

    # What is said of a difference, a line and a scatter.

    @abstractmethod
    def line_text(self, typed: float) -> str:
        """Name a worth-having line: "1-point", "20 %"."""

    def line_ends_text(self, typed: float, decimals: int) -> str:  # noqa: ARG002 - in points both ends are alike
        """Write both ends of a line where they are not alike in the unit that is read; blank where they are.

        Of a ratio they are alike as logs, so that in % the loss side is not the gain side.
        """
        return ""

    def as_times(self, shown: Sequence[float], marks: Sequence[float]) -> tuple[str, ...] | None:  # noqa: ARG002 - points are never told so
        """Write shown numbers as so many times the baseline where one is ten times it or more; None where none is."""
        return None

    @abstractmethod
    def size_text(self, difference: float) -> str:
        """Say how large a gain over 0 is, in two figures and never as more than can be: "3.6 points", "35 %"."""

    @abstractmethod
    def gain_text(self, difference: float) -> str:
        """Say a gain over 0 with what it is one of: "3.6 points more recovery", "35 % more grains"."""

    @property
    @abstractmethod
    def gain_axis(self) -> str:
        """What the numbers of an axis of gains count: "points", "% more grains"."""

    @abstractmethod
    def spread_text(self, sd: float) -> str:
        """Say the SD of pair differences in two figures: "2 points", "23 %"."""

    def signed_text(self, shown: float, decimals: int) -> str:
        """Write a shown number with its sign and unit, as "+2.3 points"."""
        return f"{signed(shown, decimals)} {self.words.signed}"

    def signed_limits(self, low: float, high: float, decimals: int) -> tuple[str, str]:
        """Write two shown limits with their signs, the smaller number first."""
        return signed(low, decimals), signed(high, decimals)

    @abstractmethod
    def beyond_luck_text(self, shown: float, decimals: int) -> str:
        """Write a shown number that is beyond luck, as "39 % more grains"."""

    @abstractmethod
    def loss_text(self, shown: float, decimals: int) -> str:
        """Write a shown number under 0 as what is lost: "0.9 points less of the gold", "15 % fewer grains"."""

    def of_every_hundred(self, shown: float) -> str | None:  # noqa: ARG002 - a ratio is no share of what was fed
        """Say points beyond luck as so many more of every hundred; None where there is nothing to say so."""
        return None

    def base_text(self, trial: Trial) -> str | None:  # noqa: ARG002 - most say the same of every trial
        """Say what the percentage or the points are of, where that could be mistaken."""
        return None


def weak_tails_text(trial: Trial) -> str:
    """Say that a tails method known to miss some makes what was found of a share an upper limit; blank without."""
    finds = trial.tails.finds_percent
    return "" if finds is None else f" The tails method is known to find {figures(finds)} %, so this is an upper limit."


def root_mean_square(floors: Numbers) -> Numbers:
    """One floor of a trial from the floors of its pairs on the last axis, whose variances average.

    >>> float(root_mean_square(np.array([3.0, 4.0, 5.0])).round(3))
    4.082
    """
    return np.asarray(np.sqrt(np.mean(np.square(floors), axis=-1)))
