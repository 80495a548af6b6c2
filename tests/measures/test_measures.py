import math

import numpy as np
import pytest
from numpy.testing import assert_allclose

from trials.measures.catalogue import MEASURES, measure_named
from trials.measures.gold_mass import GOLD_MASS
from trials.measures.grain_counts import GRAIN_COUNTS
from trials.measures.measure import Measure
from trials.measures.recovery import RECOVERY
from trials.measures.tails_gold import TAILS_GOLD
from trials.measures.tracers import TRACERS

W = math.sqrt(2)  # w for a division of 1 mg: gross and tare, each read to one division


def test_recovery_in_points() -> None:
    """90 of 100 mg against 45 of 60 mg: 90 % and 75 %, so -15 points."""
    one, other = np.array([[90.0, 10.0]]), np.array([[45.0, 15.0]])
    assert_allclose(RECOVERY.value(one), [90.0])
    assert_allclose(RECOVERY.difference(one, other, 1.0), [-15.0])


def test_recovery_floor() -> None:
    """100 sqrt(w^2[(.1)^2 + .9^2]/100^2 + w^2[.25^2 + .75^2]/60^2) by hand."""
    floor = RECOVERY.floor(np.array([[90.0, 10.0]]), np.array([[45.0, 15.0]]), 1.0)
    by_hand = 100 * math.sqrt(W**2 * (0.1**2 + 0.9**2) / 100**2 + W**2 * (0.25**2 + 0.75**2) / 60**2)
    assert floor is not None
    assert_allclose(floor, [by_hand])


def test_gold_mass_and_its_zeros() -> None:
    """ln(30/20); with a zero in the trial half a division goes to every mass of it."""
    assert_allclose(GOLD_MASS.difference(np.array([[20.0]]), np.array([[30.0]]), 1.0), [math.log(1.5)])
    found = GOLD_MASS.difference(np.array([[20.0], [0.0]]), np.array([[30.0], [4.0]]), 1.0)
    assert_allclose(found, [math.log(30.5 / 20.5), math.log(4.5 / 0.5)])
    assert np.isnan(GOLD_MASS.difference(np.array([[0.0]]), np.array([[4.0]]), None)).all()


@pytest.mark.parametrize("measure", [GOLD_MASS, TAILS_GOLD])
def test_weighing_floor(measure: Measure) -> None:
    """sqrt((w/20)^2 + (w/30)^2) by hand; none without a division."""
    one, other = np.array([[20.0]]), np.array([[30.0]])
    floor = measure.floor(one, other, 1.0)
    assert floor is not None
    assert_allclose(floor, [math.hypot(W / 20, W / 30)])
    assert measure.floor(one, other, None) is None


def test_tails_gold_turns_round() -> None:
    """Half the gold lost is ln 2 to the good, shown as 50 % less; twice is 100 % more lost."""
    d = float(TAILS_GOLD.difference(np.array([[20.0]]), np.array([[10.0]]), 1.0)[0])
    assert d == pytest.approx(math.log(2))
    assert TAILS_GOLD.shown(d) == pytest.approx(50.0)
    assert TAILS_GOLD.shown(-d) == pytest.approx(-100.0)
    assert TAILS_GOLD.line(50.0) == pytest.approx(math.log(2))


def test_tracers() -> None:
    """20 of 25 against 45 of 50: 80 % and 90 %; p = 66/77 in the floor."""
    one, other = np.array([[20.0, 25.0]]), np.array([[45.0, 50.0]])
    assert_allclose(TRACERS.difference(one, other, None), [10.0])
    p = 66 / 77
    floor = TRACERS.floor(one, other, None)
    assert floor is not None
    assert_allclose(floor, [100 * math.sqrt(p * (1 - p) * (1 / 25 + 1 / 50))])


def test_grain_counts() -> None:
    """ln(12.5/7.5), and sqrt(1/7.5 + 1/12.5)."""
    one, other = np.array([[7.0]]), np.array([[12.0]])
    assert_allclose(GRAIN_COUNTS.difference(one, other, None), [math.log(12.5 / 7.5)])
    floor = GRAIN_COUNTS.floor(one, other, None)
    assert floor is not None
    assert_allclose(floor, [math.sqrt(1 / 7.5 + 1 / 12.5)])


@pytest.mark.parametrize(
    ("name", "typed", "line"),
    [
        ("recovery", 1.0, 1.0),
        ("tracers", 3.0, 3.0),
        ("gold_mass", 20.0, math.log(1.2)),
        ("grain_counts", 20.0, math.log(1.2)),
        ("tails_gold", 20.0, -math.log(0.8)),
    ],
)
def test_the_line_on_the_scale(name: str, typed: float, line: float) -> None:
    """X % is ln(1 + x/100), for gold in tails -ln(1 - x/100); and it is shown as it was typed."""
    measure = measure_named(name)  # type: ignore[arg-type]
    assert measure.line(typed) == pytest.approx(line)
    assert measure.shown(measure.line(typed)) == pytest.approx(typed)


@pytest.mark.parametrize(
    ("measure", "readings", "empty"),
    [
        (RECOVERY, ([0.0, 0.0], [5.0, 1.0]), True),
        (RECOVERY, ([0.0, 3.0], [5.0, 1.0]), False),
        (GOLD_MASS, ([0.0], [0.0]), True),
        (GOLD_MASS, ([0.0], [2.0]), False),
        (GRAIN_COUNTS, ([0.0], [0.0]), True),
        (TRACERS, ([0.0, 25.0], [0.0, 25.0]), False),
    ],
)
def test_empty_pairs(measure: Measure, readings: tuple[list[float], list[float]], empty: bool) -> None:
    """No gold found at all says nothing; no tracer kept says a lot."""
    one, other = (np.array([half]) for half in readings)
    assert measure.is_empty(one, other).tolist() == [empty]


@pytest.mark.parametrize("measure", MEASURES, ids=lambda measure: measure.name)
def test_many_trials_at_once_equal_one_by_one(measure: Measure) -> None:
    """Leading axes broadcast."""
    rng = np.random.default_rng(5)
    one, other = rng.integers(1, 50, (2, 3, 4, 6, len(measure.inputs))).astype(float)
    if measure is TRACERS:
        one[..., 1] = other[..., 1] = 50
    whole, floors = measure.difference(one, other, 1.0), measure.floor(one, other, 1.0)
    assert whole.shape == (3, 4, 6) and floors is not None
    for index in np.ndindex(3, 4):
        assert_allclose(whole[index], measure.difference(one[index], other[index], 1.0))
        assert_allclose(floors[index], measure.floor(one[index], other[index], 1.0))
