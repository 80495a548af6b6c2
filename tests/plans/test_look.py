"""The early look keeps the false alarms it promises. References: published constants, and numeric integration."""

from functools import cache

import numpy as np
import pytest
from scipy import optimize, special, stats

from tests.tables import every
from trials.measures.recovery import RECOVERY
from trials.plans.look import FEWEST_PAIRS_AT_LOOK
from trials.rehearsal.judged import ENDINGS, Judged, judge_trials
from trials.rehearsal.simulated_trials import Readings
from trials.statistics.paired_t import paired_t
from trials.verdicts.analysis import LEVEL_AFTER_LOOK, LOOK_LEVEL

legendre = cache(np.polynomial.legendre.leggauss)
"""Places from -1 to 1 and weights of an integral over so many of them."""
ACROSS, WEIGHTS = legendre(160)


def leaves_at(bounds, drift=0.0):
    """Chance to pass the bound at each look, scatter known: recursive integration of the density that goes on.

    The sum S of k standard normal steps with mean `drift` is watched; it leaves at |S| > bound x sqrt(k). Armitage,
    McPherson and Rowe, J. R. Stat. Soc. A 132, 1969, p. 235-244.
    """
    left, nodes, mass = [], np.zeros(1), np.ones(1)
    for look, bound in enumerate(bounds, start=1):
        edge = bound * np.sqrt(look)
        above, below = stats.norm.sf(edge - nodes - drift), stats.norm.cdf(-edge - nodes - drift)
        left.append(float((mass * (above + below)).sum()))
        here = edge * ACROSS
        density = stats.norm.pdf(here[:, np.newaxis] - nodes - drift) @ mass
        nodes, mass = here, density * edge * WEIGHTS
    return np.array(left)


def constant_for(shape, alarms=0.05):
    """The constant that spends just so many false alarms on bounds of that shape."""
    return optimize.brentq(lambda c: leaves_at(c * shape).sum() - alarms, 1.5, 4.0, xtol=1e-10)


@every(("looks", "published"), [(1, 1.960), (2, 2.178), (3, 2.289), (4, 2.361), (5, 2.413), (10, 2.555)])
def test_the_reference_gives_pococks_constants(looks, published):
    """Jennison and Turnbull, Group Sequential Methods, 2000, table 2.1, two-sided 5 % (table cited from memory)."""
    assert constant_for(np.ones(looks)) == pytest.approx(published, abs=0.00051)


@every(("looks", "published"), [(2, 1.977), (3, 2.004), (4, 2.024), (5, 2.040), (10, 2.087)])
def test_the_reference_gives_the_constants_of_obrien_and_fleming(looks, published):
    """Jennison and Turnbull, 2000, table 2.3, two-sided 5 %, bound C sqrt(K/k) at look k (table cited from memory)."""
    shape = np.sqrt(looks / np.arange(1, looks + 1))
    assert constant_for(shape) == pytest.approx(published, abs=0.00051)


@every(("looks", "published"), [(1, 0.050), (2, 0.083), (3, 0.107), (4, 0.126), (5, 0.142), (10, 0.193)])
def test_the_reference_gives_the_alarms_of_repeated_looks(looks, published):
    """Armitage, McPherson and Rowe, 1969: false alarms of so many looks at 5 % (value from memory)."""
    assert leaves_at(np.full(looks, stats.norm.ppf(0.975))).sum() == pytest.approx(published, abs=0.00051)


def test_the_reference_gives_the_sizes_of_a_published_design():
    """SAS/STAT, SEQDESIGN, Pocock design of 4 stages at power .9: 118.3143, 115.6074 and 69.74805 % of a fixed one."""
    bounds = np.full(4, constant_for(np.ones(4)))
    drift = optimize.brentq(lambda d: leaves_at(bounds, d).sum() - 0.9, 0.5, 4.0, xtol=1e-10)
    largest = 100 * 4 * drift**2 / (stats.norm.ppf(0.975) + stats.norm.ppf(0.9)) ** 2

    def mean_size(at_drift):
        going_on = 1 - np.cumsum(leaves_at(bounds, at_drift))[:-1]
        return largest * (1 + going_on.sum()) / 4

    seen = (largest, mean_size(0.0), mean_size(drift))
    assert seen == pytest.approx((118.3143, 115.6074, 69.74805), abs=0.01)


