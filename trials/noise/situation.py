"""Where a trial would be run: on which dirt, with which habits, on which gear. Guesses of the person who plans."""

import dataclasses
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

import numpy as np

from schemas import Trial
from schemas.lot import Splitting
from trials.measures.catalogue import measure_named
from trials.noise.counting import WORST_CV, Care, assumed_count_cvs, recounted_cv
from trials.simulation.dirt import CLASS_EDGES_MM, GOLD_SHARES, Dirt, SizeSet, expected_grains
from trials.simulation.gear import UNCHANGED_RECOVERY, SimulatedGear
from trials.simulation.noise_model import LOW, POOR, TYPICAL, Noise
from trials.simulation.tracers import SeededTracers
from trials.statistics.arrays import Numbers
from trials.units.sieves import read_size_class
from trials.units.unit_error import UnitError

HABITS: Final[Mapping[Care, Noise]] = MappingProxyType({"careful": LOW, "usual": TYPICAL, "hurried": POOR})
"""The assumed noise model's three levels, no source."""
SPLIT_VMR: Final[Mapping[Splitting, float]] = MappingProxyType(
    {
        "riffle splitter": 1.0,
        "spinning": 1.0,
        "cone and quarter": 2.0,
        "shovel": 2.0,
        "level scoops": 4.0,
        "none": 19.0,
    }
)
"""Variance over mean of the grains in a half: luck alone is 1. After Minnitt, "Scoop vs riffle", Sampling Science &
Technology, doi 10.62178/sst.005.002 (riffle under 1, scoops up to 19), and Wells, Placer Examination, BLM Technical
Bulletin 4, 1969 (shot split by hand, 1 to 2); which value for which tool is our default."""
ASSUMED_DIVISION_G = 0.01
FINE_DIVISION_G = 0.005
ASSUMED_CHARGE_G = 1_000.0
ASSUMED_RUN_MINUTES = 20.0
ASSUMED_CLEANUP_MINUTES = 15.0


@dataclass(frozen=True, slots=True)
class Situation:
    """All that the noise model needs to know of a trial that is not yet run.

    dirt: Gold, sizes and splitting of what one run is fed.
    noise: Habits, scale and work-up of the tails.
    tracers: Counted grains seeded into every run; `fed` 0 where there are none.

    >>> Situation(dirt=Dirt(gold_mg=9)).noise.scale_sd_g
    0.002
    """

    dirt: Dirt = field(default_factory=Dirt)
    noise: Noise = TYPICAL
    gear: SimulatedGear = field(default_factory=SimulatedGear)
    tracers: SeededTracers = field(default_factory=lambda: SeededTracers(fed=0))


def situation_of(trial: Trial) -> Situation:
    """Where would this plan be run, by its own guesses and our defaults for what it leaves open?

    Its `guess`, `held.charge_g`, `scales`, `grains` and first lot are read. Without a guess of the gold in the dirt: no
    gold (only tracers can be reckoned then). No scale named: 0.01 g. No charge: the lot shared out over the planned
    runs, or 1 kg. Stored tailings whose share kept was not guessed: what a second pass keeps of what the first one
    lost, sum s p(1-p) / sum s (1-p) over the size classes. Two pieces of gear of one habit level scatter as the assumed
    noise model says, no source; how far a count of grains is off goes by their size (`trials.noise.counting`), or by
    the vial that was counted several times. One person feeds the whole trial, and what the gear keeps is what it keeps
    in that hand: hands are not drawn.

    >>> from schemas import Gear, Lot, Trial
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=6, lots=(Lot(kind="natural", mass_g=120_000.0),),
    ...               gear=Gear(kind="sluice"))
    >>> situation_of(trial).dirt.fed_g
    10000.0
    """
    guess, lot = trial.guess, trial.lots[0]
    charge_g = charge_of(trial)
    sizes: SizeSet = guess.sizes or ("fine" if trial.feeds_tails else "medium")
    tracers = _tracers(trial)
    return Situation(
        dirt=Dirt(
            gold_mg=(guess.gold_mg_kg or 0.0) * charge_g / 1000.0,
            size_set=sizes,
            split_vmr=SPLIT_VMR[lot.splitting or "shovel"],
            fed_g=charge_g,
        ),
        noise=_noise(trial, sizes),
        gear=_gear(trial, sizes, tracers),
        tracers=tracers,
    )


