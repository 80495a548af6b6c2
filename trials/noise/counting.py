"""How far is a count of grains off, by their size? The one rule, for simulation, budget, power and plan alike."""

import math
import statistics
from collections.abc import Mapping, Sequence
from itertools import pairwise
from types import MappingProxyType
from typing import Final, Literal

import numpy as np

from trials.simulation.dirt import CLASS_COUNT, CLASS_EDGES_MM
from trials.simulation.noise_model import Noise
from trials.statistics.arrays import Numbers
from trials.statistics.scatter import pilot_allowance

Care = Literal["careful", "usual", "hurried"]
EASY_MM, FINE_MM = 0.3, math.sqrt(0.10 * 0.15)
COUNT_CV: Final[Mapping[Care, tuple[float, float]]] = MappingProxyType(
    {"careful": (0.01, 0.05), "usual": (0.02, 0.10), "hurried": (0.03, 0.15)}
)
"""CV of one count of grains of 0.3 mm and over, and of 0.1 to 0.15 mm: assumed, common practice, no source (1 to 3 %
and 5 to 15 % by loupe in a dish). Which care has which is our default."""
WORST_CV = 0.5
_OF_A_WHOLE_COUNT = 1.0 / math.sqrt(12.0)  # SD that rounding to whole grains hides: a flat law of width 1


def assumed_count_cv(size_mm: float, care: Care = "usual") -> float:
    """What is the CV of one count of grains of this size, over 0 mm?

    The same over 0.3 mm; under it a straight line on the logs of size and CV, and 50 % at the worst.

    >>> [round(assumed_count_cv(size), 3) for size in (1.0, 0.25, 0.126, 0.089)]
    [0.02, 0.028, 0.095, 0.177]
    """
    easy, fine = COUNT_CV[care]
    steepness = math.log(fine / easy) / math.log(EASY_MM / FINE_MM)
    return min(easy * math.pow(max(EASY_MM / size_mm, 1.0), steepness), WORST_CV)


def assumed_count_cvs(care: Care = "usual") -> tuple[float, ...]:
    """The same at the middle of each of the ten size classes, coarsest first."""
    return tuple(assumed_count_cv(math.sqrt(upper * lower), care) for upper, lower in pairwise(CLASS_EDGES_MM))


def recounted_cv(counts: Sequence[int]) -> float:
    """What CV must be planned with, where one vial was counted so often, 2 times or more, over 0 grains each?

    Their SD over their mean, raised as so few counts leave it loose (`pilot_allowance`, 2.12 for three); counts that
    agree err by what whole grains hide at the least.

    >>> round(recounted_cv((97, 101, 92)), 3), round(recounted_cv((100, 100, 100)), 4)
    (0.099, 0.0061)
    """
    sd = max(statistics.stdev(counts), _OF_A_WHOLE_COUNT)
    return min(sd / statistics.mean(counts) * float(pilot_allowance(len(counts))), WORST_CV)


def counting_cv_by_class(noise: Noise) -> Numbers:
    """The CV of one count by size class, shape (10,); 0 where counts are exact."""
    return np.asarray(noise.counting_cv or (0.0,) * CLASS_COUNT)
