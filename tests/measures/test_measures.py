import math

import numpy as np
import pytest
from numpy.testing import assert_allclose

from schemas import Scales
from schemas.base import MEASURE_WORDS
from tests.tables import every
from tests.verdicts.cases import counts, masses, run, trial
from trials.fairness.evidence import gather
from trials.measures.catalogue import MEASURES, measure_named
from trials.measures.gold_mass import GOLD_MASS
from trials.measures.grain_counts import GRAIN_COUNTS
from trials.measures.measure import Measure
from trials.measures.recovery import RECOVERY
from trials.measures.tails_gold import TAILS_GOLD
from trials.measures.tracers import TRACERS
from trials.verdicts.analysis import root_mean_square_floor

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


@every("measure", [GOLD_MASS, TAILS_GOLD])
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


@every(
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


@every(
    ("measure", "readings", "empty"),
    [
        (RECOVERY, ([0.0, 0.0], [5.0, 1.0]), True),
        (RECOVERY, ([0.0, 3.0], [5.0, 1.0]), False),
        (GOLD_MASS, ([0.0], [0.0]), True),
        (GOLD_MASS, ([0.0], [2.0]), False),
        (GRAIN_COUNTS, ([0.0], [0.0]), True),
        (GRAIN_COUNTS, ([0.0], [1.0]), False),
        (TAILS_GOLD, ([0.0], [0.0]), True),
        (TAILS_GOLD, ([2.0], [0.0]), False),
        (RECOVERY, ([5.0, 0.0], [0.0, 0.0]), True),
        (TRACERS, ([0.0, 0.0], [5.0, 25.0]), True),
        (TRACERS, ([0.0, 25.0], [0.0, 25.0]), False),
    ],
)
def test_empty_pairs(measure: Measure, readings: tuple[list[float], list[float]], empty: bool) -> None:
    """No gold found at all says nothing; no tracer kept says a lot."""
    one, other = (np.array([half]) for half in readings)
    assert measure.is_empty(one, other).tolist() == [empty]


@every(
    ("measure", "difference", "shown", "signed", "beyond"),
    [
        # points are shown as they are
        (RECOVERY, 2.5, 2.5, "+2.5 points", "+2.5 points"),
        (TRACERS, -4.0, -4.0, "-4.0 points", "-4.0 points"),
        # exp(ln 1.5) - 1 = 50 % more; exp(-ln 2) - 1 = -50 %, half of it
        (GOLD_MASS, math.log(1.5), 50.0, "+50.0 % gold kept", "50.0 % more gold kept"),
        (GOLD_MASS, -math.log(2), -50.0, "-50.0 % gold kept", "50.0 % less gold kept"),
        (GRAIN_COUNTS, math.log(1.39), 39.0, "+39.0 % grains", "39.0 % more grains"),
        (GRAIN_COUNTS, math.log(0.8), -20.0, "-20.0 % grains", "20.0 % fewer grains"),
        # 1 - exp(-ln 2) = half lost no more; 1 - exp(ln 1.25) = 25 % more lost; its sign is that of the gold lost
        (TAILS_GOLD, math.log(2), 50.0, "-50.0 % gold lost", "50.0 % less gold lost"),
        (TAILS_GOLD, -math.log(1.25), -25.0, "+25.0 % gold lost", "25.0 % more gold lost"),
    ],
)
def test_a_difference_as_it_is_shown(
    measure: Measure, difference: float, shown: float, signed: str, beyond: str
) -> None:
    """The number a person reads, with its sign or its word, from the difference on the scale."""
    assert measure.shown(difference) == pytest.approx(shown)
    assert measure.signed_text(measure.shown(difference), 1) == signed
    assert measure.beyond_luck_text(measure.shown(difference), 1) == beyond


def test_tails_gold_and_its_zeros() -> None:
    """Nothing lost in one half: -ln((0 + .5)/(4 + .5)), and .5 on both masses of the other pair too."""
    found = TAILS_GOLD.difference(np.array([[4.0], [20.0]]), np.array([[0.0], [10.0]]), 1.0)
    assert_allclose(found, [-math.log(0.5 / 4.5), -math.log(10.5 / 20.5)])


@every("measure", [GOLD_MASS, TAILS_GOLD])
def test_the_weighing_floor_of_nothing_is_that_of_half_a_division(measure: Measure) -> None:
    """sqrt((w/.5)^2 + (w/4)^2): a mass of 0 stands for half a division, as in the ratio."""
    floor = measure.floor(np.array([[0.0]]), np.array([[4.0]]), 1.0)
    assert floor is not None
    assert_allclose(floor, [math.hypot(W / 0.5, W / 4)])


@every("measure", MEASURES, ids=lambda measure: measure.name)
def test_what_is_counted_needs_no_division(measure: Measure) -> None:
    """Without a known division a weighed measure has no floor; a counted one has the same with and without."""
    one, other = np.full((2, 3, len(measure.inputs)), 20.0)
    floors = measure.floor(one, other, None), measure.floor(one, other, 1.0)
    assert floors[1] is not None
    if measure.weighs:
        assert floors[0] is None
    else:
        assert floors[0] is not None
        assert_allclose(floors[0], floors[1])


def test_the_division_is_that_of_the_gold_scale() -> None:
    """0.001 g is 1 mg; none for what is counted, none where the scale is not known."""
    known = trial("recovery", scales=Scales(gold_g=0.001))
    assert [measure.division(known) for measure in MEASURES] == [1.0, 1.0, None, None, 1.0]
    assert all(measure.division(trial("recovery")) is None for measure in MEASURES)


def test_the_tracer_floor_pools_the_pairs_of_a_trial() -> None:
    """With p = (5 + 25 + 1)/(50 + 2), so that a pair that kept all has a floor too: 100 sqrt(p (1-p) 2/25)."""
    one = np.array([[5.0, 25.0], [0.0, 0.0]])
    other = np.array([[25.0, 25.0], [0.0, 0.0]])
    floor = TRACERS.floor(one, other, None)
    assert floor is not None
    p = 31 / 52
    assert_allclose(floor[0], 100 * math.sqrt(p * (1 - p) * 2 / 25))
    assert np.isnan(floor[1])
    all_kept = TRACERS.floor(np.array([[25.0, 25.0]]), np.array([[25.0, 25.0]]), None)
    assert all_kept is not None
    assert_allclose(all_kept, [100 * math.sqrt(51 / 52 * (1 / 52) * 2 / 25)])  # p is never 0 or 1


def test_the_floor_of_a_trial_is_the_root_mean_square_of_its_pairs() -> None:
    """Two pairs of counts, (7, 12) and (40, 60): sqrt of the mean of 1/7.5 + 1/12.5 and 1/40.5 + 1/60.5."""
    plan = trial("grain_counts", pairs=2)
    found = root_mean_square_floor(gather(plan, counts([(7, 12), (40, 60)])))
    assert found == pytest.approx(math.sqrt((1 / 7.5 + 1 / 12.5 + 1 / 40.5 + 1 / 60.5) / 2))
    assert root_mean_square_floor(gather(trial("gold_mass", pairs=2), masses([(7, 12), (40, 60)]))) is None


def test_zeros_are_those_a_ratio_is_made_of() -> None:
    """A run without gold is a zero of a ratio; of points it is not."""
    readings = np.array([[0.0], [3.0]])
    assert GOLD_MASS.zeros(readings).tolist() == TAILS_GOLD.zeros(readings).tolist() == [True, False]
    assert GRAIN_COUNTS.zeros(readings).tolist() == [True, False]
    pairs = np.array([[0.0, 25.0], [3.0, 25.0]])
    assert TRACERS.zeros(pairs).tolist() == RECOVERY.zeros(pairs).tolist() == [False, False]


def test_no_gold_at_all_is_no_recovery() -> None:
    """0 of 0 is no share; 0 of 5 is none kept; all kept is 100 %."""
    assert_allclose(RECOVERY.value(np.array([[0.0, 0.0], [0.0, 5.0], [5.0, 0.0]])), [np.nan, 0.0, 100.0])
    assert_allclose(TRACERS.value(np.array([[0.0, 0.0], [0.0, 25.0], [25.0, 25.0]])), [np.nan, 0.0, 100.0])


@every("measure", MEASURES, ids=lambda measure: measure.name)
def test_a_run_lacking_any_reading_is_not_read(measure: Measure) -> None:
    """All a measure needs, or nothing; a zero is a reading."""
    whole = dict.fromkeys(measure.inputs, 0)
    assert measure.readings(run(1, "baseline", **cast(measure, whole))) == (0.0,) * len(measure.inputs)
    for name in measure.inputs:
        lacking = {other: value for other, value in whole.items() if other != name}
        assert measure.readings(run(1, "baseline", **cast(measure, lacking))) is None


def cast(measure: Measure, values: dict[str, int]) -> dict[str, float]:
    """Weighings are floats, counts whole numbers."""
    return {name: float(value) if measure.weighs else value for name, value in values.items()}


@every("measure", MEASURES, ids=lambda measure: measure.name)
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


def test_what_a_plan_must_fit_is_what_the_measure_says() -> None:
    """The table of names agrees with each measure on the unit of a line; a % of a share or of a loss ends at 100."""
    for measure in MEASURES:
        word = MEASURE_WORDS[measure.name]
        assert word.unit == ("%" if measure.is_ratio else "points"), measure.name
        assert (word.gain_under is None) == (measure.side == "kept"), measure.name
        assert math.isfinite(measure.line(99.0)), measure.name
