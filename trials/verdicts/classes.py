"""By size class: where is the gain, and is anything lost? All numbers, before any word is said of them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from schemas import ClassResult, Interval, OneSizeMix, Trial
from trials.fairness.thresholds import FEW_GRAINS, SCALE_STEPS_STOP, ZERO_RUNS_STOP_PERCENT, past, short_of
from trials.measures.classes import class_to_join, labels_coarse_first, of_class
from trials.measures.measure import Measure, root_mean_square
from trials.measures.pairing import Pair
from trials.statistics.arrays import Numbers
from trials.statistics.holm import holm
from trials.statistics.paired_t import paired_t, t_limits
from trials.verdicts.spoken import speak
from trials.wording.lists import count_of
from trials.wording.numbers import figures

LEVEL = 0.95
FEWEST_PAIRS = 3
ALPHA = 1 - LEVEL


@dataclass(frozen=True, slots=True)
class BySize:
    """What a trial of two arms says by size class, coarse to fine.

    one_mix: the total at one mix of sizes; None where the sizes fed are not known.
    """

    classes: tuple[ClassResult, ...]
    one_mix: OneSizeMix | None

    @property
    def tested(self) -> tuple[ClassResult, ...]:
        """The classes with enough in them."""
        return tuple(one for one in self.classes if one.tested)

    def passing(self, way: str) -> tuple[ClassResult, ...]:
        """The classes that gain beyond luck, or that lose."""
        return tuple(one for one in self.classes if one.passes == way)

    @property
    def is_traded(self) -> bool:
        """One class gains beyond luck and another loses."""
        return bool(self.passing("gains") and self.passing("loses"))


NO_SIZES = BySize((), None)


@dataclass(frozen=True, slots=True)
class _Halves:
    """The readings of one class in the pairs in which it was measured: (pairs, readings) of each half."""

    label: str
    numbers: tuple[int, ...]
    baseline: Numbers
    changed: Numbers
    measure: Measure
    division: float | None
    empty: float

    @property
    def differences(self) -> Numbers:
        return self.measure.difference(self.baseline, self.changed, self.division)

    @property
    def a_run(self) -> float:
        """Grains or mg a run: of tracers those seeded, of recovery kept and tails together."""
        both = np.concatenate([self.baseline, self.changed])
        if not len(both):
            return 0.0
        return float((both[:, 1] if self.measure.is_seeded else both.sum(axis=-1)).mean())


def by_size(trial: Trial, pairs: Sequence[Pair], measure: Measure, *, without: str | None = None) -> BySize:
    """Test every size class that was told apart in these pairs, `without` the main one where there is one.

    Paired t a class on the measure's scale, Holm's steps at 5 % over the tested ones, bars by t at 1 - 0.05/classes.
    Nothing changed: any class beyond luck in 1.1 to 5.5 %, one up and one down under 0.1 % (own simulation, not
    published, 3 to 12 pairs).
    """
    halves = _all_halves(trial, pairs, measure)
    labels = [one.label for one in halves]
    family = [one for one in halves if one.label != without]
    why = {one.label: _why_not(one, len(pairs), labels) for one in family}
    tested = [one for one in family if not why[one.label]]
    results = dict(zip((one.label for one in tested), _tested(tested, trial.worth_having), strict=True))
    listed = tuple(
        results.get(
            one.label,
            ClassResult(label=one.label, a_run=one.a_run, pairs=len(one.numbers), tested=False, why_not=why[one.label]),
        )
        for one in family
    )
    return BySize(listed, _one_mix(halves, measure, trial.worth_having) if without is None else None)


def _all_halves(trial: Trial, pairs: Sequence[Pair], measure: Measure) -> list[_Halves]:
    """Every class that was told apart, coarse to fine."""
    labels = labels_coarse_first(
        (part.label for pair in pairs for run in pair.halves for part in run.classes), trial.sizes.series
    )
    return [_halves(trial, pairs, label, measure) for label in labels]


def _halves(trial: Trial, pairs: Sequence[Pair], label: str, measure: Measure) -> _Halves:
    found = []
    for pair in pairs:
        both = [measure.readings(of_class(run, label)) for run in pair.both]
        if None not in both:
            found.append((pair.number, both))
    width = len(measure.inputs)
    baseline, changed = (np.array([both[at] for _, both in found], dtype=float).reshape(-1, width) for at in (0, 1))
    known = ~np.asarray(measure.is_empty(baseline, changed))
    numbers = tuple(number for (number, _), told in zip(found, known.tolist(), strict=True) if told)
    empty = 1.0 - float(known.mean()) if len(known) else 0.0
    return _Halves(label, numbers, baseline[known], changed[known], measure, measure.division(trial), empty)


def _why_not(one: _Halves, pairs: int, labels: Sequence[str]) -> str:
    """Why a class is not tested, with the remedy; blank where it is."""
    measure, join = one.measure, class_to_join(one.label, labels)
    remedy = f"join it to {join} or feed more" if join else "feed more"
    if not one.a_run and pairs:
        return f"none found in {2 * pairs} runs"
    if len(one.numbers) < FEWEST_PAIRS:
        return f"told apart in {count_of(len(one.numbers), 'pair')}; {FEWEST_PAIRS} are needed"
    zeros = sum(float(np.mean(measure.zeros(half))) for half in (one.baseline, one.changed)) / 2
    if past(100 * zeros, ZERO_RUNS_STOP_PERCENT) or past(100 * one.empty, ZERO_RUNS_STOP_PERCENT):
        return f"none found in over {ZERO_RUNS_STOP_PERCENT:g} % of runs; {remedy}"
    if measure.weighs:
        steps = math.inf if one.division is None else one.a_run / one.division
        few = f"{figures(one.a_run)} mg a run, under {SCALE_STEPS_STOP:g} steps of the scale; {remedy}"
        return few if short_of(steps, SCALE_STEPS_STOP) else ""
    seeded = np.concatenate([one.baseline, one.changed])[:, -1].min() if measure.is_seeded else one.a_run
    return (
        f"{figures(float(seeded), 2)} grains a run, too few to test; {remedy}" if short_of(seeded, FEW_GRAINS) else ""
    )


def _tested(tested: Sequence[_Halves], worth_having: float | None) -> list[ClassResult]:
    """Each tested class with its joint limits, and whether it passes among them all."""
    if not tested:
        return []
    joint = 1 - ALPHA / len(tested)
    fits = [paired_t(one.differences, level=joint) for one in tested]
    told = [at for at, fit in enumerate(fits) if fit.sd > 0]
    of_all = dict(zip(told, holm([fits[at].p for at in told]).tolist(), strict=True)) if told else {}
    results = []
    for at, (one, fit) in enumerate(zip(tested, fits, strict=True)):
        limits = (fit.low, fit.high) if fit.sd > 0 else _by_floor(one, fit.mean, joint)
        interval = None if limits is None else Interval(low=limits[0], high=limits[1], level=LEVEL)
        p = of_all.get(at)
        passes = p is not None and p < ALPHA
        results.append(
            ClassResult(
                label=one.label,
                a_run=one.a_run,
                pairs=len(one.numbers),
                tested=True,
                estimate=fit.mean,
                interval=interval,
                p=fit.p if fit.sd > 0 else None,
                p_of_all=p,
                passes=("gains" if fit.mean > 0 else "loses") if passes else None,
                shown=speak(one.measure, fit.mean, interval, worth_having).shown,
            )
        )
    return results


def _by_floor(one: _Halves, mean: float, joint: float) -> tuple[float, float] | None:
    """Limits where all differences are equal: by counting and weighing luck alone; None where that is not known."""
    floors = one.measure.floor(one.baseline, one.changed, one.division)
    if floors is None or not float(root_mean_square(floors)) > 0:
        return None
    limits = t_limits(mean, float(root_mean_square(floors)), len(one.numbers), level=joint)
    return limits.low, limits.high


def _one_mix(halves: Sequence[_Halves], measure: Measure, worth_having: float | None) -> OneSizeMix | None:
    """The total at one mix of sizes: classes weighted by their share of all gold found (tracers: of all seeds).

    A pair in which a class can't be told has the others' weights raised. Where all runs were seeded alike the total is
    at one mix already. Source: direct standardisation, Fleiss, Statistical Methods for Rates and Proportions, 1981,
    ch. 14 (from memory).
    """
    if measure.is_ratio or len(halves) < 2 or (measure.is_seeded and _seeded_alike(halves)):
        return None
    shares = _shares(halves)
    of_pairs = [] if shares is None else _at_shares(halves, shares)
    if shares is None or len(of_pairs) < FEWEST_PAIRS:
        return None
    fit = paired_t(of_pairs, level=LEVEL)
    interval = Interval(low=fit.low, high=fit.high, level=LEVEL) if fit.sd > 0 else None
    return OneSizeMix(
        estimate=fit.mean,
        interval=interval,
        p=fit.p if fit.sd > 0 else None,
        shown=speak(measure, fit.mean, interval, worth_having).shown,
        shares=tuple(shares),
        labels=tuple(one.label for one in halves),
    )


def _shares(halves: Sequence[_Halves]) -> list[float] | None:
    """The share of each class of all that was found (tracers: of all seeds); None where that is nothing."""
    amounts = np.array([one.a_run * len(one.numbers) for one in halves])
    return (amounts / amounts.sum()).tolist() if amounts.sum() > 0 else None


def _at_shares(halves: Sequence[_Halves], shares: Sequence[float]) -> list[float]:
    """The difference of each pair with its classes weighted so, the others more where one is not told."""
    of_pairs = []
    for number in sorted({number for one in halves for number in one.numbers}):
        told = [
            (share, float(one.differences[one.numbers.index(number)]))
            for share, one in zip(shares, halves, strict=True)
            if number in one.numbers
        ]
        weight = sum(share for share, _ in told)
        if weight > 0:
            of_pairs.append(sum(share * d for share, d in told) / weight)
    return of_pairs


def at_one_mix(trials: Sequence[tuple[Trial, Sequence[Pair]]], measure: Measure) -> list[float] | None:
    """The mean difference of each of several trials, all at one mix of sizes: the mean of their own mixes.

    None where their sizes were not told apart in the same classes, or the measure is not of gold kept and lost: then
    each trial's own mean stands. Pairs are those that count.

    Source: as the total at one mix of a single trial.
    """
    if measure.is_ratio or measure.is_seeded or any(trial.sizes.main is not None for trial, _ in trials):
        return None
    told = [_all_halves(trial, pairs, measure) for trial, pairs in trials]
    labels = {tuple(one.label for one in halves) for halves in told}
    mixes = [_shares(halves) for halves in told]
    if len(labels) != 1 or len(next(iter(labels))) < 2 or None in mixes:
        return None
    mix = np.mean(np.array(mixes, dtype=float), axis=0).tolist()
    means = [_at_shares(halves, mix) for halves in told]
    return [math.fsum(of_pairs) / len(of_pairs) for of_pairs in means] if all(means) else None


def _seeded_alike(halves: Sequence[_Halves]) -> bool:
    seeded = [np.concatenate([one.baseline[:, 1], one.changed[:, 1]]) for one in halves]
    return all(len(set(found.tolist())) <= 1 for found in seeded)
