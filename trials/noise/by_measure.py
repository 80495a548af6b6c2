"""What is the noise of one run made of, measure by measure? Tracers, recovery, and the ratios of masses and counts."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from schemas import MeasureName
from trials.measures.catalogue import measure_named
from trials.noise import first_order
from trials.noise.counting import counting_cv_by_class
from trials.noise.grains import RunGrains, Shared, grains_of, halves_apart, shared, shared_sd
from trials.noise.kinds import COUNTING, DRIFT, HALVES, KEPT, LEFT_OVER, RUN_TO_RUN, SCALE, WORK_UP
from trials.noise.quadrature import Nodes, bell, log_spread
from trials.noise.readings import Read, read_log_mass, read_share, scale_of
from trials.noise.situation import Situation
from trials.noise.sums import chance_of_none, log_of_sum, share_moments
from trials.simulation.noise_model import logit_sd
from trials.statistics import special
from trials.statistics.arrays import Numbers


@dataclass(frozen=True, eq=False)
class Parts:
    """What the noise of one run is made of.

    variances: Of one run by kind of luck, on the measure's scale squared; recovery as a share, not in points.
    expected: What the run should show; recovery as a share.
    zero_share: Chance that it finds none.
    pull: How far luck of grains and scale takes the mean of the measure off what the gear does, on its scale.
    shared: Variance, on the scale squared, of what both halves of a pair have in common, over the pairs of many trials.
    middle: Of a ratio: the log of what the middle of many runs holds; minus infinity where half of them hold none.
    """

    variances: Mapping[str, float]
    expected: float
    zero_share: float = 0.0
    pull: float = 0.0
    shared: float = 0.0
    middle: float = -math.inf


@dataclass(frozen=True, eq=False)
class _Run:
    """A run of the unchanged gear, laid out over the nodes.

    both, run: What it shares with the other half of its pair, and its own luck.
    grains: Shape (shared nodes, run nodes, 10).
    slopes: Of the measure, shape (shared nodes, run nodes).
    """

    situation: Situation
    pairs: int
    both: Shared
    run: Nodes
    grains: RunGrains
    slopes: first_order.Slopes


def parts_of(measure: MeasureName, situation: Situation, pairs: int) -> Parts:
    """What is the noise of one run made of, in a trial of so many pairs?

    >>> parts = parts_of("gold_mass", Situation(), 6)
    >>> round(parts.expected, 1), max(parts.variances, key=parts.variances.get)
    (81.8, 'luck of the grains fed')
    """
    one = measure_named(measure)
    if one.is_seeded:
        return _tracer_parts(situation, pairs)
    return _recovery_parts(situation, pairs) if one.side == "share kept" else _ratio_parts(measure, situation, pairs)


def _tracer_parts(situation: Situation, pairs: int) -> Parts:
    """Of a share, 0 to 1, of counted grains."""
    tracers, noise = situation.tracers, situation.noise
    both, run = bell(shared_sd(noise, pairs)), bell(logit_sd(noise.process_sd_points))
    half_turn = halves_apart(noise, pairs) / 2.0
    middle = both.at[:, np.newaxis] + run.at

    def chance(shift: Numbers) -> Numbers:
        """Give the chance to be kept, size by size, then by shared node and run node."""
        lost = grains_of(situation, shift).lost
        return np.moveaxis(1.0 - lost[..., list(tracers.size_classes)], -1, 0)

    kept = chance(middle)
    each, each_scatter = _spread_over(run, kept)
    counting = first_order.counting_variance(each, tracers.fed, each_scatter).mean(axis=0) / len(tracers.size_classes)
    _, of_run = _spread_over(run, kept.mean(axis=0))
    apart = run.mean((chance(middle + half_turn) - chance(middle - half_turn)).mean(axis=0))
    cv = counting_cv_by_class(noise)[list(tracers.size_classes)]
    of_count = ((cv[:, np.newaxis] * each) ** 2 + cv[:, np.newaxis] ** 2 * each_scatter).mean(axis=0) / cv.size
    variances = {KEPT: counting, RUN_TO_RUN: of_run, COUNTING: of_count, DRIFT: apart**2 / 2.0}
    return Parts(
        variances={kind: float(both.mean(variance)) for kind, variance in variances.items()},
        expected=float(both.mean(each.mean(axis=0))),
    )


def _recovery_parts(situation: Situation, pairs: int) -> Parts:
    """Of recovery, as a share; where nothing is found of any tails it is always 1."""
    noise = situation.noise
    if noise.tails_found == 0.0:
        return Parts({}, expected=1.0)
    one = _lay_out("recovery", situation, pairs)
    grains, slopes, run, both = one.grains, one.slopes, one.run, one.both
    mean, square = share_moments(grains, noise.tails_found)
    middle, of_run = _spread_over(run, mean)
    of_grains = run.mean(square - mean**2)
    of_work_up = run.mean(first_order.closed_balance_sd(mean, 0.0, math.sqrt(log_spread(noise.tails_cv))) ** 2)
    in_catch, in_tails = slopes.kept * grains.kept_mg, slopes.lost * grains.lost_mg
    unlike = first_order.pair_square(in_catch * (1.0 - noise.carry_over) + in_tails, in_catch * noise.carry_over)
    true = {
        **_of_the_grains(one, of_grains),
        RUN_TO_RUN: both.mean(of_run),
        WORK_UP: both.mean(of_work_up),
        HALVES: both.mean(run.mean(unlike)) * situation.dirt.fed_cv**2,
        **_from_run_to_run(one),
    }
    read = _recovery_read(one, middle, of_run + of_grains + of_work_up)
    expected = float(np.clip(both.mean(middle + read.mean_error), 0.0, 1.0))
    without_luck = grains.kept_mg / (grains.kept_mg + noise.tails_found * grains.lost_mg)
    pull = both.mean(middle + read.pull - run.mean(without_luck))
    return Parts(_with_scale(true, both.mean(read.by_scale)), expected, pull=pull)


def _ratio_parts(measure: MeasureName, situation: Situation, pairs: int) -> Parts:
    """Of the log of a mass or a count, kept or lost; `expected` is in mg or grains, none where no tails are found."""
    noise = situation.noise
    of_tails, weighs = measure_named(measure).side == "lost", measure_named(measure).weighs
    if of_tails and noise.tails_found == 0.0:
        return Parts({}, expected=0.0, zero_share=1.0)
    one = _lay_out(measure, situation, pairs)
    share, found = (one.grains.lost, noise.tails_found) if of_tails else (one.grains.kept, 1.0)
    # What a poor split, or a heavy half, leaves in the gear evens out the next run of the same lot.
    evened = 1.0 if of_tails else float(first_order.pair_square(1.0 - noise.carry_over, noise.carry_over))
    summed = log_of_sum(replace(one.grains, clumping=one.grains.clumping * evened), share, added=0.0 if weighs else 0.5)
    level, of_run = _spread_over(one.run, summed.mean)
    of_grains = one.run.mean(summed.variance)
    of_count = 0.0 if weighs else one.both.mean(one.run.mean(_counting(one, share)))
    work_up = log_spread(noise.tails_cv) if of_tails else 0.0
    halves = log_spread(situation.dirt.fed_cv) * evened
    true = {
        **_of_the_grains(one, of_grains),
        RUN_TO_RUN: one.both.mean(of_run),
        WORK_UP: work_up,
        HALVES: halves,
        COUNTING: of_count,
        **_from_run_to_run(one),
    }
    none = one.run.mean(chance_of_none(one.grains, share))
    read = Read.of_truth(none)
    level = level + math.log(found) - (work_up + halves + of_count) / 2.0
    if weighs and not (scale := scale_of(noise)).is_exact:
        scatter = of_run + of_grains + work_up + halves
        read = read_log_mass(level, scatter, none, scale, runs=2 * pairs)
    expected = one.both.mean(found * one.run.mean(one.grains.total(share)) + read.mean_error)
    mean_level = one.both.mean(level)
    shared = one.both.mean((level - mean_level) ** 2)
    without_luck = one.run.mean(np.log(found * one.grains.total(share) + (0.0 if weighs else 0.5)))
    pull = one.both.mean(level + read.pull - without_luck)
    return Parts(
        _with_scale(true, one.both.mean(read.by_scale)),
        max(expected, 0.0),
        one.both.mean(read.zero_share),
        pull=-pull if of_tails else pull,
        shared=shared,
        middle=_middle_of_all(mean_level, math.fsum(true.values()) + shared, one.both.mean(none)),
    )


def _counting(one: _Run, share: Numbers) -> Numbers:
    """Variance of the log of a count by what counting is off, each size class by itself; shape (shared, run nodes).

    The square of a number of grains is that of its mean, and its variance.
    """
    counted, cv = one.grains.fed * share, counting_cv_by_class(one.situation.noise)
    off: Numbers = (cv**2 * (counted**2 + (1.0 + one.grains.clumping) * counted)).sum(axis=-1)
    of_log: Numbers = off / (counted.sum(axis=-1) + 0.5) ** 2
    return of_log


def _middle_of_all(mean: float, variance: float, none: float) -> float:
    """The middle of all runs, where those that hold any have logs of this mean and variance; the others lie below."""
    if none >= 0.5:
        return -math.inf
    return mean + math.sqrt(variance) * float(special.ndtri((0.5 - none) / (1.0 - none)))


def _recovery_read(one: _Run, middle: Numbers, variance: Numbers) -> Read:
    """What the scale makes of catch and tails together."""
    scale = scale_of(one.situation.noise)
    if scale.is_exact:
        return Read.of_truth(np.zeros_like(middle))
    grains, tails_found = one.grains, one.situation.noise.tails_found
    found = one.run.mean(grains.kept_mg + tails_found * grains.lost_mg)
    spread = log_of_sum(grains, grains.kept + tails_found * grains.lost).variance
    return read_share(middle, variance, found, np.sqrt(one.run.mean(spread)), scale)


def _lay_out(measure: MeasureName, situation: Situation, pairs: int) -> _Run:
    """Lay out one run with gold in its dirt over what it shares with the other half, and over its own luck.

    Where gold stays in the gear until the next run, the luck of a run reaches the other half too, or comes from it; the
    run effect is shrunk to what of it a pair still shows.
    """
    noise, counted = situation.noise, measure_named(measure).what == "native grains"
    both = shared(situation, pairs)
    middle = grains_of(situation, both.shift, both.richness, counted=counted)
    own, before = first_order.run_slopes(middle, _slopes(measure, middle, situation), noise.carry_over)
    shrunk = np.sqrt(first_order.pair_square(own, before)) / (own + before)
    run = bell(logit_sd(noise.process_sd_points))
    shift = both.shift[:, np.newaxis] + shrunk[:, np.newaxis] * run.at
    grains = grains_of(situation, shift, both.richness[:, np.newaxis], counted=counted)
    return _Run(situation, pairs, both, run, grains, _slopes(measure, grains, situation))


def _slopes(measure: MeasureName, grains: RunGrains, situation: Situation) -> first_order.Slopes:
    return first_order.slopes_of(measure, grains.kept_mg, grains.lost_mg, situation.noise.tails_found)


def _of_the_grains(one: _Run, variance: Numbers) -> dict[str, float]:
    """Share out the luck of the grains, shape (shared nodes,), among its kinds, in the proportions of first order."""
    luck = first_order.grain_noise(one.grains, one.slopes)
    averaged = {kind: one.both.mean(one.run.mean(part)) for kind, part in luck.items()}
    fitted = one.both.mean(variance) / sum(averaged.values())
    return {kind: fitted * part for kind, part in averaged.items()}


def _from_run_to_run(one: _Run) -> dict[str, float]:
    """What the order of the runs adds: drift from one half to the other, and gold of another lot left in the gear.

    What drift takes a pair apart by, one way or the other: half its square a run.
    """
    noise = one.situation.noise
    own, before = first_order.run_slopes(one.grains, one.slopes, noise.carry_over)
    turn = halves_apart(noise, one.pairs)
    of_kept = (one.slopes.kept * one.grains.kept_mg) ** 2
    of_lots = first_order.left_over_variance(noise.carry_over, one.situation.dirt.lot_cv, one.pairs)
    return {
        DRIFT: one.both.mean(one.run.mean((turn * (own + before)) ** 2)) / 2.0,
        LEFT_OVER: one.both.mean(one.run.mean(of_kept)) * of_lots,
    }


def _with_scale(variances: Mapping[str, float], by_scale: float) -> dict[str, float]:
    """Add the scale; where it hides more luck than it adds, all others shrink alike instead."""
    true = math.fsum(variances.values())
    left = max(true + min(by_scale, 0.0), 0.0) / true if true else 0.0
    return {**{kind: left * variance for kind, variance in variances.items()}, SCALE: max(by_scale, 0.0)}


def _spread_over(nodes: Nodes, values: Numbers) -> tuple[Numbers, Numbers]:
    """Mean and variance of values over nodes, on the last axis."""
    mean = nodes.mean(values)
    return mean, nodes.mean((values - mean[..., np.newaxis]) ** 2)
