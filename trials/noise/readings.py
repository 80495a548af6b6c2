"""What the scale makes of gold that is truly there: it errs, it rounds, and it shows nothing at all of a speck."""

import math
from dataclasses import dataclass
from typing import Self

import numpy as np

from trials.noise.quadrature import bell, even
from trials.simulation.noise_model import Noise
from trials.simulation.work_up import net_weight_sd_mg
from trials.statistics import special
from trials.statistics.arrays import Numbers

_LEAST_VARIANCE = 1e-12
_NEAR_AN_END = 1e-9


@dataclass(frozen=True, slots=True)
class GoldScale:
    """The scale the gold is weighed on: the SD of one net weighing, and its step, 0 where it does not round."""

    net_sd_mg: float
    division_mg: float

    @property
    def is_exact(self) -> bool:
        """It shows what is there."""
        return self.net_sd_mg == 0.0 and self.division_mg == 0.0

    def shows(self, true_mg: Numbers, points: int) -> tuple[Numbers, Numbers]:
        """Read masses at so many nodes of the error of weighing, as `trials.simulation.work_up.weigh_mg` does.

        Returns the readings, with one axis more, and the weights of that axis.
        """
        error = even(points) if self.net_sd_mg > 0.0 else bell(0.0)
        shown = true_mg[..., np.newaxis] + self.net_sd_mg * error.at
        if self.division_mg:
            shown = np.rint(shown / self.division_mg) * self.division_mg
        return np.maximum(shown, 0.0), error.weight


def scale_of(noise: Noise) -> GoldScale:
    """Give the scale of these habits."""
    return GoldScale(net_weight_sd_mg(noise.scale_sd_g), 1000.0 * noise.scale_division_g)


@dataclass(frozen=True, eq=False)
class Read:
    """What is read of a run at each node; shape (nodes,).

    by_scale: Variance that the scale adds to that of the true gold; under 0 where it hides some of that.
    zero_share: Chance that a run shows none.
    mean_error: Mean reading less mean of the truth, in the unit that is read.
    pull: The same of what the measure makes of it: of the log of a mass; of a share it is the mean error.
    """

    by_scale: Numbers
    zero_share: Numbers
    mean_error: Numbers
    pull: Numbers

    @classmethod
    def of_truth(cls, zero_share: Numbers) -> Self:
        """The truth itself, as of what is counted or weighed without any error."""
        none = np.zeros_like(zero_share)
        return cls(none, zero_share, none, none)


def read_log_mass(mean: Numbers, variance: Numbers, none: Numbers, scale: GoldScale, runs: int) -> Read:
    """How does weighing change the scatter of the log of a mass, at each node?

    `mean` and `variance` are of the natural log of the true mass in mg, where there is any; `none` is the chance that
    there is no gold at all. One 0 among the `runs` of the trial adds half a division to all.

    The true mass is taken as log-normal. Pairs that show 0 and 0 are empty and do not count. Without any division a 0
    has no log, and the scatter is that of the others. Rule for zeros: `trials.measures.scales.log_masses`.
    Derived.

    A mass of 100 mg read with an SD of 5 mg: (5/100)^2.

    >>> read = read_log_mass(np.log([100.0]), np.array([0.01]), np.zeros(1), GoldScale(5.0, 1.0), runs=12)
    >>> read.by_scale.round(4), read.zero_share
    (array([0.0026]), array([0.]))
    """
    # Every node of the true log mass by every node of the error of weighing: shape (nodes, 13, 21).
    luck = bell(1.0, 13)
    true = np.exp(mean[:, np.newaxis] + np.sqrt(variance)[:, np.newaxis] * luck.at)
    shown, error_weight = scale.shows(true, 21)
    weight = luck.weight[:, np.newaxis] * error_weight
    # A run that shows none has no log: chance of it, and the scatter of the logs of all others.
    has = shown > 0.0
    some = np.maximum((has * weight).sum(axis=(1, 2)), 1e-300)
    zero_share = none + (1.0 - none) * (~has * weight).sum(axis=(1, 2))
    over_zero = has * weight / some[:, np.newaxis, np.newaxis]
    logs, without = _mean_and_variance(np.log(np.where(has, shown, 1.0)), over_zero)
    if scale.division_mg:
        # One 0 among the runs adds half a division to all: with the chance that no run of the trial is 0 the plain logs
        # hold, else logs of mass and half a division, in which the zeros are a point mass at the log of the half. Of
        # such trials the pairs 0 and 0 drop out, which leaves 1 - zeros^2 of the pairs.
        none_at_all = (1.0 - zero_share) ** runs
        half = scale.division_mg / 2.0
        level, scatter = _mean_and_variance(np.log(shown + half), over_zero)
        zeros = np.minimum(zero_share / np.maximum(1.0 - none_at_all, 1e-12), 1.0)
        mixed = (1.0 - zeros) * scatter + zeros * (1.0 - zeros) * (level - math.log(half)) ** 2
        without = none_at_all * without + (1.0 - none_at_all) * mixed / np.maximum(1.0 - zeros**2, 1e-12)
        logs = none_at_all * logs + (1.0 - none_at_all) * (level + zeros * math.log(half)) / (1.0 + zeros)
    error = (1.0 - none) * ((shown * weight).sum(axis=(1, 2)) - true @ luck.weight)
    return Read(by_scale=without - variance, zero_share=zero_share, mean_error=error, pull=logs - mean)


