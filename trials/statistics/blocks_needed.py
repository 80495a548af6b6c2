"""How many blocks does a difference of this size between a level and the baseline need?"""

import math
from functools import lru_cache

import numpy as np

from trials.statistics import special
from trials.statistics.arrays import Numbers
from trials.statistics.dunnett import dunnett_value

FEWEST_BLOCKS = 3
MOST_BLOCKS = 2_000
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(96)
_HALVINGS = 26


@lru_cache(maxsize=4096)
def block_power(effect: float, arms: int, blocks: int) -> float:
    """How often would a trial of so many arms and blocks find a true difference of one level from the baseline?

    `effect` is the difference over the SD of a difference within a block (sqrt 2 run SDs), and may be infinite; `arms`
    are the set-ups, the baseline counted, 2 or more; `blocks` 2 or more.

    E[Phi(d sqrt b - c r) + Phi(-d sqrt b - c r)], r^2 = max((A + B)/nu, A/(b - 1)), A ~ chi2(b - 1), B ~ chi2((arms -
    2)(b - 1)), nu their sum, c Dunnett's value: by 96 x 96 points, as the rule of the larger scatter has it. Own
    formula, checked by simulation; for 2 arms the noncentral t (Johnson & Welch, Biometrika 31, 1940, p. 362).

    >>> round(block_power(1.0, 2, 8), 4), round(block_power(1.0, 4, 6), 4)
    (0.6808, 0.3903)
    """
    if math.isnan(effect) or arms < 2 or blocks < 2:
        raise ValueError(f"effect {effect}, {arms} arms, {blocks} blocks: give an effect, 2 arms and 2 blocks.")
    df = (arms - 1) * (blocks - 1)
    own, own_weight = _chi_square(blocks - 1)
    rest, rest_weight = _chi_square((arms - 2) * (blocks - 1))
    pooled = (own[:, np.newaxis] + rest) / df
    ratio = np.sqrt(np.maximum(pooled, own[:, np.newaxis] / (blocks - 1)))
    c, shift = dunnett_value(arms - 1, df), abs(effect) * math.sqrt(blocks)
    found = special.ndtr(shift - c * ratio) + special.ndtr(-shift - c * ratio)
    return float(own_weight @ found @ rest_weight)


def _chi_square(df: int) -> tuple[Numbers, Numbers]:
    """Points of a chi-square and their weights; 0 alone where it has no degrees of freedom.

    Spaced evenly in its square root, between its points of 1e-14 of the tails.
    """
    if df == 0:
        return np.zeros(1), np.ones(1)
    low, high = (math.sqrt(2 * float(end(df / 2, 1e-14))) for end in (special.gammaincinv, special.gammainccinv))
    root = low + (high - low) * (_NODES + 1) / 2
    log_density = (df - 1) * np.log(root) - root * root / 2 - (df / 2 - 1) * math.log(2) - math.lgamma(df / 2)
    return root * root, _WEIGHTS * (high - low) / 2 * np.exp(log_density)


def blocks_needed(effect: float, arms: int, *, power: float = 0.8) -> int | None:
    """How many blocks, 3 or more, find a true difference of this size so often? None if 2,000 are too few.

    As `block_power`; `effect` is not 0.

    >>> [blocks_needed(size, 5) for size in (2.0, 1.5, 1.0)]
    [5, 7, 13]
    """
    if math.isnan(effect) or effect == 0 or not 0.05 < power < 1:
        raise ValueError(f"effect {effect}, power {power}: give an effect that is not 0, and a power from 0.05 to 1.")
    if block_power(effect, arms, MOST_BLOCKS) < power:
        return None
    too_few, enough = FEWEST_BLOCKS - 1, FEWEST_BLOCKS
    while block_power(effect, arms, enough) < power:
        too_few, enough = enough, min(2 * enough, MOST_BLOCKS)
    while enough - too_few > 1:
        middle = (enough + too_few) // 2
        too_few, enough = (too_few, middle) if block_power(effect, arms, middle) >= power else (middle, enough)
    return enough


def smallest_findable_in_blocks(blocks: int, arms: int, *, power: float = 0.8) -> float:
    """How small a true difference, in SDs of a difference within a block, do so many blocks find so often?

    >>> [round(smallest_findable_in_blocks(blocks, 5), 2) for blocks in (3, 4, 6, 8)]
    [2.58, 2.05, 1.56, 1.31]
    """
    low, high = 0.0, 1.0
    while block_power(high, arms, blocks) < power:
        high *= 2
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (low, middle) if block_power(middle, arms, blocks) >= power else (middle, high)
    return high
