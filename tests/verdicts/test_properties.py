import json
import math
import re
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas import Gate, Run, Scales, Trial, Verdict
from tests.sizes import scaled
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
    plan: dict[str, Any] = {"worth_having": 10.0, "scales": Scales(gold_g=0.0001 * factor)}
    return trial(measure, **({"pairs": len(halves)} | plan | more)), runs


@settings(max_examples=scaled(60), deadline=None)
@given(st.sampled_from(MEASURES), PAIRS)
def test_swapping_the_arms_turns_the_sign(measure: str, halves: list[tuple[int, int]]) -> None:
    """What gained by so much loses by so much: estimate, limits, flips; scatter, floor and p are the same."""
    one = reach_verdict(*case(measure, halves))
    other = reach_verdict(*case(measure, [(b, a) for a, b in halves]))
    assert one.answer.estimate == pytest.approx(-(other.answer.estimate or 0), abs=1e-12)
    for mine, turned in ((one.answer.interval, other.answer.interval), (one.answer.floored, other.answer.floored)):
        assert mine is not None and turned is not None
        assert mine.low == pytest.approx(-turned.high, abs=1e-9)
        assert mine.high == pytest.approx(-turned.low, abs=1e-9)
    assert one.answer.differences == pytest.approx([-d for d in other.answer.differences], abs=1e-12)
    assert (one.answer.sd, one.answer.p, one.answer.floor) == pytest.approx(
        (other.answer.sd, other.answer.p, other.answer.floor)
    )
    flips, turned_flips = one.answer.check_by_draw, other.answer.check_by_draw
    assert flips is not None and turned_flips is not None
    assert flips.p == turned_flips.p
    if flips.low is not None:
        assert (flips.low, flips.high) == pytest.approx((-(turned_flips.high or 0), -(turned_flips.low or 0)), abs=1e-9)
    assert {one.code, other.code} in ({"better", "worse"}, {"no_difference"}, {"not_settled"})


def wording(sentence: str) -> str:
    """A sentence without its numbers: a half in the last place shown may fall to either side."""
    return re.sub(r"[+-]?\d[\d.,]*", "#", sentence)


@settings(max_examples=scaled(40), deadline=None)
@given(st.sampled_from(["recovery", "gold_mass", "tails_gold"]), PAIRS, st.sampled_from([1000.0, 0.1, 31.1034768]))
def test_the_unit_of_mass_makes_no_difference(measure: str, halves: list[tuple[int, int]], factor: float) -> None:
    """A thousand times the mass on a scale a thousand times as coarse is the same trial, told in the same words."""
    one, other = (reach_verdict(*case(measure, halves, by)) for by in (1.0, factor))
    assert one.code == other.code and one.last_word == other.last_word
    assert wording(one.sentence) == wording(other.sentence)
    assert one.answer.differences == pytest.approx(other.answer.differences, abs=1e-10)
    assert one.answer.floor == pytest.approx(other.answer.floor)


@settings(max_examples=scaled(40), deadline=None)
@given(st.sampled_from(MEASURES), PAIRS, st.randoms(use_true_random=False))
def test_the_order_of_rows_and_pairs_makes_no_difference(measure: str, halves: list[tuple[int, int]], rng: Any) -> None:
    """Rows may stand in any order, to the last bit; pairs may be numbered in any order."""
    plan, runs = case(measure, halves)
    shuffled = list(runs)
    rng.shuffle(shuffled)
    assert reach_verdict(plan, shuffled) == reach_verdict(plan, runs)
    other = list(halves)
    rng.shuffle(other)
    one, two = reach_verdict(plan, runs), reach_verdict(*case(measure, other))
    assert (one.code, one.last_word) == (two.code, two.last_word)
    assert (one.answer.estimate, one.answer.sd, one.answer.floor) == pytest.approx(
        (two.answer.estimate, two.answer.sd, two.answer.floor), abs=1e-12
    )
    assert one.answer.p == pytest.approx(two.answer.p)
    assert sorted(one.answer.differences) == pytest.approx(sorted(two.answer.differences), abs=1e-12)
    assert one.answer.check_by_draw is not None and two.answer.check_by_draw is not None
    assert one.answer.check_by_draw.p == two.answer.check_by_draw.p


@settings(max_examples=scaled(60), deadline=None)
@given(st.sampled_from(MEASURES), PAIRS)
def test_interval_and_p_agree_about_zero(measure: str, halves: list[tuple[int, int]]) -> None:
    """P under 5 % and zero outside the 95 % interval are one thing, for t and for the flips."""
    verdict = reach_verdict(*case(measure, halves))
    assert verdict.answer.interval is not None and verdict.answer.p is not None
    outside = verdict.answer.interval.low > 0 or verdict.answer.interval.high < 0
    assert outside == (verdict.answer.p < 0.05)
    draw = verdict.answer.check_by_draw
    if draw is not None and draw.low is not None and draw.high is not None:
        assert (draw.low > 0 or draw.high < 0) == (draw.p <= 0.05)


