"""What the scale shows for a mass that is truly there."""

import math

import numpy as np

from trials.statistics.arrays import Numbers


def net_weight_sd_mg(scale_sd_g: float) -> float:
    """Give the SD of one net weighing, mg: two readings, gross less tare, each with this SD."""
    return 1000.0 * scale_sd_g * math.sqrt(2)


def weigh_mg(
    rng: np.random.Generator, true_mg: Numbers, *, scale_sd_g: float, scale_division_g: float = 0.0
) -> Numbers:
    """Draw the net weight that is written down, mg, never negative. No gold at all is not weighed: 0.

    `scale_division_g` is the step of the scale; 0 does not round. Normal error is assumed for simulation, no source.

    >>> rng = np.random.default_rng(1)
    >>> weigh_mg(rng, np.array([0.0, 5.2, 91.7]), scale_sd_g=0.002, scale_division_g=0.001)
    array([ 0.,  8., 93.])
    """
    shown = true_mg + net_weight_sd_mg(scale_sd_g) * rng.standard_normal(true_mg.shape)
    if scale_division_g:
        step_mg = 1000.0 * scale_division_g
        shown = np.rint(shown / step_mg) * step_mg
    return np.where(true_mg > 0.0, np.maximum(shown, 0.0), 0.0)
