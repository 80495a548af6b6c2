"""Readings that lie to one side in nearly all pairs, each by less than its limit: told, and weighed against the gain."""

from typing import Any

import pytest
from scipy import stats

from schemas import Run
from tests.fairness.asking import by_arm, found, good, one, weighed, with_of
from tests.tables import every
from tests.verdicts.cases import masses, recovery_runs, trial
from trials.fairness.so_far import findings_so_far
from trials.statistics.sign_test import sign_test
from trials.verdicts.reach import reach_verdict

LARGE = (7.0, 8.1, 6.4, 7.8, 6.9, 7.4)  # points; of 80 % kept no lean below makes a third of them
SMALL = (1.6, 1.9, 1.2, 1.4, 1.3, 1.5)
READ: dict[str, tuple[str, dict[str, Any], dict[str, Any]]] = {
    "feed 1.25 times slower, from minutes": ("feed-rhythm", {"minutes": 8.0}, {"minutes": 10.0}),
    "feed 1.25 times slower, as read": ("feed-rhythm", {"feed_kg_h": 10.0}, {"feed_kg_h": 8.0}),
    "4.5 % less water": ("steady-water", {"water_l_min": 20.0}, {"water_l_min": 19.1}),
    "2.5 C warmer": ("water-temp", {"temp_c": 10.0}, {"temp_c": 12.5}),
    "0.4 deg steeper": ("one-change", {"pitch_deg": 4.0}, {"pitch_deg": 4.4}),
    "10 % more turns": ("one-change", {"rpm": 30.0}, {"rpm": 33.0}),
}
# What each could make at 80 % kept, in points, is 16 x 1 % for each 1 % of it, or 16 x 1.6 % for each degree C:
# 3.6, 3.6, 0.7, 0.6, 1.5 and 1.5. A third of the mean of LARGE is 2.4, and of SMALL 0.49.
LARGEST = {name for name in READ if name.startswith("feed")}


@every("name", READ)
def test_all_one_way_under_the_limit_is_told(name: str) -> None:
    """A note beside a gain that it can't have made; it weakens one of which it could make a third."""
    check, baseline, changed = READ[name]
    severity, message = one(check, trial(), by_arm(recovery_runs(LARGE), baseline, changed))
    assert severity == ("WEAKENS" if name in LARGEST else "NOTE"), message
    assert "leans one way" in message and "in 6 of 6 pairs, which luck alone does about 1 time in 32." in message
    severity, message = one(check, trial(), by_arm(recovery_runs(SMALL), baseline, changed))
    assert severity == "WEAKENS" and "That could make a third or more of the difference seen" in message


@every("name", READ)
def test_a_lean_beside_no_difference_is_a_note(name: str) -> None:
    """Where nothing is beyond luck there is no gain that it could have made; nor where the end is not reached."""
    check, baseline, changed = READ[name]
    none = recovery_runs((1.0, -1.2, 0.8, -0.9, 1.1, -0.7))
    assert one(check, trial(), by_arm(none, baseline, changed))[0] == "NOTE"
    (waits,) = found(check, trial(pairs=8), by_arm(good(), baseline, changed))
    assert waits.severity == "NOTE"


@every(
    ("pairs", "against", "severity"),
    [(6, 0, "NOTE"), (6, 1, "ok"), (5, 0, "NOTE"), (8, 0, "NOTE"), (8, 1, "ok"), (12, 2, "NOTE"), (12, 3, "ok")],
)
def test_nearly_all_pairs_by_the_exact_sign_test(pairs: int, against: int, severity: str) -> None:
    """1 time in 16 by luck or less, as the reference library reckons it; a pair with no gap is left out."""
    assert (stats.binomtest(against, pairs).pvalue <= 1 / 16) == (severity == "NOTE")
    runs = by_arm(recovery_runs((LARGE * 2)[:pairs]), {"temp_c": 10.0}, {"temp_c": 12.9})
    for pair in range(1, against + 1):
        runs = with_of(runs, pair, "changed", temp_c=9.9)
    assert one("water-temp", trial(pairs=pairs), runs)[0] == severity


