"""The noise budget, and what changes truly do, against simulated trials: the whole noise model, over many situations."""

import dataclasses
from collections.abc import Callable

import numpy as np
import pytest

from schemas import MeasureName
from trials.measures.catalogue import measure_named
from trials.noise.budget import noise_budget
from trials.noise.effect import true_difference
from trials.noise.situation import Situation
from trials.simulation.dirt import Dirt
from trials.simulation.gear import SimulatedGear, TrueEffect
from trials.simulation.noise_model import LOW, POOR, TYPICAL, Noise
from trials.simulation.runs import SimulatedRuns, simulate_runs
from trials.simulation.schedule import paired_schedule
from trials.simulation.tracers import SeededTracers
from trials.statistics.arrays import Numbers

PAIRS = 6
TRIALS = 5_000
# What planning needs is 10 % for recovery and tracers and 20 % for ratios; the luck of a tenth of the trials is in it.
WITHIN: dict[MeasureName, float] = {
    "recovery": 0.10, "tracers": 0.08, "gold_mass": 0.12, "tails_gold": 0.12, "grain_counts": 0.12,
}  # fmt: skip
FINER = dataclasses.replace(TYPICAL, scale_sd_g=0.0002, scale_division_g=0.0001)
HALF_FOUND = dataclasses.replace(TYPICAL, tails_found=0.5, tails_cv=0.3)
LEAKY = SimulatedGear(recovery=(0.9, 0.9, 0.85, 0.8, 0.75, 0.7, 0.6, 0.5, 0.3, 0.2))

# No cell is left out: at 9 mg, or hurried at 30 mg, over half of the weighings of tails show none, and such a trial
# would be refused; even there the SD of the pairs that show any gold is foretold within the bar.
GRID = {
    "careful, 9 mg fine": Situation(Dirt(9, "fine"), LOW, tracers=SeededTracers(25, (7,))),
    "careful, 90 mg coarse": Situation(Dirt(90, "coarse"), LOW, tracers=SeededTracers(25)),
    "careful, 90 mg medium, level scoops": Situation(Dirt(90, "medium", 4.0), LOW, tracers=SeededTracers(50)),
    "careful, 900 mg fine": Situation(Dirt(900, "fine"), LOW, tracers=SeededTracers(400)),
    "usual, 9 mg medium": Situation(Dirt(9, "medium"), TYPICAL, tracers=SeededTracers(10)),
    "usual, 30 mg coarse, shovel": Situation(Dirt(30, "coarse", 2.0), TYPICAL, tracers=SeededTracers(50, (8,))),
    "usual, 90 mg medium": Situation(Dirt(90, "medium"), TYPICAL, tracers=SeededTracers(100)),
    "usual, 90 mg fine, finer scale": Situation(Dirt(90, "fine"), FINER, tracers=SeededTracers(100, (6,))),
    "usual, 300 mg coarse, shovel": Situation(Dirt(300, "coarse", 2.0), TYPICAL, tracers=SeededTracers(25, (1, 3, 5, 7))),
    "usual, 300 mg medium, worst scoops": Situation(Dirt(300, "medium", 19.0), TYPICAL, tracers=SeededTracers(200)),
    "usual, 300 mg medium, lots apart": Situation(Dirt(300, "medium", lot_cv=0.5), TYPICAL, tracers=SeededTracers(100, (8,))),
    "usual, 300 mg fine, halves apart": Situation(Dirt(300, "fine", fed_cv=0.1), TYPICAL, tracers=SeededTracers(100, (9,))),
    "usual, 300 mg fine, half of the tails found": Situation(Dirt(300, "fine"), HALF_FOUND, tracers=SeededTracers(50, (4,))),
    "usual, 300 mg medium, leaky gear": Situation(Dirt(300, "medium"), TYPICAL, LEAKY, SeededTracers(100, (7,))),
    "hurried, 30 mg medium": Situation(Dirt(30, "medium"), POOR, tracers=SeededTracers(25)),
    "hurried, 90 mg fine": Situation(Dirt(90, "fine"), POOR, tracers=SeededTracers(100)),
    "hurried, 300 mg medium, shovel, lots apart": Situation(Dirt(300, "medium", 2.0, lot_cv=0.3), POOR, tracers=SeededTracers(100, (7,))),
    "hurried, 900 mg coarse, shovel": Situation(Dirt(900, "coarse", 2.0), POOR, tracers=SeededTracers(400)),
    "hurried, 900 mg fine": Situation(Dirt(900, "fine"), POOR, tracers=SeededTracers(100, (6,))),
    "luck of the grains alone, 30 mg medium": Situation(Dirt(30, "medium"), Noise(), tracers=SeededTracers(100)),
}  # fmt: skip

