"""The simulated trials scatter as a separate study of the same assumed noise found. Tables derived.

The study is an own simulation, not published: grains fed, kept, lost and weighed one by one, made before this code and
apart from it.
"""

import numpy as np
import pytest

from tests.tables import every
from trials.simulation.dirt import GOLD_SHARES, Dirt, SizeSet, class_grain_masses_mg, expected_grains
from trials.simulation.gear import UNCHANGED_RECOVERY
from trials.simulation.grains import draw_grains
from trials.simulation.noise_model import TYPICAL, Noise
from trials.simulation.run_effects import draw_run_effects
from trials.simulation.runs import simulate_runs
from trials.simulation.schedule import paired_schedule
from trials.statistics.arrays import Numbers

TRIALS = 20_000
ONE_PAIR = paired_schedule([True], trials=TRIALS)

# Gold fed, mg; then for coarse, medium, fine: chance in per cent that two like runs differ by a ratio beyond
# 1.2 and beyond 1.5 (20,000 draws each), and the SD of C/(C+T) in points. No run effect, equal grains in a class,
# concentrate weighed with SD 1.5 mg; C/(C+T) of the true masses.
A_AGAINST_A = [
    (9, "coarse", 86, 69, 8.3), (9, "medium", 75, 48, 5.4), (9, "fine", 58, 23, 2.4),
    (90, "coarse", 57, 21, 3.6), (90, "medium", 32, 3, 2.2), (90, "fine", 0, 0, 0.8),
    (900, "coarse", 7, 0, 1.2), (900, "medium", 0, 0, 0.7), (900, "fine", 0, 0, 0.3),
]  # fmt: skip


def _chance_se(per_cent: float) -> float:
    """Return the SE of the difference of two simulated chances, per cent."""
    p = np.clip(per_cent / 100, 0.002, 0.998)
    return 100 * np.sqrt(2 * p * (1 - p) / TRIALS)


def _sd_se(values: Numbers) -> float:
    """Return the SE of the difference of two simulated SDs, from the kurtosis."""
    deviations = values - values.mean()
    kurtosis = (deviations**4).mean() / deviations.var() ** 2
    return deviations.std() * np.sqrt(2 * (kurtosis - 1) / (4 * values.size))


@every(("gold_mg", "size_set", "beyond_20", "beyond_50", "sd_points"), A_AGAINST_A)
def test_nothing_changed_against_table(
    gold_mg: float, size_set: SizeSet, beyond_20: float, beyond_50: float, sd_points: float
):
    """Two runs of the very same gear look as different as the nothing-changed table says."""
    noise = Noise(scale_sd_g=0.0015 / np.sqrt(2))
    runs = simulate_runs(31, schedule=ONE_PAIR, dirt=Dirt(gold_mg, size_set, grain_cv=0.0), noise=noise)
    low, high = np.sort(runs.gold_kept_mg[:, 0], axis=-1).T
    for ratio, tabled in ((1.2, beyond_20), (1.5, beyond_50)):
        beyond = 100 * np.mean(high > ratio * low)
        assert beyond == pytest.approx(tabled, abs=0.5 + 3 * _chance_se(tabled))
    recovery = 100 * runs.gold_kept_true_mg / (runs.gold_kept_true_mg + runs.gold_tails_true_mg)
    assert recovery.std() == pytest.approx(sd_points, abs=0.05 + 3 * _sd_se(recovery[:, 0, 0]))


