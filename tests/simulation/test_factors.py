"""Factors about 1."""

import numpy as np
import pytest

from tests.tables import every
from trials.simulation.streams import lognormal

READINGS = 100_000


@every("cv", [0.05, 0.25, 1.0])
def test_factors_have_mean_one_and_the_cv_asked_for(cv: float):
    """Lognormal factors have mean 1 and logs of SD sqrt(ln(1 + cv^2))."""
    factors = lognormal(np.random.default_rng(65), cv, (READINGS,))
    assert factors.mean() == pytest.approx(1.0, abs=4.5 * cv / np.sqrt(READINGS))
    assert np.log(factors).std() == pytest.approx(np.sqrt(np.log1p(cv**2)), rel=4.5 / np.sqrt(2 * READINGS))
