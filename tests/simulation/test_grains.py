"""Fed, kept and lost: the quick draw is the literal one."""

import numpy as np
import pytest
from scipy import stats

from tests.tables import every
from trials.simulation.arrays import IntArray
from trials.simulation.dirt import CLASS_COUNT, Dirt, class_grain_masses_mg, expected_grains
from trials.simulation.gear import UNCHANGED_RECOVERY
from trials.simulation.grains import GrainFates, draw_grains
from trials.simulation.noise_model import Noise

RUNS = 40_000
P = np.asarray(UNCHANGED_RECOVERY)
LOGITS = np.broadcast_to(np.log(P / (1 - P)), (RUNS // 2, 1, 2, CLASS_COUNT))
EVEN = np.ones((RUNS // 2, 1, 2))


def _draw(seed: int, dirt: Dirt, noise: Noise | None = None) -> GrainFates:
    return draw_grains(np.random.default_rng(seed), dirt, noise or Noise(), LOGITS, EVEN)


@every("size_class", [2, 5, 9])
def test_kept_grains_against_binomial_after_poisson(size_class: int):
    """Drawing kept and lost at once gives the counts of drawing the fed grains, then each one's fate."""
    dirt = Dirt(gold_mg=9)
    fates = _draw(21, dirt)
    rng = np.random.default_rng(22)
    fed = rng.poisson(expected_grains(9, "medium")[size_class], RUNS)
    kept = rng.binomial(fed, P[size_class])
    quick_kept = fates.found[..., size_class].ravel()
    quick_lost = fates.tails[..., size_class].ravel()
    for literal, quick in ((kept, quick_kept), (fed - kept, quick_lost), (fed, quick_kept + quick_lost)):
        table = _table(literal, quick)
        assert stats.chi2_contingency(table).pvalue > 1e-3


def _table(a: IntArray, b: IntArray) -> IntArray:
    """Count two samples in common bins of at least 50."""
    edges = np.unique(np.quantile(a, np.linspace(0, 1, 11)[1:-1]))
    counts = np.stack([np.bincount(np.searchsorted(edges, x), minlength=edges.size + 1) for x in (a, b)])
    return counts[:, counts.sum(axis=0) > 50]


@every("vmr", [1.0, 1.5, 4.0, 19.0])
def test_split_has_the_variance_asked_for(vmr: float):
    """Grains fed scatter with the variance-to-mean ratio of the split, in every class, about the right mean."""
    fates = _draw(23, Dirt(gold_mg=900, split_vmr=vmr))
    fed = (fates.found + fates.tails).reshape(RUNS, CLASS_COUNT)
    expected = expected_grains(900, "medium")
    assert np.all(np.abs(fed.mean(axis=0) - expected) < 4.5 * np.sqrt(vmr * expected / RUNS))
    # Negative binomial: excess kurtosis under 6 VMR / mean + ..., so 5 % holds where 30 or more are expected.
    many = expected >= 30 * vmr
    assert many.sum() >= 4
    np.testing.assert_allclose((fed.var(axis=0) / expected)[many], vmr, rtol=0.05)


def test_split_is_negative_binomial():
    """A poor split of few grains follows the negative binomial distribution, not only its moments."""
    fates = _draw(24, Dirt(gold_mg=90, split_vmr=4.0))
    fed = (fates.found + fates.tails)[..., 2].ravel()
    mean = expected_grains(90, "medium")[2]
    chance = stats.nbinom.pmf(np.arange(40), mean / 3.0, 0.25)
    seen = np.bincount(np.minimum(fed, 40), minlength=41)
    assert stats.chisquare(seen, np.append(chance, 1 - chance.sum()) * RUNS).pvalue > 1e-3


@every("cv", [0.0, 0.5, 1.0])
def test_masses_have_the_mean_and_spread_of_so_many_grains(cv: float):
    """The mass of n grains has mean n m and variance n m^2 cv^2, and is never negative."""
    fates = _draw(25, Dirt(gold_mg=90, grain_cv=cv))
    n = fates.found.reshape(RUNS, CLASS_COUNT)
    excess = fates.found_mg.reshape(RUNS, CLASS_COUNT) / class_grain_masses_mg() - n
    assert fates.found_mg.min() >= 0.0
    assert np.all(np.abs(excess.mean(axis=0)) <= 4.5 * cv * np.sqrt(n.mean(axis=0) / RUNS) + 1e-9)
    np.testing.assert_allclose(excess[:, 3:].var(axis=0), cv**2 * n[:, 3:].mean(axis=0), rtol=0.05, atol=1e-9)


def test_no_grains_no_mass():
    """Where no grain was drawn there is no gold."""
    fates = _draw(26, Dirt(gold_mg=0.5))
    assert (fates.found == 0).any()
    assert np.all(fates.found_mg[fates.found == 0] == 0.0)
    assert np.all(_draw(27, Dirt(gold_mg=0.0)).tails_mg == 0.0)


def test_pan_loses_fine_grains_only():
    """The final pan-out loses its share of the caught grains under 0.150 mm and none above."""
    fates = _draw(28, Dirt(gold_mg=90), Noise(panout_loss_fine=0.3))
    caught = (fates.found + fates.panned_away).sum(axis=(0, 1, 2))
    share = fates.panned_away.sum(axis=(0, 1, 2)) / caught
    assert np.all(share[:7] == 0.0)
    np.testing.assert_allclose(share[7:], 0.3, atol=4.5 * np.sqrt(0.21 / caught[7:].min()))


def test_gear_holds_back_its_share():
    """Carry-over holds back its share of the caught grains of every class, and of their mass."""
    fates = _draw(29, Dirt(gold_mg=90), Noise(carry_over=0.1))
    held = fates.held.sum(axis=(0, 1, 2))
    caught = held + fates.found.sum(axis=(0, 1, 2))
    assert np.all(np.abs(held / caught - 0.1) < 4.5 * np.sqrt(0.09 / caught))
    assert fates.held_mg.sum() / (fates.held_mg + fates.found_mg).sum() == pytest.approx(0.1, rel=0.02)
