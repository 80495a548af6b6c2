"""The luck of the feed, against derived tables of the trade."""

import math

import pytest

from trials.noise.grains import feed_noise_cv
from trials.simulation.dirt import Dirt, SizeSet

SIZES: tuple[SizeSet, ...] = ("coarse", "medium", "fine")


@pytest.mark.parametrize(("gold_mg", "tabled"), [(9, (70, 39, 9)), (90, (22, 12, 3))])
def test_feed_luck_against_table(gold_mg: float, tabled: tuple[int, ...]):
    """CV of the gold in a bucket, %, coarse to fine, equal grains in a class."""
    for size_set, expected in zip(SIZES, tabled, strict=True):
        assert 100 * feed_noise_cv(Dirt(gold_mg, size_set, grain_cv=0.0)) == pytest.approx(expected, abs=0.51)


@pytest.mark.parametrize(("size_set", "tabled"), [("medium", 23), ("fine", 5)])
def test_equal_halves_against_table(size_set: SizeSet, tabled: int):
    """Two halves of 50 mg each, split by pure luck, differ by so many per cent."""
    assert 100 * math.sqrt(2) * feed_noise_cv(Dirt(50, size_set, grain_cv=0.0)) == pytest.approx(tabled, abs=0.51)


def test_without_gold_luck_is_all():
    """No gold at all: no CV is large enough."""
    assert feed_noise_cv(Dirt(0.0)) == math.inf
