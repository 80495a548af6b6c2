"""The noise of one run, measure by measure: tracers, recovery, and the ratios of masses and counts."""

import math
from dataclasses import replace

import numpy as np

from schemas import MeasureName
from trials.measures.catalogue import measure_named
from trials.noise.first_order import closed_balance_sd, counting_variance, pair_square
from trials.noise.grains import grains_of, mean_shift, shared_sd
from trials.noise.kinds import DRIFT, HALVES, KEPT, RUN_TO_RUN, WORK_UP
from trials.noise.one_run import (
    OneRun,
    Parts,
    from_run_to_run,
    lay_out_run,
    of_the_grains,
    spread_over,
    with_scale,
)
from trials.noise.quadrature import bell, log_spread
from trials.noise.readings import Read, read_log_mass, read_share, scale_of
from trials.noise.situation import Situation
from trials.noise.sums import chance_of_none, log_of_sum, share_moments
from trials.simulation.noise_model import logit_sd
from trials.statistics.arrays import Numbers


def tracer_parts(situation: Situation, pairs: int) -> Parts:
    """What is the noise of a share, 0 to 1, of counted grains made of?

    >>> from trials.simulation.noise_model import Noise
    >>> from trials.simulation.tracers import SeededTracers
    >>> parts = tracer_parts(Situation(noise=Noise(), tracers=SeededTracers(100)), 6)
    >>> {kind: round(variance, 6) for kind, variance in parts.variances.items()}, round(parts.expected, 3)
    ({'luck of which grains are kept': 0.0009, 'run to run': 0.0, 'drift between the halves': 0.0}, 0.9)
    """
    tracers, noise = situation.tracers, situation.noise
    both, run = bell(shared_sd(noise, pairs)), bell(logit_sd(noise.process_sd_points))
    half_turn = logit_sd(noise.drift_points_per_run) / 2.0
    middle = mean_shift(noise, pairs) + both.at[:, np.newaxis] + run.at

    def chance(shift: Numbers) -> Numbers:
        """Give the chance to be kept, size by size, then by shared node and run node."""
        kept = 1.0 - grains_of(situation, shift).lost
        return np.moveaxis(kept[..., list(tracers.size_classes)], -1, 0)

    each, each_scatter = spread_over(run, chance(middle))
    counting = counting_variance(each, tracers.fed, each_scatter).mean(axis=0) / len(tracers.size_classes)
    _, of_run = spread_over(run, chance(middle).mean(axis=0))
    apart = run.mean((chance(middle + half_turn) - chance(middle - half_turn)).mean(axis=0))
    variances = {KEPT: counting, RUN_TO_RUN: of_run, DRIFT: apart**2 / 2.0}
    return Parts(
        variances={kind: float(both.mean(variance)) for kind, variance in variances.items()},
        expected=float(both.mean(each.mean(axis=0))),
    )


def recovery_parts(situation: Situation, pairs: int) -> Parts:
    """What is the noise of recovery, as a share, made of? Nothing found of any tails: always 1.

    >>> parts = recovery_parts(Situation(), 6)
    >>> round(parts.expected, 3), max(parts.variances, key=parts.variances.get)
    (0.924, 'scale')
    """
    noise = situation.noise
    if noise.tails_found == 0.0:
        return Parts({}, expected=1.0)
    one = lay_out_run("recovery", situation, pairs)
    grains, slopes, run, both = one.grains, one.slopes, one.run, one.both
    mean, square = share_moments(grains, noise.tails_found)
    middle, of_run = spread_over(run, mean)
    of_grains = run.mean(square - mean**2)
    of_work_up = run.mean(closed_balance_sd(mean, 0.0, math.sqrt(log_spread(noise.tails_cv))) ** 2)
    in_catch, in_tails = slopes.kept * grains.kept_mg, slopes.lost * grains.lost_mg
    unlike = pair_square(in_catch * (1.0 - noise.carry_over) + in_tails, in_catch * noise.carry_over)
    true = {
        **of_the_grains(one, of_grains),
        RUN_TO_RUN: both.mean(of_run),
        WORK_UP: both.mean(of_work_up),
        HALVES: both.mean(run.mean(unlike)) * situation.dirt.fed_cv**2,
        **from_run_to_run(one),
    }
    read = _recovery_read(one, middle, of_run + of_grains + of_work_up)
    expected = float(np.clip(both.mean(middle + read.mean_error), 0.0, 1.0))
    return Parts(with_scale(true, both.mean(read.by_scale)), expected)


def ratio_parts(measure: MeasureName, situation: Situation, pairs: int) -> Parts:
    """What is the noise of the log of a mass or a count, kept or lost, made of? `expected` is in mg or grains.

    Nothing found of any tails: always none.

    >>> parts = ratio_parts("gold_mass", Situation(), 6)
    >>> round(parts.expected, 1), max(parts.variances, key=parts.variances.get)
    (82.9, 'luck of the grains fed')
    """
    noise = situation.noise
    of_tails, weighs = measure_named(measure).side == "lost", measure_named(measure).weighs
    if of_tails and noise.tails_found == 0.0:
        return Parts({}, expected=0.0, zero_share=1.0)
    one = lay_out_run(measure, situation, pairs)
    share, found = (one.grains.lost, noise.tails_found) if of_tails else (one.grains.kept, 1.0)
    # What a poor split, or a heavy half, leaves in the gear evens out the next run of the same lot.
    evened = 1.0 if of_tails else float(pair_square(1.0 - noise.carry_over, noise.carry_over))
    summed = log_of_sum(
        replace(one.grains, clumping=one.grains.clumping * evened),
        share,
        added=0.0 if weighs else 0.5,
    )
    level, of_run = spread_over(one.run, summed.mean)
    of_grains = one.run.mean(summed.variance)
    work_up = log_spread(noise.tails_cv) if of_tails else 0.0
    halves = log_spread(situation.dirt.fed_cv) * evened
    true = {
        **of_the_grains(one, of_grains),
        RUN_TO_RUN: one.both.mean(of_run),
        WORK_UP: work_up,
        HALVES: halves,
        **from_run_to_run(one),
    }
    read = Read.of_truth(one.run.mean(chance_of_none(one.grains, share)))
    if weighs and not (scale := scale_of(noise)).is_exact:
        level = level + math.log(found) - (work_up + halves) / 2.0
        scatter = of_run + of_grains + work_up + halves
        read = read_log_mass(level, scatter, read.zero_share, scale, runs=2 * pairs)
    expected = one.both.mean(found * one.run.mean(one.grains.total(share)) + read.mean_error)
    return Parts(with_scale(true, one.both.mean(read.by_scale)), max(expected, 0.0), one.both.mean(read.zero_share))


def _recovery_read(one: OneRun, middle: Numbers, variance: Numbers) -> Read:
    """What the scale makes of catch and tails together."""
    scale = scale_of(one.situation.noise)
    if scale.is_exact:
        return Read.of_truth(np.zeros_like(middle))
    grains, tails_found = one.grains, one.situation.noise.tails_found
    found = one.run.mean(grains.kept_mg + tails_found * grains.lost_mg)
    spread = log_of_sum(grains, grains.kept + tails_found * grains.lost).variance
    return read_share(middle, variance, found, np.sqrt(one.run.mean(spread)), scale)
