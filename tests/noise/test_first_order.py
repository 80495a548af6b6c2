"""The sums of random grains, and what a scale makes of them, against exact laws of a reference library."""

import math

import numpy as np
import pytest
from scipy import special, stats

from trials.noise.first_order import left_over_variance, pair_square
from trials.noise.grains import RunGrains, halves_apart, shared, shared_sd
from trials.noise.quadrature import bell, even
from trials.noise.readings import GoldScale, read_log_mass, read_share
from trials.noise.situation import Situation
from trials.noise.sums import chance_of_none, log_of_sum, share_moments
from trials.simulation.dirt import Dirt
from trials.simulation.noise_model import Noise
from trials.simulation.work_up import weigh_mg


def _grains(
    fed: float, kept: float = 1.0, *, mass_mg: float = 1.0, mass_cv: float = 0.0, clumping: float = 0.0
) -> RunGrains:
    """Grains of one class."""
    return RunGrains(
        fed=np.array([fed]),
        kept=np.array([kept]),
        lost=np.array([1.0 - kept]),
        mass_mg=np.array([mass_mg]),
        mass_cv=mass_cv,
        clumping=clumping,
    )


@pytest.mark.parametrize("mean", [0.5, 3.0, 20.0, 400.0, 3e4])
def test_logs_of_poisson_counts(mean: float):
    """Mean and variance of ln(n + 1/2), and of ln n over 0, from the Poisson law term by term."""
    counts = np.arange(int(mean + 12 * math.sqrt(mean) + 40))
    chance = stats.poisson.pmf(counts, mean)
    grains = _grains(mean)
    with_half = log_of_sum(grains, grains.kept, added=0.5)
    logs = np.log(counts + 0.5)
    assert float(with_half.mean) == pytest.approx(chance @ logs, abs=1e-7)
    assert float(with_half.variance) == pytest.approx(chance @ (logs - chance @ logs) ** 2, rel=1e-3)
    over_zero = log_of_sum(grains, grains.kept)
    some, logs = chance[1:] / chance[1:].sum(), np.log(counts[1:])
    assert float(over_zero.mean) == pytest.approx(some @ logs, abs=1e-7)
    assert float(over_zero.variance) == pytest.approx(some @ (logs - some @ logs) ** 2, rel=1e-3)
    assert float(over_zero.none) == pytest.approx(math.exp(-mean))


@pytest.mark.parametrize(("mean", "vmr"), [(3.0, 2.0), (40.0, 19.0), (400.0, 4.0)])
def test_logs_of_clumped_counts(mean: float, vmr: float):
    """Half of the grains kept of a split with such a variance over mean: negative binomial, VMR 1 + (v - 1)/2."""
    grains = _grains(2 * mean, 0.5, clumping=vmr - 1.0)
    kept_vmr = 1.0 + (vmr - 1.0) / 2.0
    law = stats.nbinom(mean / (kept_vmr - 1.0), 1.0 / kept_vmr)
    counts = np.arange(int(mean + 40 * math.sqrt(kept_vmr * mean) + 100))
    chance, logs = law.pmf(counts), np.log(counts + 0.5)
    found = log_of_sum(grains, grains.kept, added=0.5)
    assert float(found.mean) == pytest.approx(chance @ logs, abs=1e-6)
    assert float(found.variance) == pytest.approx(chance @ (logs - chance @ logs) ** 2, rel=1e-4)
    assert float(chance_of_none(grains, grains.kept)) == pytest.approx(law.pmf(0))


def test_log_of_a_lone_grain():
    """Where there is hardly ever a grain, the sum over 0 is one grain: gamma, of shape 1/cv^2."""
    grains = _grains(1e-7, mass_mg=3.0, mass_cv=0.5)
    found = log_of_sum(grains, grains.kept)
    assert float(found.mean) == pytest.approx(math.log(3.0 / 4.0) + float(special.digamma(4.0)), abs=1e-5)
    assert float(found.variance) == pytest.approx(float(special.polygamma(1, 4.0)), rel=1e-4)


@pytest.mark.parametrize("mean", [2.0, 15.0, 300.0])
def test_share_of_poisson_grains(mean: float):
    """Of n grains, each kept with 0.9: the share has mean 0.9 and variance 0.09 E[1/n], over n from 1 up."""
    counts = np.arange(1, int(mean + 12 * math.sqrt(mean) + 40))
    chance = stats.poisson.pmf(counts, mean) / -math.expm1(-mean)
    found, square = share_moments(_grains(mean, 0.9), 1.0)
    assert float(found) == pytest.approx(0.9, abs=1e-7)
    assert float(square - found**2) == pytest.approx(0.09 * float(chance @ (1.0 / counts)), rel=1e-3)


def test_share_of_clumped_grains():
    """A split however poor feeds more or less of everything: the share kept scatters by counting alone."""
    found, square = share_moments(_grains(1e6, 0.7, clumping=49.0), 1.0)
    assert float(square - found**2) == pytest.approx(0.7 * 0.3 / 1e6, rel=0.2, abs=2e-8)
    found, _ = share_moments(_grains(1e6, 0.8, clumping=49.0), 0.5)
    assert float(found) == pytest.approx(0.8 / 0.9, abs=1e-6)  # half of the tails found


