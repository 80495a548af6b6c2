"""How far do pairs scatter, and how many does the line need? Three places to know the scatter from."""

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from schemas import Guess
from trials.measures.measure import Measure
from trials.noise.budget import Budget
from trials.statistics.pairs_needed import pairs_needed, smallest_findable
from trials.statistics.scatter import pilot_allowance
from trials.wording.lists import count_of
from trials.wording.numbers import figures

FEWEST_PLANNED, MOST_PLANNED = 3, 60
CHANCES = 0.8
Origin = Literal["typed", "earlier trial", "noise budget"]


@dataclass(frozen=True, slots=True)
class Scatter:
    """The SD of pair differences to plan with.

    Attributes
    ----------
    sd
        On the measure's scale, any allowance for a loose pilot in it.
    seen
        As it was seen or reckoned, without the allowance.
    origin
        Where it is from.
    pairs
        How many pairs it was seen in; None where it was not seen.
    trial
        The earlier trial, where there is one.
    """

    sd: float
    seen: float
    origin: Origin
    pairs: int | None = None
    trial: str | None = None


def typed_scatter(guess: Guess, measure: Measure) -> Scatter | None:
    """Read the scatter a person typed: points for measures in points, % for ratios. None where there is none.

    Raises
    ------
    ValueError
        Points for a ratio, or % for points.

    Examples
    --------
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
    return Scatter(sd=sd, seen=sd, origin="typed")


def scatter_from_trial(name: str, sd: float, pairs: int) -> Scatter:
    """Take the SD seen in an earlier trial, raised because so few pairs leave it loose.

    Parameters
    ----------
    name
        Of that trial.
    sd
        Seen there, on the same scale, over 0.
    pairs
        It was seen in, 2 or more.

    Notes
    -----
    Raised by `pilot_allowance`: 1.46 at 6 pairs, so that it is enough 4 times in 5.

    Examples
    --------
    >>> round(scatter_from_trial("T0", 2.0, 6).sd, 2)
    2.92
    """
    return Scatter(sd=sd * float(pilot_allowance(pairs)), seen=sd, origin="earlier trial", pairs=pairs, trial=name)


def scatter_of_budget(budget: Budget) -> Scatter:
    """Take the SD that the noise budget foretells."""
    return Scatter(sd=budget.sd_pair, seen=budget.sd_pair, origin="noise budget")


def scatter_words(scatter: Scatter, measure: Measure) -> str:
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


@lru_cache(maxsize=4)
def findable_by_pairs(level: float = 0.95) -> NDArray[np.float64]:
    """How small a difference, in SDs, do 3 to 60 pairs find 4 times in 5? One value for each number of pairs."""
    values: NDArray[np.float64] = smallest_findable(
        np.arange(FEWEST_PLANNED, MOST_PLANNED + 1), power=CHANCES, level=level
    )
    return values


def pairs_for(difference: float, sd: float, *, level: float = 0.95) -> int | None:
    """How many pairs find a true difference of this size 4 times in 5?

    Parameters
    ----------
    difference
        On the measure's scale, not 0.
    sd
        Of a pair difference, on the same scale, over 0.
    level
        Of the interval that has to leave 0 out.

    Returns
    -------
    int or None
        3 or more; None where 60 are too few: a plan holds no more.

    Examples
    --------
    >>> pairs_for(1.0, 1.0), pairs_for(0.1, 1.0), pairs_for(9.0, 1.0)
    (10, None, 3)
    """
    enough = np.flatnonzero(findable_by_pairs(level) * sd <= abs(difference))
    return FEWEST_PLANNED + int(enough[0]) if enough.size else None


def pairs_without_limit(difference: float, sd: float, *, level: float = 0.95) -> int | None:
    """How many pairs would find it, were there no end to a plan? None over a million.

    >>> pairs_without_limit(0.1, 1.0)
    787
    """
    return pairs_needed(difference / sd, power=CHANCES, level=level)
