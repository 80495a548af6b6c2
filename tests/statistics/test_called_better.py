"""How often a gain at the line is called better: against trials drawn and put through the verdict's own rule."""

import numpy as np
import pytest
from scipy import stats

from tests.tables import every
from trials.statistics.called_better import chance_called_better
from trials.verdicts.outcome import BETTER, bounds, outcome


@every("level", [0.95, 0.96])
@every(("effect", "pairs"), [(1.0, 3), (3.0, 3), (2.0, 4), (1.0, 6), (1.0, 12), (0.5, 28), (0.5, 60), (1.0, 60)])
def test_a_gain_at_the_line_is_called_better_as_often_as_drawn(effect: float, pairs: int, level: float) -> None:
    """Normal differences about the line, judged by the very rule: within three standard errors of 20,000."""
    drawn = np.random.default_rng([31, pairs]).normal(effect, 1.0, (20_000, pairs))
    seen = bounds(drawn, None, level=level)
    codes = outcome(seen.low, seen.high, seen.floored_low, seen.floored_high, effect)
    assert chance_called_better(effect, pairs, level=level) == pytest.approx((codes == BETTER).mean(), abs=0.011)


def test_it_lies_under_the_noncentral_t_and_ends_short_of_certainty() -> None:
    """No gain at all: half of the false alarms. Ever more pairs: all but the 2.5 % inside the line."""
    assert chance_called_better(0.0, 6) == pytest.approx(0.025)
    assert chance_called_better(1.0, 200) == pytest.approx(0.975, abs=1e-4)
    for effect, pairs in ((0.5, 6), (1.0, 8), (2.0, 5)):
        over_zero = stats.nct.sf(stats.t.isf(0.025, pairs - 1), pairs - 1, effect * np.sqrt(pairs))
        assert over_zero - 0.025 <= chance_called_better(effect, pairs) <= over_zero + 1e-9
    rising = [chance_called_better(0.7, pairs) for pairs in range(2, 61)]
    assert np.diff(rising).min() > -0.0001
