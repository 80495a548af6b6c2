"""What the scale makes of the gold."""

import numpy as np
import pytest

from tests.tables import every
from trials.simulation.work_up import weigh_mg

READINGS = 100_000


@every(("scale_sd_g", "true_mg", "tabled"), [
    (0.002, 20, 14), (0.002, 50, 5.7), (0.002, 100, 2.8), (0.002, 500, 0.6), (0.01, 50, 28), (0.01, 100, 14), (0.01, 500, 2.8),
])  # fmt: skip
def test_net_weight_error_against_table(scale_sd_g: float, true_mg: float, tabled: float):
    """A net weight errs by sqrt(2) scale SDs: the derived table of per cent by mass."""
    shown = weigh_mg(np.random.default_rng(61), np.full(READINGS, float(true_mg)), scale_sd_g=scale_sd_g)
    rounding = 0.5 if tabled >= 10 else 0.05
    assert 100 * shown.std() / true_mg == pytest.approx(tabled, abs=rounding + 4.5 * tabled / np.sqrt(2 * READINGS))
    assert shown.mean() == pytest.approx(true_mg, abs=4.5 * 1414 * scale_sd_g / np.sqrt(READINGS) + 1e-3 * true_mg)


def test_weights_are_steps_of_the_scale_and_never_negative():
    """What is written down is a whole number of divisions, 0 or more."""
    shown = weigh_mg(np.random.default_rng(62), np.full(READINGS, 4.0), scale_sd_g=0.01, scale_division_g=0.01)
    np.testing.assert_allclose(shown / 10, np.rint(shown / 10))
    assert shown.min() == 0.0


def test_a_perfect_scale_shows_the_truth():
    """Without error and steps the scale shows what is there."""
    true_mg = np.array([0.0, 0.03, 12.5])
    np.testing.assert_array_equal(weigh_mg(np.random.default_rng(63), true_mg, scale_sd_g=0.0), true_mg)


def test_no_gold_weighs_nothing():
    """Looked and found none is 0, whatever the scale."""
    assert np.all(weigh_mg(np.random.default_rng(64), np.zeros(1000), scale_sd_g=0.01) == 0.0)
