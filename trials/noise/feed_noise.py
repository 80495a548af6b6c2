"""How far the gold in two like halves differs by the luck of its grains."""

import math

from trials.simulation.dirt import Dirt


def feed_noise_cv(dirt: Dirt) -> float:
    """How far does the gold of one half lie from what was expected, by the luck of its grains and of the split?

    A CV: sqrt(sum n m^2 (v + cv^2)) / sum n m, the spread of a sum of a random number of random grains. Two halves
    differ by sqrt(2) times as much. Infinite without gold.

    >>> round(feed_noise_cv(Dirt(gold_mg=9, size_set="coarse", grain_cv=0.0)), 2)
    0.7
    """
    grains, mass_mg = dirt.expected_grains(), dirt.grain_masses_mg()
    if dirt.gold_mg == 0.0:
        return math.inf
    squares = float(grains @ mass_mg**2) * (dirt.split_vmr + dirt.grain_cv**2)
    return math.sqrt(squares) / float(grains @ mass_mg)
