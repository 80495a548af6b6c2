"""How far each run stands from a run without luck, before the grains are drawn. Assumed, not measured."""

import numpy as np

from trials.simulation.arrays import IntArray
from trials.simulation.drift import drift_by_turn
from trials.simulation.noise_model import Noise, logit_sd
from trials.simulation.schedule import Schedule, by_label
from trials.statistics.arrays import Numbers


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