@cache
def two_looks(pairs, look_level, end_level, effect=0.0):
    """Chance of an alarm at the look, and at either, with the paired t and unknown scatter: numeric integration.

    Of the two batches the scaled mean z is normal and the sum of squares chi-square, all independent; the last sum of
    squares is integrated in closed form; right to 1e-4, and to 1e-6 at the look. `pairs` is (at the look, in all), levels are two-sided chances of an alarm,
    `effect` is the true mean in SDs of a pair difference.
    """
    first, total = pairs
    second = total - first
    bound_1 = stats.t.isf(look_level / 2, first - 1)
    bound_2 = stats.t.isf(end_level / 2, total - 1)
    reach, (across, weights) = 8.5, legendre(80)
    z1 = (effect * np.sqrt(first) + reach * across)[:, np.newaxis, np.newaxis]
    z2 = (effect * np.sqrt(second) + reach * across)[np.newaxis, :, np.newaxis]
    mass = stats.norm.pdf(reach * across) * reach * weights
    needed_1 = (first - 1) * z1**2 / bound_1**2  # with a larger sum of squares |t| is within its bound at the look
    stays = special.chdtrc(first - 1, needed_1)
    sum_of_all = np.sqrt(first) * z1 + np.sqrt(second) * z2
    between = first * second / total * (z1 / np.sqrt(first) - z2 / np.sqrt(second)) ** 2
    needed = (total - 1) * sum_of_all**2 / total / bound_2**2 - between
    if second == 1:  # one pair has no sum of squares of its own
        quiet = special.chdtrc(first - 1, np.maximum(needed, needed_1))[..., 0]
    else:
        share, share_weights = legendre(40)
        squares_1 = stats.chi2.isf(stays * (share + 1) / 2, first - 1)
        both = special.chdtrc(second - 1, np.maximum(needed - squares_1, 0.0))
        quiet = (both * share_weights / 2).sum(axis=-1) * stays[..., 0]
    return 1 - float(mass @ stays[:, 0, 0]), 1 - float(mass @ quiet @ mass)


def normal_trials(differences):
    """Pairs whose recoveries differ by just so many points: what the engine sees is normal, with scatter 1."""
    even = np.full((*differences.shape, 2), 50.0)
    changed = np.stack([50.0 + differences, 50.0 - differences], axis=-1)
    turns = np.broadcast_to(np.arange(differences.shape[1]) % 2 == 0, differences.shape)
    return Readings(even, changed, turns, np.full((*differences.shape, 2), 350.0))


def share(judged: Judged, *endings: str) -> float:
    """Share of trials that ended so, %."""
    return 100 * float(np.isin(judged.codes, [ENDINGS.index(ending) for ending in endings]).mean())


def luck(per_cent, times):
    """Three standard errors of a simulated share, %."""
    return 3 * 100 * np.sqrt(per_cent / 100 * (1 - per_cent / 100) / times)


def test_the_levels_spend_one_and_four_per_cent():
    """By the union bound no test that keeps its level can raise more than 5 false alarms in 100 over both."""
    spent = (1 - LOOK_LEVEL, 1 - LEVEL_AFTER_LOOK)
    assert spent == pytest.approx((0.01, 0.04))
    assert sum(spent) == pytest.approx(0.05)


