"""Process, session, feeder and drift each do what they say, and nothing else."""

import numpy as np
import pytest

from tests.tables import every
from trials.simulation.noise_model import POINTS_PER_LOGIT, Noise
from trials.simulation.run_effects import draw_run_effects
from trials.simulation.schedule import paired_schedule
from trials.statistics.arrays import Numbers

TRIALS = 20_000
ORDER = [True, False, True, False]


def _points(noise: Noise, seed: int = 51, **labels: list[list[int]]) -> Numbers:
    schedule = paired_schedule(ORDER, trials=TRIALS, **labels)
    return POINTS_PER_LOGIT * draw_run_effects(np.random.default_rng(seed), noise, schedule)


def _sd_tolerance(sd: float) -> float:
    return 4.5 * sd / np.sqrt(2 * TRIALS)


def test_no_noise_no_effect():
    """Without noise every run is alike."""
    assert np.all(_points(Noise()) == 0.0)


def test_process_luck_is_fresh_for_every_run():
    """The process SD is that of single runs, and a pair differs by sqrt(2) times as much."""
    points = _points(Noise(process_sd_points=2.5))
    difference = points[..., 1] - points[..., 0]
    assert points[:, 0, 0].std() == pytest.approx(2.5, abs=_sd_tolerance(2.5))
    assert difference[:, 0].std() == pytest.approx(2.5 * np.sqrt(2), abs=_sd_tolerance(3.54))
    assert abs(np.corrcoef(difference[:, 0], difference[:, 1])[0, 1]) < 4.5 / np.sqrt(TRIALS)


def test_a_session_cancels_in_the_pair():
    """Sessions move the pairs and leave the difference within a pair alone."""
    points = _points(Noise(session_sd_points=4.0))
    assert points[:, 0, 0].std() == pytest.approx(4.0, abs=_sd_tolerance(4.0))
    np.testing.assert_array_equal(points[..., 1], points[..., 0])
    assert (points[:, 1, 0] - points[:, 0, 0]).std() == pytest.approx(4.0 * np.sqrt(2), abs=_sd_tolerance(5.66))


def test_an_arm_with_a_day_of_its_own_takes_the_day_for_the_change():
    """All baseline runs on one day and all changed ones on another: one and the same gap in every pair."""
    points = _points(Noise(session_sd_points=1.5), sessions=[[0, 1]] * len(ORDER))
    gap = points[..., 1] - points[..., 0]
    np.testing.assert_allclose(gap, gap[:, :1] * np.ones(len(ORDER)))
    assert gap[:, 0].std() == pytest.approx(1.5 * np.sqrt(2), abs=_sd_tolerance(2.12))


def test_one_feeder_cancels_and_two_do_not():
    """One person feeding both arms cancels; a person to each arm looks like a change."""
    noise = Noise(operator_sd_points=5.0)
    one = _points(noise)
    np.testing.assert_array_equal(one[..., 1], one[..., 0])
    two = _points(noise, feeders=[[0, 1]] * len(ORDER))
    gap = two[..., 1] - two[..., 0]
    assert gap.mean(axis=1).std() == pytest.approx(5.0 * np.sqrt(2), abs=_sd_tolerance(7.07))


def test_drift_is_a_bias_when_one_arm_always_runs_second():
    """Drift of a point a run gives the second half a point; a balanced order gives nothing on average."""
    noise = Noise(drift_points_per_run=1.0)
    rng = np.random.default_rng(52)
    always_second = draw_run_effects(rng, noise, paired_schedule([False] * 4))
    balanced = draw_run_effects(rng, noise, paired_schedule(ORDER))
    gaps = [POINTS_PER_LOGIT * (x[..., 1] - x[..., 0]) for x in (always_second, balanced)]
    np.testing.assert_allclose(gaps[0], 1.0)
    np.testing.assert_allclose(gaps[1], [[-1.0, 1.0, -1.0, 1.0]])


@every("pairs", [1, 3, 6, 7, 30, 60])
def test_a_hand_learns_for_a_dozen_runs_and_moves_no_trial(pairs: int):
    """A point better each run up to the twelfth, then none; 0 on the average, so that a long trial keeps as much."""
    schedule = paired_schedule([at % 2 == 0 for at in range(pairs)])
    points = POINTS_PER_LOGIT * draw_run_effects(np.random.default_rng(53), Noise(drift_points_per_run=1.0), schedule)
    in_turn = points.ravel()[np.argsort(schedule.turn.ravel())]
    assert in_turn.mean() == pytest.approx(0.0, abs=1e-9)
    np.testing.assert_allclose(np.diff(in_turn)[:11], 1.0)
    np.testing.assert_allclose(np.diff(in_turn)[11:], 0.0, atol=1e-12)


@every(("field", "value"), [
    ("process_sd_points", -1.0), ("carry_over", 0.95), ("scale_sd_g", float("nan")), ("tails_found", 1.1), ("drift_points_per_run", 11.0),
])  # fmt: skip
def test_noise_refuses_the_impossible(field: str, value: float):
    """A habit outside its range is refused by name, with its value and the range."""
    with pytest.raises(ValueError, match=rf"Noise\.{field} is {value}; it must lie from"):
        Noise(**{field: value})
