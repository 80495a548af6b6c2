"""The whole verdict against numbers that others published or computed."""

import math

import numpy as np
import pytest

from tests.verdicts.cases import counts, masses, recovery_runs, run, trial
from trials.measures.recovery import recovery_uncertainty
from trials.statistics.paired_t import paired_t
from trials.verdicts.reach import reach_verdict

V1 = (2.1, 0.4, 3.0, 1.2, -0.5, 2.6)


def test_six_differences_in_points() -> None:
    """Check values recomputed with SciPy (ttest_1samp, permutation_test): t, p, both intervals (library consensus)."""
    verdict = reach_verdict(trial(), recovery_runs(V1))
    assert verdict.answer.interval is not None and verdict.answer.check_by_draw is not None
    assert verdict.answer.estimate == pytest.approx(1.4667, abs=5e-5)
    assert verdict.answer.sd == pytest.approx(1.3501, abs=5e-5)
    assert verdict.answer.t == pytest.approx(2.6611, abs=5e-5)
    assert verdict.answer.p == pytest.approx(0.0448, abs=5e-5)
    assert (verdict.answer.interval.low, verdict.answer.interval.high) == pytest.approx((0.0499, 2.8835), abs=5e-5)
    assert verdict.answer.check_by_draw.p == pytest.approx(0.0938, abs=5e-5)
    assert (verdict.answer.check_by_draw.low, verdict.answer.check_by_draw.high) == pytest.approx((-0.5, 3.0), abs=1e-9)


def test_eight_differences_in_points() -> None:
    """The same with two more pairs, order known: library consensus, with the order-adjusted interval."""
    first = (0, 1, 0, 1, 1, 0, 1, 0)  # 0: baseline first
    runs = []
    for pair, (gain, changed_first) in enumerate(zip((*V1, 0.9, 1.7), first, strict=True), start=1):
        for arm, kept in (("baseline", 80.0), ("changed", 80.0 + gain)):
            turn = 2 * pair - 1 + ((arm == "changed") != bool(changed_first))
            runs.append(run(pair, arm, turn=turn, gold_mg=kept, tails_gold_mg=100.0 - kept))
    verdict = reach_verdict(trial(pairs=8), runs)
    assert (
        verdict.answer.interval is not None
        and verdict.answer.check_by_draw is not None
        and verdict.answer.order_adjusted is not None
    )
    assert verdict.answer.p == pytest.approx(0.0105, abs=5e-5)
    assert (verdict.answer.interval.low, verdict.answer.interval.high) == pytest.approx((0.4523, 2.3977), abs=5e-5)
    assert verdict.answer.check_by_draw.p == pytest.approx(0.0234, abs=5e-5)
    assert (verdict.answer.check_by_draw.low, verdict.answer.check_by_draw.high) == pytest.approx(
        (0.3667, 2.4333), abs=5e-5
    )
    # adjusted mean 1.425, SE .2341, df 6: t(.975, 6) = 2.4469
    half = (verdict.answer.order_adjusted.high - verdict.answer.order_adjusted.low) / 2
    assert half == pytest.approx(2.4469 * 0.2341, abs=2e-4)


def test_four_pairs_of_masses() -> None:
    """42 55 38 61 -> 51 58 49 66 mg: ratio 1.1561 (.9936 to 1.3452), p .0555 (library consensus)."""
    verdict = reach_verdict(trial("gold_mass", pairs=4), masses(zip((42, 55, 38, 61), (51, 58, 49, 66), strict=True)))
    assert verdict.answer.interval is not None and verdict.answer.estimate is not None
    ratios = [math.exp(x) for x in (verdict.answer.estimate, verdict.answer.interval.low, verdict.answer.interval.high)]
    assert ratios == pytest.approx([1.1561, 0.9936, 1.3452], abs=5e-5)
    assert verdict.answer.p == pytest.approx(0.0555, abs=5e-5)


def test_five_pairs_of_counts_with_a_zero() -> None:
    """12 0 7 15 9 -> 15 2 11 14 13 grains with a half added: 1.6609 (.7463 to 3.6961), p .1531 (library consensus)."""
    halves = list(zip((12, 0, 7, 15, 9), (15, 2, 11, 14, 13), strict=True))
    verdict = reach_verdict(trial("grain_counts", pairs=5), counts(halves))
    assert verdict.answer.interval is not None and verdict.answer.estimate is not None
    ratios = [math.exp(x) for x in (verdict.answer.estimate, verdict.answer.interval.low, verdict.answer.interval.high)]
    assert ratios == pytest.approx([1.6609, 0.7463, 3.6961], abs=5e-5)
    assert verdict.answer.p == pytest.approx(0.1531, abs=5e-5)