@every("pairs", [5, 6, 7, 8, 9, 10, 12, 16, 24, 40])
def test_look_and_end_raise_at_most_five_false_alarms_in_a_hundred(pairs):
    """For a look about half way, by integration: under 5 %, and not far under."""
    look = max(FEWEST_PAIRS_AT_LOOK, (pairs + 1) // 2)
    at_look, either = two_looks((look, pairs), 0.01, 0.04)
    assert at_look == pytest.approx(0.01, abs=1e-6)
    assert 0.0425 < either < 0.05


@every(("pairs", "alarms", "second_level"), [((4, 8), 4.7, 0.0425), ((5, 10), 4.7, 0.0429), ((6, 12), 4.7, 0.0435)])
def test_false_alarms_and_what_the_end_could_spend(pairs, alarms, second_level):
    """A separate study found 4.7 % (at 4 of 8 and 6 of 12), and the exact second level by 500,000 draws (SE .0003)."""
    assert 100 * two_looks(pairs, 0.01, 0.04)[1] == pytest.approx(alarms, abs=0.1)
    assert two_looks(pairs, 0.01, second_level)[1] == pytest.approx(0.05, abs=3 * 0.00031)


@every(("pairs", "alarms"), [((3, 6), 8.9), ((4, 8), 8.8), ((6, 8), 7.6), ((6, 12), 8.7)])
def test_pairs_added_after_an_unplanned_look_raise_more(pairs, alarms):
    """Both looks at 5 %: a separate study found so many false alarms in 100 (100,000 draws)."""
    assert 100 * two_looks(pairs, 0.05, 0.05)[1] == pytest.approx(alarms, abs=0.05 + luck(alarms, 100_000))


def test_a_look_after_every_pair_raises_eighteen_in_a_hundred(sized):
    """Paired t at 5 % after every pair from 3 to 12: a separate study found 18.4 % (100,000 draws)."""
    times = sized(100_000)
    differences = np.random.default_rng(71).standard_normal((times, 12))
    alarm = np.zeros(times, dtype=bool)
    for pairs in range(3, 13):
        fit = paired_t(differences[:, :pairs])
        alarm |= (fit.low > 0) | (fit.high < 0)
    assert 100 * alarm.mean() == pytest.approx(18.4, abs=0.05 + 1.4 * luck(18.4, times))


ONE_THEN_FOUR = [
    (8, 4, 0.0, 4.7, 8.0), (8, 4, 0.75, 41, None), (8, 4, 1.0, 64, 7.7), (8, 4, 1.5, 93.5, None), (8, 4, 2.0, 99.6, 6.8),
    (12, 6, 0.0, 4.7, 11.9), (12, 6, 0.75, 62, None), (12, 6, 1.0, 86, 10.8), (12, 6, 1.5, 99.5, None), (12, 6, 2.0, 100, 7.5),
]  # fmt: skip


@every(("pairs", "look", "effect", "found", "mean_pairs"), ONE_THEN_FOUR)
def test_the_engine_finds_as_often_as_integration_and_study(sized, pairs, look, effect, found, mean_pairs):
    """Better or worse by the very engine, against integration and a separate study (100,000 normal draws)."""
    times = sized(100_000)
    rng = np.random.default_rng([72, pairs, int(4 * effect)])
    trials = normal_trials(effect + rng.standard_normal((times, pairs)))
    judged = judge_trials(RECOVERY, trials, division=None, line=None, look_after=look)
    at_look, either = (100 * chance for chance in two_looks((look, pairs), 0.01, 0.04, effect))
    assert either == pytest.approx(found, abs=0.51 if found > 5 else 0.1)
    assert share(judged, "better", "worse") == pytest.approx(either, abs=luck(either, times) + 0.02)
    assert 100 * judged.at_look.mean() == pytest.approx(at_look, abs=luck(at_look, times) + 0.02)
    if mean_pairs is not None:
        assert pairs - (pairs - look) * at_look / 100 == pytest.approx(mean_pairs, abs=0.051)
        run = np.where(judged.at_look, look, pairs).mean()
        assert run == pytest.approx(mean_pairs, abs=0.051 + (pairs - look) * luck(at_look, times) / 100)


# Normal differences with scatter 1: pairs, line and true mean, then better, worse, no difference and not settled in
# 100 by a separate study (100,000 draws).
RULE = [
    (4, 1.0, 0.0, (2.0, 2.0, 9.4, 86.5)), (4, 2.0, 0.0, (0.4, 0.5, 60.0, 39.1)), (4, 2.0, 2.0, (73.2, 0, 2.5, 24.3)),
    (6, 1.0, 0.0, (2.1, 2.0, 21.9, 74.0)), (6, 1.0, 1.0, (50.2, 0, 2.3, 47.6)), (6, 1.5, 0.75, (25.5, 0, 31.4, 43.0)),
    (6, 2.0, 0.0, (0.2, 0.2, 94.1, 5.5)), (8, 1.0, 0.5, (22.3, 0, 20.5, 57.2)), (8, 1.0, 1.0, (67.8, 0, 2.4, 29.8)),
    (8, 1.5, 0.0, (0.6, 0.6, 90.1, 8.6)), (12, 1.0, 0.0, (1.7, 1.7, 77.0, 19.7)), (12, 1.0, 1.0, (87.6, 0, 2.5, 9.9)),
    (12, 2.0, 2.0, (97.5, 0, 2.5, 0)), (12, 1.0, 1.5, (99.7, 0, 0, 0.3)),
]  # fmt: skip


def four_outcomes(pairs, line, effect):
    """Chances of better, worse, no difference and not settled, %, scatter 1: integration over the scatter that is seen."""
    share, weights = legendre(400)
    half = stats.t.ppf(0.975, pairs - 1) * np.sqrt(stats.chi2.ppf((share + 1) / 2, pairs - 1) / (pairs - 1) / pairs)

    def between(low, high):
        return np.maximum(np.diff(stats.norm.cdf([low, high], effect, 1 / np.sqrt(pairs)), axis=0)[0], 0.0)

    far = np.full_like(half, 50.0)
    inside = between(half - line, line - half)
    better = between(half, far) - between(half, line - half)
    worse = between(-far, -half) - between(half - line, -half)
    chances = [float(chance @ weights / 2) for chance in (better, worse, inside)]
    return [100 * chance for chance in (*chances, 1 - sum(chances))]


@every(("pairs", "line", "effect", "found"), RULE)
def test_the_four_outcomes_come_as_often_as_integration_and_simulation(sized, pairs, line, effect, found):
    """The rule without a look on normal differences, by integration and by an own simulation, not published, of 100,000.

    The simulation's own luck of 4 standard errors is allowed for.
    """
    times = sized(100_000)
    rng = np.random.default_rng([73, pairs, int(4 * line), int(4 * effect)])
    trials = normal_trials(effect + rng.standard_normal((times, pairs)))
    judged = judge_trials(RECOVERY, trials, division=None, line=line)
    expected = four_outcomes(pairs, line, effect)
    assert expected[0] <= 2.5 or effect > 0
    assert expected[2] <= 2.5 + 1e-9 or effect < line
    for ending, exact, studied in zip(
        ("better", "worse", "no_difference", "not_settled"), expected, found, strict=True
    ):
        assert exact == pytest.approx(studied, abs=0.051 + 4 / 3 * luck(max(exact, 0.1), 100_000)), ending
        assert share(judged, ending) == pytest.approx(exact, abs=4 / 3 * luck(max(exact, 0.1), times)), ending