def test_nodes_have_the_moments_of_a_bell_curve():
    """Mean 0, the variance asked for; the smooth ones the fourth moment too."""
    assert bell(0.0).at.tolist() == [0.0]
    for nodes, sd in ((bell(3.0), 3.0), (even(9), 1.0)):
        assert float(nodes.weight.sum()) == pytest.approx(1.0)
        assert float(nodes.mean(nodes.at)) == pytest.approx(0.0, abs=1e-12)
        assert float(nodes.mean(nodes.at**2)) == pytest.approx(sd**2)
    assert float(bell(3.0).mean(bell(3.0).at ** 4)) == pytest.approx(3 * 3.0**4)


def test_shared_nodes_average_to_the_dirt_and_the_gear_as_guessed():
    """Richness averages to 1 with the variance of lot and half; the shift to 0, with all shared SDs."""
    noise = Noise(session_sd_points=1.8, operator_sd_points=0.9, drift_points_per_run=0.9)
    both = shared(Situation(Dirt(lot_cv=0.3, fed_cv=0.1), noise), pairs=4)
    turns = np.arange(8)
    assert both.mean(both.shift) == pytest.approx(0.0, abs=1e-12)
    assert both.mean(both.shift**2) == pytest.approx(0.2**2 + 0.1**2 + 0.1**2 * turns.var())
    assert both.mean(both.richness) == pytest.approx(1.0, abs=1e-4)
    assert both.mean(both.richness**2) == pytest.approx(1.09 * 1.01, rel=1e-3)
    assert shared_sd(noise, 4) ** 2 == pytest.approx(0.05 + 0.01 * turns.var())
    # 30 pairs: 12 runs of a rise by 0.1, 48 runs at its top; 6 pairs of halves 0.1 apart, 24 alike.
    learned = np.array([*range(12), *[11] * 48])
    assert shared_sd(noise, 30) ** 2 == pytest.approx(0.05 + 0.01 * learned.var())
    assert halves_apart(noise, 30) ** 2 == pytest.approx(0.01 * 6 / 30)


def test_luck_left_in_the_gear_evens_out_a_pair():
    """Half the variance of own x2 + before x1 - own x1 - before x0, from draws."""
    x = np.random.default_rng(61).standard_normal((3, 200_000))
    difference = 0.9 * x[2] + 0.1 * x[1] - 0.9 * x[1] - 0.1 * x[0]
    assert float(pair_square(0.9, 0.1)) == pytest.approx(difference.var() / 2, rel=0.02)


def test_gold_of_another_lot_from_draws():
    """The first half of a pair holds a tenth of the lot before; the second of its own; the very first run of none."""
    rng = np.random.default_rng(62)
    log_sd = math.sqrt(math.log1p(0.3**2))
    lots = np.exp(log_sd * rng.standard_normal((50_000, 5)))
    before = np.concatenate([np.zeros((50_000, 1)), lots[:, :-1]], axis=1)
    first, second = 0.9 * lots + 0.1 * before, lots
    assert left_over_variance(0.1, 0.3, 5) == pytest.approx(float(np.mean(np.log(second / first) ** 2)) / 2, rel=0.02)


@pytest.mark.parametrize(("mean_mg", "log_sd"), [(200.0, 0.1), (20.0, 0.3), (8.0, 0.5)])
def test_scale_over_logs_from_weighings(mean_mg: float, log_sd: float):
    """What weighing adds to the scatter of a log, how often it shows none, and its error, from simulated weighings."""
    rng = np.random.default_rng(63)
    true = mean_mg * np.exp(log_sd * rng.standard_normal((100_000, 12)))
    shown = weigh_mg(rng, true, scale_sd_g=0.002, scale_division_g=0.001)
    added = np.where((shown == 0).any(axis=1, keepdims=True), 0.5, 0.0)
    first, second = (np.log(shown + added)[:, half::2] for half in (0, 1))
    counted = (shown[:, ::2] > 0) | (shown[:, 1::2] > 0)
    scale = GoldScale(2.0 * math.sqrt(2.0), 1.0)
    read = read_log_mass(np.log([mean_mg]), np.array([log_sd**2]), np.zeros(1), scale, runs=12)
    scatter = float((second - first)[counted].var()) / 2
    assert log_sd**2 + float(read.by_scale[0]) == pytest.approx(scatter, rel=0.03)
    assert float(read.zero_share[0]) == pytest.approx(float((shown == 0).mean()), abs=0.003)
    assert float(read.mean_error[0]) == pytest.approx(float((shown - true).mean()), abs=0.03)


@pytest.mark.parametrize(("found_mg", "share_sd"), [(500.0, 0.02), (60.0, 0.05), (20.0, 0.05)])
def test_scale_over_shares_from_weighings(found_mg: float, share_sd: float):
    """What two weighings add to the scatter of a share, and their error, from simulated weighings of a beta law."""
    rng = np.random.default_rng(64)
    certainty = 0.85 * 0.15 / share_sd**2 - 1.0
    share = rng.beta(0.85 * certainty, 0.15 * certainty, 400_000)
    catch, tails = (
        weigh_mg(rng, part * found_mg, scale_sd_g=0.002, scale_division_g=0.001) for part in (share, 1.0 - share)
    )
    shown = catch / (catch + tails)
    scale = GoldScale(2.0 * math.sqrt(2.0), 1.0)
    read = read_share(np.array([0.85]), np.array([share_sd**2]), np.array([found_mg]), np.array([1e-6]), scale)
    assert share_sd**2 + float(read.by_scale[0]) == pytest.approx(float(shown.var()), rel=0.08)
    assert float(read.mean_error[0]) == pytest.approx(float(shown.mean() - share.mean()), abs=0.004)
