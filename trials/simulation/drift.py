"""A hand that improves from run to run until it has learned, and what that does to a trial. Assumed, not measured."""

from typing import Final

import numpy as np

from trials.statistics.arrays import Numbers

LEARNED_AT_RUN: Final = 12
"""The run from which on a hand improves no more: about a dozen, assumed, no source."""


def drift_by_turn(points_per_run: float, runs: int) -> Numbers:
    """How far from the mean of its trial does drift take each run, in the order they were made?

    Up to the twelfth run each is better by so many points than the one before it; from then on all are alike. It is
    centred on the trial: what the gear is said to keep is what it keeps on the average of all runs, however many there
    are, so that a long trial has as much to gain as a short one. Points of recovery at 90 %; negative ones worsen.

    Assumed noise model, no source.

    >>> drift_by_turn(1.0, 4)
    array([-1.5, -0.5,  0.5,  1.5])
    >>> drift_by_turn(1.0, 24)[[0, 1, 10, 11, 12, 23]]
    array([-8.25, -7.25,  1.75,  2.75,  2.75,  2.75])
    """
    learned = np.minimum(np.arange(runs), LEARNED_AT_RUN - 1)
    off: Numbers = points_per_run * (learned - learned.mean())
    return off