def charge_of(trial: Trial) -> float:
    """How much dirt is one run fed, g? The charge that is held, else an equal share of the lot, else 1 kg.

    >>> from schemas import Gear, Lot, Trial
    >>> charge_of(Trial(name="t", measure="tracers", pairs=3, lots=(Lot(kind="made up"),), gear=Gear(kind="pan")))
    1000.0
    """
    if trial.held.charge_g is not None:
        return trial.held.charge_g
    whole = [lot.mass_g for lot in trial.lots]
    runs = (trial.pairs + trial.spares) * len(trial.arms)
    masses = [mass for mass in whole if mass is not None]
    return sum(masses) / runs if len(masses) == len(whole) else ASSUMED_CHARGE_G


def _noise(trial: Trial, sizes: SizeSet) -> Noise:
    habits = HABITS[trial.guess.care or "usual"]
    division = trial.scales.gold_g or ASSUMED_DIVISION_G
    # A milligram scale wanders by more than its last digit; a pocket scale's own step is the larger error.
    sd = division if division >= FINE_DIVISION_G or habits is LOW else 2.0 * division
    finds = trial.tails.finds_percent
    return dataclasses.replace(
        habits,
        operator_sd_points=0.0,
        scale_division_g=division,
        scale_sd_g=sd,
        tails_found=1.0 if finds is None else finds / 100.0,
        counting_cv=_counting(trial, sizes),
    )


def _counting(trial: Trial, sizes: SizeSet) -> tuple[float, ...]:
    """How far a count is off by size class: as assumed, or in proportion to the vial that was counted several times.

    A vial without a size is of the tracers' own; where the plan names none, of the gold that the dirt holds.
    """
    assumed = assumed_count_cvs(trial.guess.care or "usual")
    if not trial.guess.recounts:
        return assumed
    size = trial.guess.recounted_size or (trial.grains.size if measure_named(trial.measure).is_seeded else None)
    if size is None:
        grains = expected_grains(1.0, sizes) * np.asarray(UNCHANGED_RECOVERY)
        here = float(np.sqrt(((np.asarray(assumed) * grains) ** 2).sum()) / grains.sum())
    else:
        here = assumed[size_class_of(size, trial.sizes.series or "ASTM")]
    times = recounted_cv(trial.guess.recounts) / here
    return tuple(min(times * cv, WORST_CV) for cv in assumed)


def _tracers(trial: Trial) -> SeededTracers:
    return SeededTracers(
        fed=trial.grains.seeded or 0, size_classes=(size_class_of(trial.grains.size, trial.sizes.series),)
    )


def size_class_of(label: str | None, series: str | None) -> int:
    """Which of the ten size classes does a sieve class stand for? The one its middle lies in; 0.25 mm where unknown.

    >>> size_class_of("70/100", "ASTM"), size_class_of(None, None)
    (6, 5)
    """
    default = 5
    if label is None:
        return default
    try:
        read = read_size_class(label, series)
    except UnitError:
        return default
    bounds = [bound for bound in (read.lower_mm, read.upper_mm) if bound is not None]
    half_open = {True: 2.0, False: 0.5}[read.upper_mm is None] if len(bounds) == 1 else 1.0
    middle = math.sqrt(bounds[0] * bounds[-1] * half_open)
    edges = np.asarray(CLASS_EDGES_MM[1:-1])
    return int((middle < edges).sum())


def _gear(trial: Trial, sizes: SizeSet, tracers: SeededTracers) -> SimulatedGear:
    keeps = trial.guess.keeps_percent
    shares = np.asarray(GOLD_SHARES[sizes])
    usual = np.asarray(UNCHANGED_RECOVERY)
    if measure_named(trial.measure).is_seeded and keeps is not None:
        return SimulatedGear(recovery=_keeping(usual, np.eye(len(usual))[tracers.size_classes[0]], keeps / 100.0))
    if keeps is not None:
        return SimulatedGear(recovery=_keeping(usual, shares, keeps / 100.0))
    if trial.feeds_tails:
        lost = shares * (1.0 - usual)
        return SimulatedGear(recovery=_keeping(usual, shares, float((lost * usual).sum() / lost.sum())))
    return SimulatedGear()


def _keeping(usual: Numbers, weights: Numbers, kept: float) -> tuple[float, ...]:
    """The usual recoveries, shifted alike on the logit scale until so much of the whole is kept."""
    logits = np.log(usual / (1.0 - usual))
    low, high = -15.0, 15.0
    for _ in range(60):
        middle = (low + high) / 2.0
        share = float((weights / (1.0 + np.exp(-(logits + middle)))).sum())
        low, high = (middle, high) if share < kept else (low, middle)
    recovery = 1.0 / (1.0 + np.exp(-(logits + high)))
    return tuple(float(share) for share in np.clip(recovery, 1e-5, 1.0 - 1e-5))
