import json
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas import Run, Scales, Trial
from tests.verdicts.cases import run, trial
from trials.verdicts.outcome import OUTCOMES, bounds, outcome
from trials.verdicts.reach import reach_verdict

MEASURES = ("recovery", "gold_mass", "tracers", "grain_counts", "tails_gold")
PAIR = st.tuples(st.integers(5, 95), st.integers(5, 95))
PAIRS = st.lists(PAIR, min_size=3, max_size=9).filter(lambda halves: len({a - b for a, b in halves}) > 1)


def case(measure: str, halves: list[tuple[int, int]], factor: float = 1.0, **more: Any) -> tuple[Trial, list[Run]]:
    """A trial of any measure made of whole numbers; masses times a factor."""
    values = {
        "recovery": lambda x: {"gold_mg": x * factor, "tails_gold_mg": (100 - x) * factor},
        "gold_mass": lambda x: {"gold_mg": x * factor},
        "tails_gold": lambda x: {"tails_gold_mg": x * factor},
        "tracers": lambda x: {"kept": x, "seeded": 100},
        "grain_counts": lambda x: {"grains": x},
    }[measure]
    runs = [
        run(pair, arm, **values(x))
        for pair, both in enumerate(halves, start=1)
        for arm, x in zip(("baseline", "changed"), both, strict=True)
    ]
    return trial(measure, pairs=len(halves), worth_having=10.0, scales=Scales(gold_g=0.001 * factor), **more), runs


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(MEASURES), PAIRS)
def test_swapping_the_arms_turns_the_sign(measure: str, halves: list[tuple[int, int]]) -> None:
    """What gained by so much loses by so much."""
    one = reach_verdict(*case(measure, halves))
    other = reach_verdict(*case(measure, [(b, a) for a, b in halves]))
    assert one.estimate == pytest.approx(-(other.estimate or 0), abs=1e-12)
    assert one.interval is not None and other.interval is not None
    assert one.interval.low == pytest.approx(-other.interval.high, abs=1e-9)
    assert {one.code, other.code} in ({"better", "worse"}, {"no_difference"}, {"not_settled"})


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(["recovery", "gold_mass", "tails_gold"]), PAIRS)
def test_grams_or_milligrams_make_no_difference(measure: str, halves: list[tuple[int, int]]) -> None:
    """A thousand times the mass on a scale a thousand times as coarse is the same trial."""
    one, other = (reach_verdict(*case(measure, halves, factor)) for factor in (1.0, 1000.0))
    assert one.code == other.code and one.sentence == other.sentence
    assert one.differences == pytest.approx(other.differences, abs=1e-12)
    assert one.floor == pytest.approx(other.floor)


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(MEASURES), PAIRS, st.randoms(use_true_random=False))
def test_the_order_of_rows_and_pairs_makes_no_difference(measure: str, halves: list[tuple[int, int]], rng: Any) -> None:
    """Rows may stand in any order; pairs may be numbered in any order."""
    plan, runs = case(measure, halves)
    shuffled = list(runs)
    rng.shuffle(shuffled)
    assert reach_verdict(plan, shuffled) == reach_verdict(plan, runs)
    other = list(halves)
    rng.shuffle(other)
    one, two = reach_verdict(plan, runs), reach_verdict(*case(measure, other))
    assert one.code == two.code and one.estimate == pytest.approx(two.estimate, abs=1e-12)
    assert one.p == pytest.approx(two.p)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(MEASURES), PAIRS)
def test_interval_and_p_agree_about_zero(measure: str, halves: list[tuple[int, int]]) -> None:
    """P under 5 % and zero outside the 95 % interval are one thing."""
    verdict = reach_verdict(*case(measure, halves))
    assert verdict.interval is not None and verdict.p is not None
    outside = verdict.interval.low > 0 or verdict.interval.high < 0
    assert outside == (verdict.p < 0.05)
    assert json.dumps(verdict.model_dump(mode="json"), allow_nan=False)


LIMIT = st.floats(-3, 3)


@settings(max_examples=200, deadline=None)
@given(LIMIT, st.floats(0, 3), st.floats(0, 2), st.none() | st.floats(0.01, 2))
def test_the_rule_is_the_rule(low: float, width: float, wider: float, line: float | None) -> None:
    """The vectorised rule equals the rule as it is written down."""
    high, floored = low + width, (low - wider, low + width + wider)
    if line is not None and -line < floored[0] and floored[1] < line:
        expected = "no_difference"
    elif low > 0:
        expected = "better"
    elif high < 0:
        expected = "worse"
    else:
        expected = "not_settled"
    assert OUTCOMES[int(outcome(low, high, *floored, line))] == expected


def test_without_limits_nothing_is_settled() -> None:
    """NaN limits, of trials with neither scatter nor floor, settle nothing, whatever the line."""
    found = bounds(np.array([[2.0, 2.0, 2.0], [1.0, 2.0, 3.0]]), None)
    codes = outcome(found.low, found.high, found.floored_low, found.floored_high, 5.0)
    assert np.isnan(found.low[0]) and not np.isnan(found.low[1])
    assert OUTCOMES[int(codes[0])] == "not_settled"


def test_false_alarms_are_as_few_as_said(sized: Any) -> None:
    """Nothing changed, normal scatter, no line: better in 2.5 % of trials, worse in 2.5 % (Student's t is exact)."""
    count = sized(100_000)
    rng = np.random.default_rng(20260525)
    for pairs in (3, 4, 6, 8, 12):
        found = bounds(rng.normal(size=(count, pairs)), None)
        codes = outcome(found.low, found.high, found.floored_low, found.floored_high, None)
        error = 3.5 * np.sqrt(0.025 * 0.975 / count)
        assert (codes == OUTCOMES.index("better")).mean() == pytest.approx(0.025, abs=error)
        assert (codes == OUTCOMES.index("worse")).mean() == pytest.approx(0.025, abs=error)


@pytest.mark.parametrize(
    ("pairs", "line", "true", "published"),
    [
        (4, 1.0, 0.0, (2.0, 2.0, 9.4, 86.5)),
        (6, 1.5, 0.0, (0.9, 0.9, 68.6, 29.5)),
        (8, 1.0, 1.0, (67.8, 0.0, 2.4, 29.8)),
        (12, 2.0, 1.0, (11.4, 0.0, 88.5, 0.1)),
    ],
)
def test_how_often_each_outcome_comes(
    pairs: int, line: float, true: float, published: tuple[float, ...], sized: Any
) -> None:
    """Shares of better, worse, no difference, not settled in % by an independent simulation of 100,000 trials."""
    count = sized(100_000)
    found = bounds(np.random.default_rng(pairs).normal(true, 1.0, (count, pairs)), None)
    codes = outcome(found.low, found.high, found.floored_low, found.floored_high, line)
    for name, share in zip(("better", "worse", "no_difference", "not_settled"), published, strict=True):
        spread = np.sqrt(max(share, 0.1) * (100 - share) * (1 / count + 1 / 100_000))
        assert 100 * (codes == OUTCOMES.index(name)).mean() == pytest.approx(share, abs=3.5 * spread + 0.05)