LIMIT = st.floats(-3, 3)
LIMITS = st.tuples(LIMIT, st.floats(0, 3), st.floats(0, 2))


def the_rule(low: float, high: float, floored: tuple[float, float], line: float | None) -> str:
    """The rule as it is written down, for one trial."""
    if line is not None and -line < floored[0] and floored[1] < line:
        return "no_difference"
    if low > 0:
        return "better"
    if high < 0:
        return "worse"
    return "not_settled"


@settings(max_examples=scaled(100), deadline=None)
@given(st.lists(LIMITS, min_size=1, max_size=30), st.none() | st.floats(0.01, 2))
def test_the_rule_is_the_rule(limits: list[tuple[float, float, float]], line: float | None) -> None:
    """The vectorised rule equals the rule as it is written down, for many trials at once and for each alone."""
    low = np.array([lower for lower, _, _ in limits])
    high = low + [width for _, width, _ in limits]
    wider = np.array([more for _, _, more in limits])
    codes = outcome(low, high, low - wider, high + wider, line)
    assert codes.shape == low.shape
    for i, code in enumerate(codes):
        floored = (float(low[i] - wider[i]), float(high[i] + wider[i]))
        assert OUTCOMES[code] == the_rule(float(low[i]), float(high[i]), floored, line)
        assert code == outcome(low[i], high[i], *floored, line)
    assert line is not None or OUTCOMES.index("no_difference") not in codes


@pytest.mark.parametrize(
    ("low", "high", "line", "code"),
    [
        (0.0, 1.0, None, "not_settled"),
        (-1.0, 0.0, None, "not_settled"),
        (-0.0, 0.0, None, "not_settled"),
        (-1.0, 1.0, 1.0, "not_settled"),
        (-0.999, 1.0, 1.0, "not_settled"),
        (-0.999, 0.999, 1.0, "no_difference"),
        (0.1, 0.999, 1.0, "no_difference"),
        (0.1, 1.0, 1.0, "better"),
        (-1.0, -0.1, 1.0, "worse"),
        (math.nan, math.nan, 1.0, "not_settled"),
        (5e-324, 1e300, None, "better"),
    ],
)
def test_a_limit_on_the_mark_has_not_passed_it(low: float, high: float, line: float | None, code: str) -> None:
    """Zero itself is not beyond zero, and the line itself is not inside it."""
    assert OUTCOMES[int(outcome(low, high, low, high, line))] == code


def test_without_limits_nothing_is_settled() -> None:
    """NaN limits, of trials with neither scatter nor floor, settle nothing, whatever the line."""
    found = bounds(np.array([[2.0, 2.0, 2.0], [1.0, 2.0, 3.0]]), None)
    codes = outcome(found.low, found.high, found.floored_low, found.floored_high, 5.0)
    assert np.isnan(found.low[0]) and not np.isnan(found.low[1])
    assert OUTCOMES[int(codes[0])] == "not_settled"


def test_a_rehearsal_and_a_verdict_share_the_rule() -> None:
    """Limits and codes of many trials at once are those of each verdict by itself."""
    rng = np.random.default_rng(20260525)
    differences = np.round(rng.normal(2.0, 3.0, (40, 6)), 3)
    found = bounds(differences, None)
    codes = outcome(found.low, found.high, found.floored_low, found.floored_high, 4.0)
    for i, row in enumerate(differences):
        runs = [
            run(pair, arm, gold_mg=kept, tails_gold_mg=100.0 - kept)
            for pair, d in enumerate(row, start=1)
            for arm, kept in (("baseline", 50.0), ("changed", 50.0 + float(d)))
        ]
        verdict = reach_verdict(trial(worth_having=4.0), runs)
        assert verdict.code == OUTCOMES[codes[i]]
        assert verdict.answer.interval is not None
        assert (verdict.answer.interval.low, verdict.answer.interval.high) == pytest.approx(
            (found.low[i], found.high[i]), abs=1e-9
        )


