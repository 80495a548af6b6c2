"""Grain masses, and the luck that comes with few grains."""

import numpy as np
import pytest

from tests.tables import every
from trials.simulation.dirt import (
    GOLD_SHARES,
    Dirt,
    SizeSet,
    class_grain_masses_mg,
    expected_grains,
    grain_mass_mg,
)
from trials.simulation.noise_model import Noise
from trials.simulation.runs import simulate_runs
from trials.simulation.schedule import paired_schedule

# Size in mm; mass in mg of a sphere and at CSF 0.5, 0.2, 0.1; grains a gram of the sphere and at CSF 0.2.
# Derived from m = pi/6 d^3 CSF 17.5; masses rounded as tabled.
GRAIN_TABLE = [
    (2.000, "73.3", "36.7", "14.7", "7.3", 14, 68),
    (1.400, "25.1", "12.6", "5.03", "2.5", 40, 199),
    (0.850, "5.63", "2.81", "1.13", "0.56", 178, 889),
    (0.600, "1.98", "0.990", "0.396", "0.198", 505, 2_526),
    (0.425, "0.703", "0.352", "0.141", "0.070", 1_422, 7_108),
    (0.300, "0.247", "0.124", "0.0495", "0.025", 4_042, 20_210),
    (0.212, "0.0873", "0.0437", "0.0175", "0.0087", 11_454, 57_270),
    (0.150, "0.0309", "0.0155", "0.0062", "0.0031", 32_336, 161_681),
    (0.106, "0.0109", "0.0055", "0.0022", "0.0011", 91_632, 458_158),
    (0.075, "0.0039", "0.0019", "0.00077", "0.0004", 258_690, 1_290_000),
]


def _step(tabled: str) -> float:
    """Return one unit in the last figure that a table shows."""
    return 10.0 ** -len(tabled.partition(".")[2])


@every(("d_mm", "sphere", "half", "flake", "leaf", "spheres_a_gram", "flakes_a_gram"), GRAIN_TABLE)
def test_grain_mass_against_table(
    d_mm: float, sphere: str, half: str, flake: str, leaf: str, spheres_a_gram: int, flakes_a_gram: int
):
    """A grain weighs what the table of sieve sizes and shapes says, to its last figure."""
    for csf, tabled in ((1.0, sphere), (0.5, half), (0.2, flake), (0.1, leaf)):
        assert float(grain_mass_mg(d_mm, csf=csf)) == pytest.approx(float(tabled), abs=0.5001 * _step(tabled))
    assert 1000 / float(grain_mass_mg(d_mm, csf=1.0)) == pytest.approx(spheres_a_gram, rel=1e-4, abs=0.5)
    assert 1000 / float(grain_mass_mg(d_mm, csf=0.2)) == pytest.approx(flakes_a_gram, rel=3e-3, abs=0.5)


def test_pure_gold_is_heavier_in_proportion():
    """Pure gold of 19.3 g/cm3 weighs 1.103 times the alloy."""
    assert float(grain_mass_mg(1.0, density=19.3) / grain_mass_mg(1.0)) == pytest.approx(1.103, abs=5e-4)


def test_class_grain_masses_against_study():
    """The middle grain of each class weighs what an own simulation of the same grains, not published, worked with."""
    study = [12.8794, 3.5684, 1.0012, 0.3540, 0.1251, 0.0441, 0.0156, 0.0055, 0.0019, 0.0007]
    np.testing.assert_allclose(class_grain_masses_mg(), study, atol=5.001e-5)


@every("size_set", GOLD_SHARES)
def test_expected_grains_weigh_the_gold(size_set: SizeSet):
    """The shares make up all of the gold, so the grains expected weigh it again."""
    assert sum(GOLD_SHARES[size_set]) == pytest.approx(1.0)
    assert float(expected_grains(90.0, size_set) @ class_grain_masses_mg()) == pytest.approx(90.0)


def _feed_luck_cv(gold_mg: float, size_set: SizeSet) -> float:
    """Return the CV of gold fed, per cent: sqrt(sum n m^2) / sum n m."""
    n, m = expected_grains(gold_mg, size_set), class_grain_masses_mg()
    return 100 * np.sqrt((n * m**2).sum()) / (n * m).sum()


@every(("gold_mg", "size_set", "tabled"), [
    (9, "coarse", 70), (9, "medium", 39), (9, "fine", 9),
    (90, "coarse", 22), (90, "medium", 12), (90, "fine", 3),
])  # fmt: skip
def test_feed_luck_against_table(gold_mg: float, size_set: SizeSet, tabled: float):
    """One bucket differs from the next by the tabled luck, by formula and in simulated dirt alike."""
    assert _feed_luck_cv(gold_mg, size_set) == pytest.approx(tabled, abs=0.51)
    dirt = Dirt(gold_mg=gold_mg, size_set=size_set, grain_cv=0.0)
    runs = simulate_runs(11, schedule=paired_schedule([True], trials=20_000), dirt=dirt, noise=Noise())
    fed = runs.gold_kept_true_mg + runs.gold_tails_true_mg
    assert fed.mean() == pytest.approx(gold_mg, rel=4 * tabled / 100 / np.sqrt(fed.size) + 1e-3)
    assert 100 * fed.std() / gold_mg == pytest.approx(_feed_luck_cv(gold_mg, size_set), rel=0.03)


@every(("size_set", "tabled"), [("medium", 23), ("fine", 5)])
def test_split_luck_against_table(size_set: SizeSet, tabled: float):
    """Two halves of one lot, 50 mg each, differ by 23 % in medium gold and by 5 % in fine."""
    assert np.sqrt(2) * _feed_luck_cv(50, size_set) == pytest.approx(tabled, abs=0.5)
    dirt = Dirt(gold_mg=50, size_set=size_set, grain_cv=0.0, lot_cv=0.5)
    runs = simulate_runs(12, schedule=paired_schedule([True], trials=20_000), dirt=dirt, noise=Noise())
    fed = runs.gold_kept_true_mg + runs.gold_tails_true_mg
    gap = fed[..., 1] - fed[..., 0]
    # The lots differ, their halves do not: the gap still has the variance of two Poisson halves at mean richness.
    assert 100 * gap.std() / 50 == pytest.approx(np.sqrt(2) * _feed_luck_cv(50, size_set), rel=0.05)


@every(("field", "value"), [
    ("gold_mg", -1.0), ("split_vmr", 0.9), ("grain_cv", float("nan")), ("csf", 0.0), ("density", 23.0),
    ("lot_cv", -0.1), ("fed_g", 0.0), ("fed_cv", 1.5),
])  # fmt: skip
def test_dirt_refuses_the_impossible(field: str, value: float):
    """A setting outside its range is refused by name, with its value and the range."""
    with pytest.raises(ValueError, match=rf"Dirt\.{field} is {value}; it must lie from"):
        Dirt(**{field: value})


def test_dirt_refuses_an_unknown_size_set():
    """An unknown size set is refused with the known ones."""
    with pytest.raises(ValueError, match="'flour'; it must be one of coarse, medium, fine"):
        Dirt(size_set="flour")  # type: ignore[arg-type]