@every(("one_way", "other"), [(6, 0), (5, 1), (0, 5), (10, 2), (31, 9), (200, 0), (0, 0)])
def test_the_sign_test_is_that_of_a_reference_library(one_way: int, other: int) -> None:
    """`scipy.stats.binomtest` at one half, two-sided."""
    pairs = one_way + other
    expected = stats.binomtest(one_way, pairs).pvalue if pairs else 1.0
    assert sign_test(one_way, other) == pytest.approx(expected, rel=1e-12)


def test_few_pairs_need_the_whole_limit() -> None:
    """Of 3 pairs luck puts all on one side 1 time in 4: half the limit is not enough."""
    runs = recovery_runs(LARGE[:3])
    fed = [r.model_copy(update={"feeder": "A"}) for r in runs]
    assert one("one-change", trial(pairs=3), by_arm(fed, {"rpm": 30.0}, {"rpm": 33.0}))[0] == "ok"
    assert one("water-temp", trial(pairs=3), by_arm(runs, {"temp_c": 10.0}, {"temp_c": 12.9}))[0] == "ok"


HANDS: dict[str, tuple[str, str, str]] = {
    "one feeder for all changed runs but one": ("BBBBBB", "AAAAAB", "WEAKENS"),
    "two who fed the changed halves, never the other": ("BBBBBA", "AACCAA", "WEAKENS"),
    "the same hands in both halves": ("ABABAB", "ABABAB", "ok"),
    "as it came": ("ABABBA", "BABAAB", "ok"),
}


@every("name", HANDS)
def test_one_hand_for_nearly_all_runs_of_an_arm(name: str) -> None:
    """Nobody knows how much a hand makes, so that it weakens any difference beyond luck, and else is a note."""
    baseline, changed, severity = HANDS[name]

    def fed(runs: list[Run]) -> list[Run]:
        return [
            r.model_copy(update={"feeder": (baseline if r.arm == "baseline" else changed)[r.pair - 1]}) for r in runs
        ]

    said = one("one-change", trial(), fed(good()))
    assert said[0] == severity, said
    if severity != "ok":
        assert "The feeder leans one way: A had the changed half and another the other in" in said[1]
        assert one("one-change", trial(), fed(recovery_runs((1.0, -1.2, 0.8, -0.9, 1.1, -0.7))))[0] == "NOTE"


def test_more_dirt_is_more_gold() -> None:
    """2 % heavier halves could make a third of a gain of 5 %, and not of one of 30 %."""
    heavier = {"fed_g": 350.0}, {"fed_g": 357.0}
    assert one("like-halves", trial("gold_mass"), by_arm(weighed(), *heavier))[0] == "WEAKENS"
    third = masses([(100, 130), (98, 127), (101, 133), (99, 128), (102, 131), (97, 127)])
    assert one("like-halves", trial("gold_mass"), by_arm(third, *heavier))[0] == "NOTE"


@every("name", READ)
def test_before_the_end_no_arm_is_told(name: str) -> None:
    """The same remark with the arms swapped: the smaller number first, or that they are not alike."""
    check, baseline, changed = READ[name]
    plan = trial(pairs=8)
    told = [findings_so_far(plan, by_arm(good(), *two)) for two in ((baseline, changed), (changed, baseline))]
    (one_way,), (other,) = ([f for f in findings if f.check == check] for findings in told)
    assert one_way == other and "changed" not in one_way.message
    assert " against " in one_way.message or "not alike in the two set-ups" in one_way.message


@every("name", READ)
def test_the_verdict_is_weakened_by_it(name: str) -> None:
    """Through the whole program's heart: better, and not without a word."""
    _, baseline, changed = READ[name]
    verdict = reach_verdict(trial(worth_having=1.0), by_arm(recovery_runs(SMALL), baseline, changed))
    assert verdict.code == "better"
    assert any(f.severity == "WEAKENS" and "leans one way" in f.message for f in verdict.checks)