# Readings as they should not be: none, tiny, huge, equal, missing.
MASS = st.sampled_from([0.0, 1e-6, 0.1, 1.0, 1.0, 20.0, 1e7]) | st.floats(1e-6, 1e7)
COUNT = st.sampled_from([0, 0, 1, 5, 31, 100_000])
READINGS: dict[str, st.SearchStrategy[dict[str, Any]]] = {
    "recovery": st.fixed_dictionaries({"gold_mg": MASS, "tails_gold_mg": MASS}),
    "gold_mass": st.fixed_dictionaries({"gold_mg": MASS}),
    "tails_gold": st.fixed_dictionaries({"tails_gold_mg": MASS}),
    "tracers": st.sampled_from([(0, 0), (0, 25), (25, 25), (20, 25), (5000, 5000), (1, 5000)]).map(
        lambda both: {"kept": both[0], "seeded": both[1]}
    ),
    "grain_counts": st.fixed_dictionaries({"grains": COUNT}),
}
ODD = st.fixed_dictionaries(
    {},
    optional={
        "black_sand_g": MASS.map(lambda mass: min(mass, 5e6)),
        "minutes": st.sampled_from([0.2, 10.0, 1440.0]),
        "session": st.sampled_from(["2026-05-03", "2026-05-04", "soon", ""]),
        "turn": st.none(),
        "fed_g": st.sampled_from([1.0, 350.0, 5e6]),
        "void": st.sampled_from(["spill", ""]),
        "temp_c": st.sampled_from([0.0, 40.0]),
        "panner": st.sampled_from("AF"),
    },
)


@st.composite
def odd_cases(draw: st.DrawFn) -> tuple[Trial, list[Run]]:
    """A valid trial of two arms with readings as they should not be, some of them not there."""
    measure, pairs = draw(st.sampled_from(MEASURES)), draw(st.integers(1, 9))
    checks_nothing = draw(st.booleans())
    plan = trial(
        measure,
        pairs=pairs,
        spares=draw(st.integers(0, 2)),
        look_after=draw(st.none() | st.integers(4, pairs - 1)) if pairs > 4 else None,
        worth_having=draw(st.sampled_from([None, 1e-6, 1.0, 20.0, 99.0])),
        knew=draw(st.sampled_from([None, "both"])),
        scales=Scales(gold_g=draw(st.sampled_from([None, 0.00001, 0.001, 100.0]))),
        **({"change": None} if checks_nothing else {}),
    )
    alike = draw(READINGS[measure]) if draw(st.booleans()) else None
    runs = []
    for number in range(1, draw(st.integers(0, pairs + 3)) + 1):
        for arm in plan.arms:
            if draw(st.integers(0, 19)):
                runs.append(run(number, arm, **((alike or draw(READINGS[measure])) | draw(ODD))))
    return plan, runs


def texts_of(value: Any) -> list[str]:
    """Every text in a value of JSON."""
    if isinstance(value, str):
        return [value]
    parts = value.values() if isinstance(value, dict) else value if isinstance(value, list) else []
    return [text for part in parts for text in texts_of(part)]


def assert_sound(verdict: Verdict, plan: Trial) -> None:
    """What holds of every verdict."""
    plain = verdict.model_dump(mode="json")
    assert json.loads(json.dumps(plain, allow_nan=False)) == plain
    assert not any(word in text.split() for text in texts_of(plain) for word in ("nan", "inf", "-inf", "None"))
    assert verdict.sentence and "\n" not in verdict.sentence
    if verdict.code in ("blocked", "incomplete", "too_few"):
        assert verdict.last_word == (None if plan.change is None else "retest") and not verdict.leaning
        assert verdict.answer == Gate() and verdict.costs == ()
    else:
        assert verdict.answer.estimate is not None and len(verdict.answer.differences) >= 3
        assert (
            min(verdict.answer.differences) - 1e-9 <= verdict.answer.estimate <= max(verdict.answer.differences) + 1e-9
        )
    if verdict.code == "no_difference":
        assert plan.worth_having is not None
    if verdict.code == "scatter":
        assert plan.change is None and verdict.last_word is None
    if verdict.leaning:
        assert verdict.code in ("better", "worse", "no_difference") and verdict.last_word == "retest"
        assert verdict.sentence.startswith("Leaning ")
    if verdict.last_word == "keep":
        assert verdict.code in ("better", "no_difference") and all(cost.status != "over" for cost in verdict.costs)


@settings(max_examples=scaled(300), deadline=None)
@given(odd_cases())
def test_any_valid_trial_has_a_sound_verdict(odd: tuple[Trial, list[Run]]) -> None:
    """Zeros, giants, equal readings, gaps and voids: a verdict of finite numbers, and no number where a gate stands."""
    plan, runs = odd
    assert_sound(reach_verdict(plan, runs), plan)


@settings(max_examples=scaled(60), deadline=None)
@given(st.sampled_from(MEASURES), PAIRS, st.integers(1, 4), st.integers(0, 2))
def test_before_the_end_a_verdict_tells_nothing_of_who_leads(
    measure: str, halves: list[tuple[int, int]], missing: int, spares: int
) -> None:
    """While planned pairs are missing, swapping which arm did better changes no letter of the verdict."""
    one, other = (
        reach_verdict(*case(measure, found, pairs=len(halves) + missing, spares=spares))
        for found in (halves, [(b, a) for a, b in halves])
    )
    assert one.code == "incomplete" and one == other


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