READ: dict[MeasureName, tuple[str, ...]] = {
    "recovery": ("gold_kept_mg", "gold_tails_mg"), "gold_mass": ("gold_kept_mg",), "tails_gold": ("gold_tails_mg",),
    "grain_counts": ("grains_kept",), "tracers": ("tracers_kept", "tracers_fed"),
}  # fmt: skip


def _simulate(seed: int, situation: Situation, trials: int, change: TrueEffect) -> SimulatedRuns:
    order = np.random.default_rng(seed).permuted(np.tile(np.arange(PAIRS) % 2 == 0, (trials, 1)), axis=1)
    return simulate_runs(
        seed,
        schedule=paired_schedule(order),
        dirt=situation.dirt,
        noise=situation.noise,
        gear=situation.gear,
        change=change,
        tracers=situation.tracers,
    )


def _pairs(measure: MeasureName, runs: SimulatedRuns, situation: Situation) -> tuple[Numbers, Numbers]:
    """Baseline readings, and the differences of the pairs that show any gold."""
    asked = measure_named(measure)
    readings = np.stack([getattr(runs, name) for name in READ[measure]], axis=-1).astype(float)
    baseline, changed = readings[:, :, 0], readings[:, :, 1]
    division_mg = 1000.0 * situation.noise.scale_division_g or None
    difference = asked.difference(baseline, changed, division_mg if asked.weighs else None)
    return baseline, difference[~asked.is_empty(baseline, changed)]


@pytest.mark.parametrize("name", GRID)
def test_budget_against_simulated_trials(name: str, sized: Callable[[int], int]) -> None:
    """SD of a pair within 10 % for recovery, 8 % for tracers, 12 % for ratios; what a run shows, and how often none."""
    situation = GRID[name]
    runs = _simulate(51, situation, sized(TRIALS), TrueEffect())
    far = {}
    for measure, bar in WITHIN.items():
        baseline, differences = _pairs(measure, runs, situation)
        budget = noise_budget(measure, situation, pairs=PAIRS)
        away = budget.sd_pair / differences.std() - 1.0
        if abs(away) > bar:
            far[measure] = f"{budget.sd_pair:.4g} foretold, {differences.std():.4g} simulated"
        asked = measure_named(measure)
        value = asked.value(baseline)
        shown = float(np.nanmean(value))
        error = float(np.nanstd(value)) / np.sqrt(value.size / PAIRS)  # the pairs of a trial share its feeder
        of_a_step = 100.0 * situation.noise.scale_division_g if measure in {"gold_mass", "tails_gold"} else 0.0
        assert budget.expected == pytest.approx(shown, abs=4 * error + 0.02 * shown + of_a_step), measure
        assert budget.zero_share == pytest.approx(float(asked.zeros(baseline).mean()), abs=0.035), measure
    assert not far


EASY = [
    "careful, 900 mg fine", "usual, 90 mg fine, finer scale", "usual, 300 mg fine, halves apart",
    "usual, 300 mg fine, half of the tails found", "usual, 300 mg medium, leaky gear", "hurried, 900 mg fine",
]  # fmt: skip
BY_CLASS = TrueEffect(shift_logit=(-0.6, -0.6, -0.6, -0.3, 0.0, 0.0, 0.3, 0.9, 0.9, 0.9))


@pytest.mark.parametrize(
    "change", [TrueEffect(shift_logit=0.45), TrueEffect(shift_logit=-0.3), BY_CLASS], ids=["more", "less", "traded"]
)
@pytest.mark.parametrize("name", EASY)
def test_true_difference_against_simulated_trials(name: str, change: TrueEffect, sized: Callable[[int], int]) -> None:
    """The mean difference of long rows of trials, where the scale does not hide it, is what the change truly does."""
    situation = GRID[name]
    runs = _simulate(52, situation, sized(TRIALS), change)
    for measure in WITHIN:
        _, differences = _pairs(measure, runs, situation)
        truth = true_difference(measure, situation, change, pairs=PAIRS)
        error = differences.std() / np.sqrt(differences.size / 2)  # some luck is shared by the pairs of a trial
        largest = abs(true_difference(measure, situation, TrueEffect(shift_logit=0.45)))
        assert differences.mean() == pytest.approx(truth, abs=4 * error + 0.02 * largest), measure
