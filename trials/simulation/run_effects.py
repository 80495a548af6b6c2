"""How far each run stands from a run without luck, before the grains are drawn. Assumed, not measured."""

from typing import Final

import numpy as np

from trials.simulation.arrays import IntArray
from trials.simulation.noise_model import Noise, logit_sd
from trials.simulation.schedule import Schedule, by_label
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


def draw_run_effects(rng: np.random.Generator, noise: Noise, schedule: Schedule) -> Numbers:
    """Draw how much easier or harder each run was for all its gold alike, on the logit of recovery.

    Process luck of the run, plus its session, plus its feeder, plus drift by turn, which is centred on the trial.
    Source: assumed noise model, no source.

    >>> from trials.simulation.schedule import paired_schedule
    >>> drifting = Noise(drift_points_per_run=0.9)
    >>> draw_run_effects(np.random.default_rng(1), drifting, paired_schedule([False, True])).round(2)
    array([[[-0.15, -0.05],
            [ 0.15,  0.05]]])
    """
    process = rng.normal(0.0, logit_sd(noise.process_sd_points), schedule.shape)
    session = _shared(rng, noise.session_sd_points, schedule.session)
    feeder = _shared(rng, noise.operator_sd_points, schedule.feeder)
    _, pairs, arms = schedule.shape
    by_turn = drift_by_turn(logit_sd(noise.drift_points_per_run), pairs * arms)
    drift = by_turn[schedule.turn - 1]
    effects: Numbers = process + session + feeder + drift
    return effects


def _shared(rng: np.random.Generator, sd_points: float, labels: IntArray) -> Numbers:
    values = rng.normal(0.0, logit_sd(sd_points), (labels.shape[0], int(labels.max(initial=0)) + 1))
    return by_label(values, labels)
