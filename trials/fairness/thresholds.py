"""Where each check begins to speak. These are our defaults, not findings: each is printed with its finding."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

# A value may miss its limit by so much of it, or of 1, in the last bits of its float, and is still on it.
LIMIT_DUST = 1e-9

# the plan and the order
ONE_ARM_FIRST_WEAKENS_SHARE = 1.0 / 3.0
ORDER_NEEDS_PAIRS = 3
EXTENDED_FALSE_ALARMS = "about 8 to 9 %"

# two like halves
HALVES_DIFFER_WEAKENS_PERCENT = 5.0
HALVES_DIFFER_STOP_PERCENT = 15.0
HALVES_LEAN_PERCENT = 3.0  # of the mean over the pairs, which luck leaves near 0; half of it where all lean one way
COARSE_SHARE_APART_PERCENT = 10.0  # of all gold found, points; half of it where nearly all pairs lean one way
COARSE_OVER_MM = 0.3  # the opening of 50 mesh, ASTM E11

# settings, water and hands
PITCH_APART_DEG = 0.5
SETTING_APART_PERCENT = 15.0
ARM_MEANS_NEED_RUNS = 3  # in each arm: a mean of fewer is mostly reading luck
WATER_IN_A_RUN_PERCENT = 15.0
WATER_BETWEEN_ARMS_PERCENT = 5.0
TEMP_APART_NOTE_C = 3.0
TEMP_APART_WEAKENS_C = 8.0
DOSE_BETWEEN_ARMS_PERCENT = 5.0
FEED_BETWEEN_ARMS_PERCENT = 20.0

CLOUD_APART = 1.0  # of water and of clay, by eye from 0 to 3
MOISTURE_APART_PERCENT = 3.0  # points of the mass fed

# readings that lie to one side in nearly all pairs, each by little
LEAN_SHARE = 0.5  # of the limit for the means of the arms
LEAN_LEVEL = 1.0 / 16.0  # all of 5 pairs on one side
LEAN_SURE_PAIRS = 5  # under them luck alone puts all pairs on one side too often, and the whole limit has to be passed
LEAN_NEEDS_PAIRS = 3
LEAN_GAIN_SHARE = 1.0 / 3.0  # of the difference seen, 1 % of a setting taken for 1 % of gold; no source
SETTLING_PERCENT_PER_C = 1.6  # 0.15 mm gold settles about 24 % slower at 5 C than at 20 C: derived, no source

# gold weighed and grains counted
ZERO_RUNS_STOP_PERCENT = 20.0
SCALE_STEPS_WEAKENS = 50.0
SCALE_STEPS_STOP = 10.0
BIG_PIECE_PERCENT = 20.0
FEW_GRAINS = 20.0
CHECK_WEIGHT_STEPS = 1.0  # between its two readings
MISSING_GRAINS_PERCENT = 5.0
SLIP_TIMES = 50.0
SLIP_NEEDS_OTHERS = 2  # that found some, in the same arm
VOIDS_KNOWN_STOP = 2
VOIDS_UNEVEN_NOTE = 2

# notes on the pairs themselves, rare enough that all notes together reach about 1 fair trial in 10
NOTE_LEVEL = 0.02
OVER_DISPERSION_LEVEL = 0.05
DRIFT_LEVEL = 0.05  # a drift is seen in few of the degrees of freedom that sessions leave
ONE_PAIR_CARRIES_LEVEL = 0.95  # of the interval that zero is held against
TOO_TIDY_LEVEL = 0.01
TOO_TIDY_NEEDS_VARIANCE = 10.0  # of one pair's count by counting luck, in grains squared: as 40 grains halved
ORDER_EFFECT_NEEDS_PAIRS = 4
ORDER_ADJUSTED_NEEDS_PAIRS = 8
ONE_PAIR_CARRIES_NEEDS_PAIRS = 8
ODD_PAIR_NEEDS_PAIRS = 4  # of 3, two alike make the third odd
COUNT_SCATTER_NEEDS_PAIRS = 3
DRIFT_NEEDS_RUNS = 6
DRIFT_NEEDS_SESSIONS = 4  # for their means to be the points of a line
DRAW_DISAGREES_NEEDS_PAIRS = 7


def past(value: ArrayLike, limit: float) -> NDArray[np.bool_]:
    """Whether a value, or each of many, is over a limit; on it is not over, whatever the last bits of a float say.

    >>> bool(past(9.2 - 6.2, 3.0)), bool(past(8.3 - 5.3, 3.0)), bool(past(3.01, 3.0))
    (False, False, True)
    """
    return np.asarray(np.asarray(value) > limit + LIMIT_DUST * max(1.0, abs(limit)))


def short_of(value: ArrayLike, limit: float) -> NDArray[np.bool_]:
    """Whether a value, or each of many, is under a limit; on it is not under.

    >>> bool(short_of(50.0, 50.0)), bool(short_of(49.9, 50.0))
    (False, True)
    """
    return np.asarray(np.asarray(value) < limit - LIMIT_DUST * max(1.0, abs(limit)))
