"""What the strip of the logbook draws, made ready: numbers in the unit people read, more gold positive."""

from collections.abc import Sequence
from dataclasses import dataclass

from schemas.verdict import Code


@dataclass(frozen=True, slots=True)
class StripRow:
    """One trial.

    name, under: its name, and what stands in small type under it: day and change.
    code: its outcome; None where it has none, and then `told` says why.
    mean, limits: its gain, limits empty where there are none; no mean without an outcome.
    told, costs: the gain in words; what it costs and what was decided.
    lot: trials with the same number share a lot, and are joined; None where no other does.
    """

    name: str
    under: str
    code: Code | None
    mean: float | None
    limits: tuple[float, ...]
    told: str
    costs: str
    lot: int | None = None


@dataclass(frozen=True, slots=True)
class StripLots:
    """What one change comes to over its lots: the mean with its limits, and the range of the next lot."""

    code: Code
    mean: float
    limits: tuple[float, float]
    next_lot: tuple[float, float]
    told: str
    next_told: str


@dataclass(frozen=True, slots=True)
class StripPanel:
    """Trials that share an axis, the newest first.

    heading: what they have in common; blank where that is plain.
    axis: what the axis counts.
    line_ends: both ends of the line of what is worth having; empty where trials have lines of their own.
    lots: what they come to together, where they are of one change on three lots or more.
    """

    heading: str
    axis: str
    rows: Sequence[StripRow]
    line_ends: tuple[float, ...] = ()
    lots: StripLots | None = None