# Dirt and noise, then the SD of the pair difference: recovery in points, ln gold kept, ln gold in tails. 20,000
# pairs; grain CV 0.5. Where the study names no scale: none for the first row, else 2 mg.
PAIR_SD = [
    (Dirt(900, "fine"), Noise(process_sd_points=1.0, tails_cv=0.1), (2.96, 0.030, 0.182)),
    (Dirt(90, "fine"), Noise(process_sd_points=2.5, scale_sd_g=0.002), (6.52, 0.099, 0.411)),
    (Dirt(90, "medium", 4.0), Noise(process_sd_points=2.5, scale_sd_g=0.002), (6.21, 0.322, 0.904)),
    (
        Dirt(900, "medium", 19.0),
        Noise(process_sd_points=2.5, scale_sd_g=0.002, tails_cv=0.1),
        (3.40, 0.219, 0.389),
    ),
    (Dirt(900, "coarse", 1.5), Noise(process_sd_points=2.5, scale_sd_g=0.002), (2.77, 0.136, 0.502)),
    (Dirt(900, "medium"), Noise(process_sd_points=5.0, scale_sd_g=0.01, tails_cv=0.2), (6.87, 0.105, 0.853)),
]


@every(("dirt", "noise", "study"), PAIR_SD)
def test_pair_scatter_against_study(dirt: Dirt, noise: Noise, study: tuple[float, float, float]):
    """Pair differences of recovery, gold kept and gold lost scatter within 10 % of the study's."""
    runs = simulate_runs(32, schedule=ONE_PAIR, dirt=dirt, noise=noise)
    kept, tails = runs.gold_kept_mg[:, 0], runs.gold_tails_mg[:, 0]
    recovery = 100 * kept / (kept + tails)
    some = (tails > 0).all(axis=-1)  # a pair with tails weighed as 0 has no ln ratio
    sds = (
        (recovery[:, 1] - recovery[:, 0]).std(),
        np.log(kept[:, 1] / kept[:, 0]).std(),
        np.log(tails[some, 1] / tails[some, 0]).std(),
    )
    assert sds == pytest.approx(study, rel=0.10)


@every(
    ("size_set", "formula", "simulated"),
    [("coarse", 5.02, 5.3), ("medium", 7.56, 7.9), ("fine", 15.92, 16.4)],
)
def test_second_pass_finds_gold_when_nothing_changed(size_set: SizeSet, formula: float, simulated: float):
    """Tails run again over the same gear give the share of the first pass that the study found."""
    share, p = np.asarray(GOLD_SHARES[size_set]), np.asarray(UNCHANGED_RECOVERY)
    assert 100 * (share * p * (1 - p)).sum() / (share * p).sum() == pytest.approx(formula, abs=0.005)
    passes = [
        np.log(p / (1 - p)) + draw_run_effects(np.random.default_rng(seed), noise, ONE_PAIR)[..., np.newaxis]
        for seed, noise in ((33, TYPICAL), (34, Noise(process_sd_points=2.5)))
    ]
    first = draw_grains(np.random.default_rng(33), Dirt(900, size_set), TYPICAL, passes[0], np.ones(ONE_PAIR.shape))
    second_mg = (first.tails_mg / (1 + np.exp(-passes[1])))[:, 0, 0].sum(axis=-1)
    found = 100 * second_mg / first.found_mg[:, 0, 0].sum(axis=-1)
    assert found.mean() == pytest.approx(simulated, rel=0.05)  # the study's amount of gold is not named


def test_noise_budget_against_study():
    """Expected recovery of fine gold, and the counting part of its scatter, are the study's."""
    n, m, p = expected_grains(900, "fine"), class_grain_masses_mg(), np.asarray(UNCHANGED_RECOVERY)
    recovery = (n * m * p).sum() / 900
    count = (m**2 * n * (p * (1 - p) * 1.25 + 1.75 * (p - recovery) ** 2)).sum() / 900**2
    assert recovery == pytest.approx(0.8194, abs=5e-5)
    assert 1e4 * count == pytest.approx(0.08318, abs=5e-6)
    runs = simulate_runs(35, schedule=ONE_PAIR, dirt=Dirt(900, "fine", split_vmr=1.5), noise=Noise())
    simulated = runs.gold_kept_true_mg / (runs.gold_kept_true_mg + runs.gold_tails_true_mg)
    assert 1e4 * simulated.var() == pytest.approx(0.08318, rel=4.5 * np.sqrt(2 / simulated.size) + 0.01)
