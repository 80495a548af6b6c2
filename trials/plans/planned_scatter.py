"""How far do pairs scatter? Three places to know it from: typed, seen in an earlier trial, or foretold."""

import math
from dataclasses import dataclass
from typing import Literal

from schemas import Guess
from trials.measures.measure import Measure
from trials.statistics.scatter import pilot_allowance
from trials.wording.lists import count_of
from trials.wording.numbers import figures

Origin = Literal["typed", "earlier trial", "noise budget"]


@dataclass(frozen=True, slots=True)
class PlannedScatter:
    """The SD of pair differences to plan with.

    sd: On the measure's scale, any allowance for a loose pilot in it.
    seen: As it was seen or reckoned, without the allowance.
    pairs: How many pairs it was seen in; None where it was not seen.
    """

    sd: float
    seen: float
    origin: Origin
    pairs: int | None = None
    trial: str | None = None


def typed_scatter(guess: Guess, measure: Measure) -> PlannedScatter | None:
    """Read the scatter a person typed: points for measures in points, % for ratios. None where there is none.

    The other unit is refused with ``ValueError``.

    >>> from trials.measures.grain_counts import GRAIN_COUNTS
    >>> round(typed_scatter(Guess(scatter_percent=25.0), GRAIN_COUNTS).sd, 3)
    0.223
    """
    wrong = guess.scatter_points if measure.is_ratio else guess.scatter_percent
    if wrong is not None:
        key, other = ("scatter_percent", "%") if measure.is_ratio else ("scatter_points", "points")
        raise ValueError(f"measure {measure.name} is told in {other}; write {key} instead")
    typed = guess.scatter_percent if measure.is_ratio else guess.scatter_points
    if typed is None:
        return None
    sd = math.log1p(typed / 100.0) if measure.is_ratio else typed
    return PlannedScatter(sd=sd, seen=sd, origin="typed")


def scatter_from_trial(name: str, sd: float, pairs: int) -> PlannedScatter:
    """Take the SD seen in so many pairs, 2 or more, of an earlier trial, raised because so few leave it loose.

    Raised by `pilot_allowance`, 1.46 at 6 pairs, so that it is enough 4 times in 5.

    >>> round(scatter_from_trial("T0", 2.0, 6).sd, 2)
    2.92
    """
    return PlannedScatter(
        sd=sd * float(pilot_allowance(pairs)), seen=sd, origin="earlier trial", pairs=pairs, trial=name
    )


def scatter_words(scatter: PlannedScatter, measure: Measure) -> str:
    """Say the scatter and where it is from.

    >>> from trials.measures.recovery import RECOVERY
    >>> print(scatter_words(scatter_from_trial("T0", 2.0, 6), RECOVERY))
    2 points as seen in T0 (6 pairs), taken as 2.92 because so few pairs leave it loose
    """
    unit = "%" if measure.is_ratio else "points"
    seen, taken = (figures(measure.spread_shown(value)) for value in (scatter.seen, scatter.sd))
    if scatter.origin == "typed":
        return f"{seen} {unit} as you typed it"
    if scatter.origin == "noise budget":
        return f"about {measure.spread_text(scatter.seen)}, reckoned from your dirt, scale and habits"
    pairs = count_of(scatter.pairs or 0, "pair")
    return f"{seen} {unit} as seen in {scatter.trial} ({pairs}), taken as {taken} because so few pairs leave it loose"