def read_share(mean: Numbers, variance: Numbers, found_mg: Numbers, found_log_sd: Numbers, scale: GoldScale) -> Read:
    """How does weighing catch and tails change the scatter of recovery, as a share, at each node?

    Runs that show no gold at all do not count. `mean` and `variance` are those of the true share kept; `found_mg`, over
    0, is the gold found in all, and `found_log_sd` the SD of its log.

    The share is taken to follow a beta law with this mean and variance, and the gold found in all a log-normal one on
    its own. (Were catch and tails two gamma sums with grains of one size, both would be so but for the log-normal:
    Lukacs, Annals of Mathematical Statistics 26, 1955, p. 319; value from memory.)

    Each weighed with an SD of 1 mg in 100: close to (0.9^2 + 0.1^2) 1^2/100^2 = 8.2e-5.

    >>> read = read_share(np.array([0.9]), np.array([1e-4]), np.array([100.0]), np.array([0.01]), GoldScale(1.0, 0.0))
    >>> read.by_scale.round(6)
    array([8.2e-05])
    """
    # The beta law with this mean and variance has parameters mean x certainty and (1 - mean) x certainty.
    mean = np.clip(mean, _NEAR_AN_END, 1.0 - _NEAR_AN_END)
    variance = np.clip(variance, _LEAST_VARIANCE, mean * (1.0 - mean) * (1.0 - 1e-9))
    certainty = mean * (1.0 - mean) / variance - 1.0
    luck, rich = bell(1.0, 7), bell(1.0, 3)
    share = special.betaincinv(
        (mean * certainty)[:, np.newaxis], ((1.0 - mean) * certainty)[:, np.newaxis], special.ndtr(luck.at)
    )
    # What is found in all has the mean found_mg: a log-normal with its log SD, shifted down by half its variance.
    log_sd = found_log_sd[:, np.newaxis]
    found = found_mg[:, np.newaxis] * np.exp(log_sd * rich.at - log_sd**2 / 2.0)
    in_catch = share[:, :, np.newaxis] * found[:, np.newaxis, :]
    in_tails = (1.0 - share)[:, :, np.newaxis] * found[:, np.newaxis, :]
    # Axes: node, share, found in all, error in the catch, error in the tails.
    catch, catch_weight = scale.shows(in_catch, 7)
    tails, tails_weight = scale.shows(in_tails, 9)
    catch, tails = catch[..., np.newaxis], tails[..., np.newaxis, :]
    total = catch + tails
    has = total > 0.0
    weight = luck.weight[:, np.newaxis, np.newaxis, np.newaxis] * rich.weight[:, np.newaxis, np.newaxis]
    weight = has * (weight * catch_weight[:, np.newaxis] * tails_weight)
    weight /= np.maximum(weight.sum(axis=(1, 2, 3, 4), keepdims=True), 1e-300)
    shown_mean, shown_variance = _mean_and_variance(catch / np.where(has, total, 1.0), weight)
    true_mean, true_variance = _mean_and_variance(share, np.broadcast_to(luck.weight, share.shape))
    return Read(
        by_scale=shown_variance - true_variance,
        zero_share=np.zeros_like(mean),
        mean_error=shown_mean - true_mean,
        pull=shown_mean - true_mean,
    )


def _mean_and_variance(values: Numbers, weight: Numbers) -> tuple[Numbers, Numbers]:
    """Average over all axes but the first, with weights that add up to 1 on them."""
    axes = tuple(range(1, values.ndim))
    mean: Numbers = (weight * values).sum(axis=axes)
    away = values - mean.reshape(-1, *([1] * len(axes)))
    return mean, (weight * away**2).sum(axis=axes)
