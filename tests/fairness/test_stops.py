"""The stops that simulated runs can set off: one rule for one trial and for many, and the check follows it."""

from collections.abc import Callable

import numpy as np
import pytest

from schemas import Scales
from tests.verdicts.cases import run, trial
from trials.fairness.checklist import judge_all
from trials.fairness.evidence import gather
from trials.fairness.stops import (
    has_a_slip,
    has_one_order,
    has_too_coarse_a_scale,
    has_too_many_zeros,
    has_unlike_halves,
)
from trials.measures.catalogue import MEASURES
from trials.measures.measure import Measure

PAIRS, TRIALS = 5, 40
STOPS = ("too-many-zeros", "scale-fine-enough", "like-halves", "first-turn", "slip")


def drawn(measure: Measure, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Readings of both halves, mass fed and order of many trials; some of each lie beyond a stop."""
    width = len(measure.inputs)
    fewer = rng.uniform(0.1, 1.0, (TRIALS, 1, 1))
    halves = np.floor(rng.uniform(1, 22, (2, TRIALS, PAIRS, width)) * fewer)
    if measure.name == "tracers":
        halves[..., 1] = 25
    else:
        halves[0, ::5, 1, 0] *= 200  # a slip of the unit in one arm
    fed = rng.choice([300.0, 310.0, 352.0], (TRIALS, PAIRS, 2), p=[0.6, 0.35, 0.05])
    first = rng.random((TRIALS, PAIRS)) < rng.choice([0.0, 0.5, 1.0], (TRIALS, 1))
    return halves[0], halves[1], fed, first


@pytest.mark.parametrize("division", [None, 1.0])
@pytest.mark.parametrize("measure", MEASURES, ids=lambda measure: measure.name)
def test_the_check_stops_the_trials_that_the_rule_stops(measure: Measure, division: float | None) -> None:
    """Many trials at once, each alone, and each run by run through the check: the same answer."""
    rng = np.random.default_rng(len(measure.name))
    baseline, changed, fed, first = drawn(measure, rng)
    weighed = division if measure.weighs else None
    rules: tuple[Callable[..., np.ndarray], ...] = (
        lambda at: has_too_many_zeros(measure, baseline[at], changed[at], weighed),
        lambda at: has_too_coarse_a_scale(measure, baseline[at], changed[at], weighed),
        lambda at: has_unlike_halves(measure, fed[at]),
        lambda at: has_one_order(first[at]),
        lambda at: has_a_slip(baseline[at], changed[at]),
    )
    at_once = [rule(slice(None)) for rule in rules]
    plan = trial(measure.name, PAIRS, scales=Scales(gold_g=None if division is None else division / 1000))
    for at in range(TRIALS):
        runs = [
            run(
                pair + 1,
                arm,
                turn=2 * pair + 1 + int((arm == "changed") != first[at, pair]),
                fed_g=float(fed[at, pair, place]),
                **dict(zip(measure.inputs, map(float if measure.weighs else int, half[at, pair]), strict=True)),
            )
            for pair in range(PAIRS)
            for place, (arm, half) in enumerate((("baseline", baseline), ("changed", changed)))
        ]
        said = [(finding.check, finding.severity) for finding in judge_all(gather(plan, runs))]
        for check, rule, many in zip(STOPS, rules, at_once, strict=True):
            (severity,) = [severity for name, severity in said if name == check]
            assert bool(rule(at)) == bool(many[at]) == (severity == "STOP"), (check, at)


def test_each_rule_bites_and_lets_pass() -> None:
    """In the trials drawn above neither answer is rare."""
    measure = next(m for m in MEASURES if m.name == "gold_mass")
    baseline, changed, fed, first = drawn(measure, np.random.default_rng(len(measure.name)))
    for stopped in (
        has_too_many_zeros(measure, baseline, changed, 1.0),
        has_too_coarse_a_scale(measure, baseline, changed, 1.0),
        has_unlike_halves(measure, fed),
        has_one_order(first),
        has_a_slip(baseline, changed),
    ):
        assert 0 < stopped.sum() < TRIALS
