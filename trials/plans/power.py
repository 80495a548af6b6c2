"""How often would so many pairs find a change, and how many pairs are enough?"""

import math
from collections.abc import Callable
from functools import lru_cache

from schemas import MeasureName
from trials.noise.effect import LARGEST_SHIFT, true_difference
from trials.noise.situation import Situation
from trials.plans.effect_size import budget_at, effect_size
from trials.plans.stopped import chance_stopped
from trials.simulation.gear import TrueEffect
from trials.statistics.blocks_needed import block_power, blocks_needed
from trials.statistics.called_better import chance_called_better
from trials.statistics.pairs_needed import pairs_needed

FEWEST_PLANNED, MOST_PLANNED = 3, 60
USUAL_POWER = 0.8
SELDOM_FOUND = 1.0 - USUAL_POWER
"""A check that stops a larger share of the trials leaves less to be found than is asked for, whatever the pairs."""
# Drift takes apart a tenth of the halves in a trial of 60 pairs that it does in one of 6, which makes an effect at the
# most sqrt(10) times as large: where by that of 6 over ten times as many are needed, 60 are too few.
_FAR_TOO_MANY = 10 * MOST_PLANNED
_LEAST_SHIFT = 0.02
_LONGER = 1.3
_HALVINGS = 7


@lru_cache(maxsize=4_096)
def pairs_for(effect: float, *, level: float = 0.95) -> int | None:
    """How many pairs find a difference of so many SDs 4 times in 5? 3 or more; None for none at all, or over a million.

    >>> pairs_for(1.0), pairs_for(-9.0), pairs_for(0.1), pairs_for(0.0)
    (10, 3, 787, None)
    """
    needed = pairs_needed(effect, power=USUAL_POWER, level=level) if effect else None
    return None if needed is None else max(FEWEST_PLANNED, needed)


def chance_to_find(
    measure: MeasureName, situation: Situation, change: TrueEffect, pairs: int, *, level: float = 0.95
) -> float:
    """How often, 0 to 1, do so many pairs, 2 or more, call a gain better that is just worth having?

    A loss: worse. Not in it are trials that a check stops, and those whose interval lies inside the line.

    >>> from trials.simulation.dirt import Dirt
    >>> rich = Situation(dirt=Dirt(900, "fine"))
    >>> [round(chance_to_find("recovery", rich, TrueEffect(shift_logit=0.45), pairs), 2) for pairs in (6, 12)]
    [0.52, 0.88]
    """
    called = _chance_called(measure, situation, change, pairs, level)
    return called * (1.0 - chance_stopped(measure, situation, change, pairs))


def _chance_called(measure: MeasureName, situation: Situation, change: TrueEffect, pairs: int, level: float) -> float:
    """The same if no check stopped any trial."""
    return chance_called_better(abs(effect_size(measure, situation, change, pairs=pairs).effect), pairs, level=level)


def _chance_if_enough(
    measure: MeasureName, situation: Situation, change: TrueEffect, pairs: int, level: float
) -> float:
    """`chance_to_find`, or more but still too little where checks need not be asked to know that."""
    called = _chance_called(measure, situation, change, pairs, level)
    return called if called < USUAL_POWER else called * (1.0 - chance_stopped(measure, situation, change, pairs))


def pairs_to_find(measure: MeasureName, situation: Situation, change: TrueEffect, *, level: float = 0.95) -> int | None:
    """How many pairs, 3 or more, find a change 4 times in 5? None where 60 are too few.

    >>> from trials.simulation.dirt import Dirt
    >>> rich = Situation(dirt=Dirt(900, "fine"))
    >>> pairs_to_find("recovery", rich, TrueEffect(shift_logit=0.45)), pairs_to_find("recovery", rich, TrueEffect())
    (10, None)
    """
    by_luck = pairs_for(effect_size(measure, situation, change).effect, level=level)
    if by_luck is None or by_luck > _FAR_TOO_MANY:
        return None
    return fewest_pairs(lambda pairs: _chance_if_enough(measure, situation, change, pairs, level), by_luck)


def blocks_to_find(measure: MeasureName, situation: Situation, change: TrueEffect, arms: int) -> int | None:
    """How many blocks of a graded trial, 3 or more, find a change of one level 4 times in 5? None where 60 are too few.

    The other levels are taken to scatter as the unchanged gear does.

    >>> from trials.simulation.dirt import Dirt
    >>> rich = Situation(dirt=Dirt(900, "fine"))
    >>> [blocks_to_find("recovery", rich, TrueEffect(shift_logit=0.45), arms) for arms in (3, 5)]
    [14, 15]
    """
    effect = effect_in_blocks(measure, situation, change)
    if not effect:
        return None

    def chance(blocks: int) -> float:
        return block_power(effect, arms, blocks) * (1.0 - chance_stopped(measure, situation, change, blocks))

    return fewest_pairs(chance, blocks_needed(effect, arms))


def effect_in_blocks(measure: MeasureName, situation: Situation, change: TrueEffect) -> float:
    """What a graded trial sees of a change of one level, in SDs of a difference in a block of unchanged gear."""
    sd = budget_at(measure, situation).sd_pair
    return effect_size(measure, situation, change).seen / sd if 0 < sd < math.inf else 0.0


def fewest_pairs(chance: Callable[[int], float], about: int | None) -> int | None:
    """With how many pairs, 3 to 60, is a chance that grows with them first 4 in 5? None where 60 are too few.

    `about` is where to look first; None, or over 60: at 60 alone, and below it where that is enough.
    """
    enough = min(about or MOST_PLANNED, MOST_PLANNED)
    too_few = FEWEST_PLANNED - 1
    if chance(enough) < USUAL_POWER:
        too_few, enough = enough, MOST_PLANNED
        if too_few == MOST_PLANNED or chance(enough) < USUAL_POWER:
            return None
    elif enough > FEWEST_PLANNED and chance(enough - 1) < USUAL_POWER:
        return enough
    while enough - too_few > 1:
        middle = (enough + too_few) // 2
        enough, too_few = (middle, too_few) if chance(middle) >= USUAL_POWER else (enough, middle)
    return enough


def smallest_found(measure: MeasureName, situation: Situation, pairs: int, *, level: float = 0.95) -> float | None:
    """How small a gain do so many pairs, 2 or more, find 4 times in 5, on the measure's scale?

    What it truly does in a usual trial; None where there is no such gain to be had. Looked for among changes alike in
    every size class, from small to large, to 1 % of it.

    >>> from trials.simulation.dirt import Dirt
    >>> rich = Situation(dirt=Dirt(900, "fine"))
    >>> round(smallest_found("recovery", rich, 10), 1)
    5.2
    """

    def finds(shift: float) -> bool:
        change = TrueEffect(shift_logit=shift)
        return chance_to_find(measure, situation, change, pairs, level=level) >= USUAL_POWER

    too_small, enough = 0.0, _LEAST_SHIFT
    while not finds(enough):
        too_small, enough = enough, enough * _LONGER
        if enough > LARGEST_SHIFT:
            return None
    for _ in range(_HALVINGS):
        middle = (too_small + enough) / 2.0
        enough, too_small = (middle, too_small) if finds(middle) else (enough, middle)
    return true_difference(measure, situation, TrueEffect(shift_logit=enough))