def test_five_pairs_of_tracers() -> None:
    """88 91 85 93 90 -> 93 92 91 94 95 of 100: 3.6 points (.6097 to 6.5903), p .0288 (library consensus).

    The floor there is 4.0064 by p = .912 itself; ours takes p = (912 + 1)/(1000 + 2), so 4.0233.
    """
    halves = zip((88, 91, 85, 93, 90), (93, 92, 91, 94, 95), strict=True)
    runs = [
        run(pair, arm, seeded=100, kept=kept)
        for pair, both in enumerate(halves, start=1)
        for arm, kept in zip(("baseline", "changed"), both, strict=True)
    ]
    verdict = reach_verdict(trial("tracers", pairs=5), runs)
    assert verdict.answer.interval is not None
    assert verdict.answer.estimate == pytest.approx(3.6)
    assert (verdict.answer.interval.low, verdict.answer.interval.high) == pytest.approx((0.6097, 6.5903), abs=5e-5)
    assert verdict.answer.p == pytest.approx(0.0288, abs=5e-5)
    p = 913 / 1002
    assert verdict.answer.floor == pytest.approx(100 * math.sqrt(2 * p * (1 - p) / 100))
    assert verdict.answer.floor == pytest.approx(4.0064, rel=0.005)


def test_uncertainty_of_a_ratio_of_two_weighings() -> None:
    """C 90 (1.8), T 10 (3.0): u(R) = .02706; JCGM 100:2008 eq. 10 (computed; Monte Carlo by JCGM 101 gives .0272)."""
    assert recovery_uncertainty(np.array([90.0]), np.array([10.0]), 1.8, 3.0)[0] == pytest.approx(0.0270599, abs=5e-7)


def test_uncertainty_of_a_ratio_by_monte_carlo() -> None:
    """The same ratio by 400,000 draws, after JCGM 101:2008: within 2 % of the formula."""
    rng = np.random.default_rng(7)
    kept, lost = rng.normal(90, 1.8, 400_000), rng.normal(10, 3.0, 400_000)
    assert (kept / (kept + lost)).std() == pytest.approx(0.0270599, rel=0.02)


def test_pairing_keeps_correlated_readings_together() -> None:
    """JCGM 100:2008 (GUM) H.2, five sets of V, I, phi (values from memory): R 127.732, u .071; blind to it: .195.

    The ratio of each set first, then mean and standard error, is our engine; it carries the correlation.
    """
    v = np.array([5.007, 4.994, 5.005, 4.990, 4.999])
    i = np.array([19.663, 19.639, 19.640, 19.685, 19.678]) / 1000
    phi = np.array([1.0456, 1.0438, 1.0468, 1.0428, 1.0433])
    fit = paired_t(v / i * np.cos(phi))
    assert fit.mean == pytest.approx(127.732, abs=5e-3)
    assert fit.standard_error == pytest.approx(0.071, abs=5e-4)


def test_the_roughened_bed_walk() -> None:
    """Smooth 31 44 26 38 29 40, rough 47 49 45 44 52 48: 39 % more (11 to 73), all six one way 1 time in 32."""
    halves = list(zip((31, 44, 26, 38, 29, 40), (47, 49, 45, 44, 52, 48), strict=True))
    verdict = reach_verdict(trial("grain_counts", worth_having=20.0), counts(halves))
    assert verdict.code == "better"
    assert verdict.sentence.startswith("Better beyond luck: 39 % more grains than ribbed (11 to 73), 6 pairs")
    assert any("all 6 pairs on one side about 1 time in 32" in line for line in verdict.more)


@pytest.mark.parametrize(("pairs", "words"), [(3, "over 3.3 times"), (4, "over 2.1 times"), (5, "over 1.7 times")])
def test_few_pairs_say_how_little_they_can_find(pairs: int, words: str) -> None:
    """3, 4, 5 pairs find 3.264, 2.128, 1.682 SDs 4 times in 5 (noncentral t, recomputed)."""
    verdict = reach_verdict(trial(pairs=pairs), recovery_runs(V1[:pairs]))
    assert any(words in line for line in verdict.more)


def test_pairs_a_new_trial_needs() -> None:
    """Difference/SD .5 needs 34 pairs at 80 % (Cohen's d .5 paired; value from memory, recomputed 33.37)."""
    spread = [0.0, 4.0, -4.0, 3.0, -3.0, 0.5, 0.0, -0.5]
    sd = float(np.std(spread, ddof=1))
    verdict = reach_verdict(trial(pairs=8, worth_having=sd / 2), recovery_runs(spread))
    assert verdict.code == "not_settled"
    assert verdict.answer.pairs_for_new_trial == 34
    assert "about 34 pairs" in " ".join(verdict.more)
