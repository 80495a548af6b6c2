"""Dirt for enough grains, and the luck of the feed, against derived tables of the trade."""

import math

import pytest

from trials.noise.feed_luck import feed_luck_cv, mass_for_grains_g
from trials.simulation.dirt import Dirt, SizeSet

GRAINS_MM = (2.0, 1.0, 0.5, 0.3, 0.15, 0.106, 0.075)
SIZES: tuple[SizeSet, ...] = ("coarse", "medium", "fine")


# Mass that holds 20 grains of one size, flakes of shape factor 0.3, 17.5 g/cm3; kg at 0.5 mg/kg and at 50 mg/kg.
@pytest.mark.parametrize(("grade", "tabled"), [
    (0.5, (880.0, 110.0, 14.0, 3.0, 0.37, 0.13, 0.046)),
    (50.0, (8.8, 1.1, 0.14, 0.030, 0.0037, 0.0013, 0.0005)),
])  # fmt: skip
def test_mass_for_20_grains_against_table(grade: float, tabled: tuple[float, ...]):
    """Each entry to its printed digits; the smallest is printed to one."""
    for grain_mm, kg in zip(GRAINS_MM, tabled, strict=True):
        of_a_digit = 0.5 * 10 ** math.floor(math.log10(kg)) * (0.1 if kg != 0.0005 else 1.0)
        assert mass_for_grains_g(grain_mm, grade) / 1000 == pytest.approx(kg, abs=1.01 * of_a_digit)


def test_mass_goes_with_the_grains():
    """100 grains take 5 times the dirt of 20; spheres 1/0.3 that of flakes; none take none."""
    assert mass_for_grains_g(0.5, 1.0, 100) == pytest.approx(5 * mass_for_grains_g(0.5, 1.0))
    assert mass_for_grains_g(0.5, 1.0, csf=1.0) == pytest.approx(mass_for_grains_g(0.5, 1.0) / 0.3)
    assert mass_for_grains_g(0.5, 1.0, 0) == 0.0


@pytest.mark.parametrize(("grain_mm", "grade", "grains", "name"), [
    (0.0, 1.0, 20, "grain_mm"), (math.nan, 1.0, 20, "grain_mm"), (0.5, 0.0, 20, "grade_mg_kg"), (0.5, 1.0, -1, "grains"),
])  # fmt: skip
def test_no_dirt_holds_that(grain_mm: float, grade: float, grains: int, name: str):
    """A size or a grade of 0, or fewer than no grains, are refused by name."""
    with pytest.raises(ValueError, match=rf"{name} is .*Give"):
        mass_for_grains_g(grain_mm, grade, grains)


@pytest.mark.parametrize(("gold_mg", "tabled"), [(9, (70, 39, 9)), (90, (22, 12, 3))])
def test_feed_luck_against_table(gold_mg: float, tabled: tuple[int, ...]):
    """CV of the gold in a bucket, %, coarse to fine, equal grains in a class."""
    for size_set, expected in zip(SIZES, tabled, strict=True):
        assert 100 * feed_luck_cv(Dirt(gold_mg, size_set, grain_cv=0.0)) == pytest.approx(expected, abs=0.51)


@pytest.mark.parametrize(("size_set", "tabled"), [("medium", 23), ("fine", 5)])
def test_equal_halves_against_table(size_set: SizeSet, tabled: int):
    """Two halves of 50 mg each, split by pure luck, differ by so many per cent."""
    assert 100 * math.sqrt(2) * feed_luck_cv(Dirt(50, size_set, grain_cv=0.0)) == pytest.approx(tabled, abs=0.51)


def test_without_gold_luck_is_all():
    """No gold at all: no CV is large enough."""
    assert feed_luck_cv(Dirt(0.0)) == math.inf
