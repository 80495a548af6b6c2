"""A fair trial, well run and written down, is not nagged: no stop, seldom what weakens it, and few notes."""

from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import pytest

from schemas import MeasureName
from tests.fairness.fair_trials import fair_trials
from tests.tables import every
from trials.fairness.checklist import judge_all
from trials.fairness.evidence import gather
from trials.simulation.noise_model import LOW, POOR, TYPICAL, Noise

MEASURES: tuple[MeasureName, ...] = ("recovery", "gold_mass", "tracers", "grain_counts", "tails_gold")
PAIRS = (3, 6, 12)
MOST_WEAKENED = 0.02
MOST_NOTED = 0.10


def rates(noise: Noise, count: int) -> tuple[int, Counter[str]]:
    """How many trials were judged, and how many of them had each severity, and each check that stops or weakens."""
    each = max(1, count // (len(MEASURES) * len(PAIRS)))
    seen: Counter[str] = Counter()
    judged = 0
    for measure in MEASURES:
        for pairs in PAIRS:
            for plan, runs in fair_trials(measure, noise, pairs, each, seed=100 * pairs + len(measure)):
                findings = [f for f in judge_all(gather(plan, runs)) if f.severity in ("STOP", "WEAKENS", "NOTE")]
                seen.update({f.severity for f in findings} | {f"{f.check} {f.severity}" for f in findings})
                judged += 1
    return judged, seen


def at_most(share: float, judged: int) -> float:
    """So many of so many, and three standard errors."""
    return judged * (share + 3.0 * (share * (1.0 - share) / judged) ** 0.5)


@every("noise", [LOW, TYPICAL], ids=["low", "typical"])
def test_a_fair_trial_is_left_alone(noise: Noise, sized: Callable[[int], int]) -> None:
    """Nothing changed in truth, everything recorded: none is stopped, under 2 in 100 weakened, about 10 in 100 noted.

    A drift is left out of the noise: it is real, and a note of it is no false one.
    """
    judged, seen = rates(replace(noise, drift_points_per_run=0.0), sized(2_000))
    assert seen["STOP"] == 0, seen
    assert seen["WEAKENS"] <= at_most(MOST_WEAKENED, judged), seen
    assert seen["NOTE"] <= at_most(MOST_NOTED, judged), seen


def test_a_hurried_day_is_told_of_without_a_bar(
    sized: Callable[[int], int], record_property: Callable[[str, object], None], capsys: pytest.CaptureFixture[str]
) -> None:
    """Poor noise has real faults in it; how often each check bites is printed, and no rate is asked for."""
    judged, seen = rates(POOR, sized(2_000))
    shares = {name: round(number / judged, 4) for name, number in seen.most_common()}
    record_property("poor noise", shares)
    with capsys.disabled():
        print(f"\npoor noise, {judged} fair trials: {shares}")  # noqa: T201 - a rate without a bar
    assert judged > 0
