"""Whole runs: seeds, arms, classes, carry-over and costs."""

import dataclasses
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from tests.tables import every
from trials.simulation.dirt import Dirt
from trials.simulation.gear import SimulatedGear, TrueEffect, recovery_logits
from trials.simulation.grains import draw_grains
from trials.simulation.noise_model import LOW, POOR, TYPICAL, Noise
from trials.simulation.runs import simulate_runs
from trials.simulation.schedule import Schedule, paired_schedule
from trials.simulation.tracers import SeededTracers
from trials.statistics.arrays import Numbers

ORDER = [True, False, False, True]
SCHEDULE = paired_schedule(ORDER, trials=200)
RICH = Dirt(gold_mg=900, size_set="fine")


def _arrays(runs: object) -> dict[str, Numbers]:
    return {name: values for name, values in vars(runs).items() if isinstance(values, np.ndarray)}


@every("noise", [LOW, TYPICAL, POOR])
def test_same_seed_same_arrays(noise: Noise):
    """A seed, or a generator made from it, gives the same runs again; another seed gives others."""
    first = _arrays(simulate_runs(71, schedule=SCHEDULE, dirt=Dirt(9), noise=noise, tracers=SeededTracers(100)))
    again = _arrays(
        simulate_runs(
            np.random.Generator(np.random.PCG64(71)),
            schedule=SCHEDULE, dirt=Dirt(9), noise=noise, tracers=SeededTracers(100),
        )
    )  # fmt: skip
    other = _arrays(simulate_runs(72, schedule=SCHEDULE, dirt=Dirt(9), noise=noise, tracers=SeededTracers(100)))
    for name, values in first.items():
        assert values.shape == (200, 4, 2)
        np.testing.assert_array_equal(values, again[name])
        if name not in {"fed_g", "tracers_fed"}:
            assert not np.array_equal(values, other[name])


def test_one_generator_gives_fresh_runs_each_time():
    """Asked twice, one generator doesn't repeat itself, and global random state is neither used nor moved."""
    rng = np.random.default_rng(73)
    before = np.random.get_state()[1].copy()  # noqa: NPY002 - this test watches the global state
    first, second = (simulate_runs(rng, schedule=SCHEDULE, dirt=Dirt(9), noise=LOW) for _ in range(2))
    assert not np.array_equal(first.grains_fed, second.grains_fed)
    np.testing.assert_array_equal(np.random.get_state()[1], before)  # noqa: NPY002 - as above


@every(("changed", "same"), [
    ({"noise": dataclasses.replace(TYPICAL, scale_sd_g=0.01, tails_cv=0.5)}, ["grains_fed", "grains_kept", "gold_kept_true_mg", "minutes", "tracers_kept"]),
    ({"noise": dataclasses.replace(TYPICAL, feed_cv=0.5)}, ["grains_kept", "gold_kept_mg", "gold_tails_mg", "black_sand_g", "tracers_kept"]),
    ({"tracers": SeededTracers(400)}, ["grains_kept", "gold_kept_mg", "gold_tails_mg", "minutes", "black_sand_g"]),
    ({"dirt": Dirt(9)}, ["minutes", "black_sand_g", "tracers_kept", "water_l_min"]),
    ({"change": TrueEffect(minutes_ratio=2.0)}, ["grains_kept", "gold_kept_mg", "gold_tails_mg", "black_sand_g", "tracers_kept"]),
])  # fmt: skip
def test_one_change_leaves_the_rest_as_it_was(changed: dict[str, Any], same: list[str]):
    """Another scale, feed rate, tracer, dirt or cost leaves every draw that doesn't depend on it alone."""
    plain = {"schedule": SCHEDULE, "dirt": Dirt(90), "noise": TYPICAL, "tracers": SeededTracers(100)}
    first, second = simulate_runs(74, **plain), simulate_runs(74, **(plain | changed))
    for name in same:
        np.testing.assert_array_equal(getattr(first, name), getattr(second, name))


def test_swapping_the_arms_of_a_change_turns_the_gain_round():
    """A gain of the changed arm is one of the changed arm only: the baseline keeps its mean."""
    schedule = paired_schedule(ORDER, trials=1000)
    plain = simulate_runs(76, schedule=schedule, dirt=RICH, noise=Noise())
    better = simulate_runs(77, schedule=schedule, dirt=RICH, noise=Noise(), change=TrueEffect(shift_logit=0.45))
    means = [x.gold_kept_true_mg.mean(axis=(0, 1)) / 900 for x in (plain, better)]
    np.testing.assert_allclose(means[0], [0.8194, 0.8194], atol=0.002)
    # By hand over the fine set: each class p -> p e^0.45 / (1 - p + p e^0.45), weighted by its share.
    np.testing.assert_allclose(means[1], [0.8194, 0.8721], atol=0.002)


def test_a_change_may_act_on_one_class():
    """A shift given class by class moves that class and no other."""
    shape = (1000, 4, 2)
    logits = recovery_logits(SimulatedGear(), (TrueEffect((0.0,) * 9 + (0.9,)),))
    fates = draw_grains(np.random.default_rng(78), RICH, Noise(), np.broadcast_to(logits, (*shape, 10)), np.ones(shape))
    ratio = fates.found.sum(axis=(0, 1)) / (fates.found + fates.tails).sum(axis=(0, 1)).clip(min=1)
    np.testing.assert_allclose(ratio[1, 2:9] - ratio[0, 2:9], 0.0, atol=0.01)
    assert ratio[1, 9] - ratio[0, 9] == pytest.approx(1 / (1 + 1.5 * np.exp(-0.9)) - 0.4, abs=0.003)


@every(("carry_over", "tabled"), [(0.02, 0.0596), (0.10, 0.0522), (0.25, 0.0383)])
def test_carry_over_hides_part_of_a_gain_against_study(carry_over: float, tabled: float):
    """Gold carried into the next run shrinks a true ln ratio of .0614 by 1 - 1.5 c, as an own simulation, not published, found."""
    gain = 0.0614
    order = np.random.default_rng(79).random((2_000, 12)) < 0.5
    runs = simulate_runs(
        79,
        schedule=paired_schedule(order),
        dirt=Dirt(50_000, "fine", grain_cv=0.0),
        noise=Noise(carry_over=carry_over),
        change=TrueEffect(shift_logit=_shift_for(gain)),
    )
    later = np.log(runs.gold_kept_true_mg[:, 1:, 1] / runs.gold_kept_true_mg[:, 1:, 0])
    assert gain * (1 - 1.5 * carry_over) == pytest.approx(tabled, abs=1e-4)
    assert later.mean() == pytest.approx(tabled, abs=4.5 * later.std() / np.sqrt(later.size) + 2e-4)


def _shift_for(ln_ratio: float) -> float:
    """Find by halving the logit shift that lifts fine gold by this ln ratio."""
    share, p = np.asarray([0, 0, 2, 6, 14, 22, 24, 18, 10, 4]) / 100, np.asarray(SimulatedGear().recovery)
    low, high = 0.0, 2.0
    for _ in range(50):
        middle = (low + high) / 2
        changed = p * np.exp(middle) / (1 - p + p * np.exp(middle))
        low, high = (middle, high) if np.log(share @ changed / (share @ p)) < ln_ratio else (low, middle)
    return middle


def test_carried_gold_is_neither_made_nor_lost():
    """What a run holds back is found with the next; only the last run's remnant is missing at the end."""
    runs = simulate_runs(80, schedule=SCHEDULE, dirt=Dirt(900), noise=Noise(carry_over=0.1))
    plain = simulate_runs(81, schedule=SCHEDULE, dirt=Dirt(900), noise=Noise())
    share = runs.grains_kept.sum() / runs.grains_fed.sum()
    caught = plain.grains_kept.sum() / plain.grains_fed.sum()
    assert share == pytest.approx(caught * (1 - 0.1 / 8), abs=0.0005)  # a tenth of one run in 8


def test_pan_losses_and_missed_tails_are_taken_off():
    """Fine gold lost in the pan is missing from the concentrate; what the tails work-up misses, from the tails."""
    plain = simulate_runs(81, schedule=SCHEDULE, dirt=RICH, noise=Noise())
    lossy = simulate_runs(82, schedule=SCHEDULE, dirt=RICH, noise=Noise(panout_loss_fine=0.3, tails_found=0.5))
    fine_kept = 0.18 * 0.75 + 0.10 * 0.60 + 0.04 * 0.40  # share x recovery of the three classes under 0.150 mm
    assert lossy.gold_kept_true_mg.mean() / 900 == pytest.approx(0.8194 - 0.3 * fine_kept, abs=0.002)
    np.testing.assert_allclose(lossy.gold_tails_mg, 0.5 * lossy.gold_tails_true_mg)
    assert lossy.gold_tails_true_mg.mean() == pytest.approx(plain.gold_tails_true_mg.mean(), rel=0.01)


def test_costs_have_their_own_scatter_and_ratio():
    """Minutes and black sand scatter by their CVs about their ratio, and not with the gold or each other."""
    noise = Noise(feed_cv=0.10, black_sand_cv=0.15, water_cv=0.05)
    change = TrueEffect(minutes_ratio=1.2, black_sand_ratio=1.5)
    schedule = paired_schedule(ORDER, trials=5000)
    runs = simulate_runs(83, schedule=schedule, dirt=Dirt(9), noise=noise, change=change)
    ln_minutes, ln_sand, ln_gold = (
        np.log(x[..., 1] / x[..., 0]).ravel()
        for x in (runs.minutes, runs.black_sand_g, runs.gold_kept_true_mg.clip(min=0.1))
    )
    for values, ratio, cv in ((ln_minutes, 1.2, 0.10), (ln_sand, 1.5, 0.15)):
        sd = np.sqrt(2 * np.log1p(cv**2))
        assert values.std() == pytest.approx(sd, rel=0.03)
        assert np.exp(values.mean()) == pytest.approx(ratio, rel=4.5 * sd / np.sqrt(values.size))
    for a, b in ((ln_minutes, ln_sand), (ln_minutes, ln_gold), (ln_sand, ln_gold)):
        assert abs(np.corrcoef(a, b)[0, 1]) < 4.5 / np.sqrt(a.size)
    assert runs.water_l_min.std() / 20.0 == pytest.approx(0.05, rel=0.03)


def test_lots_differ_and_halves_agree():
    """Richness varies from pair to pair and is shared by the halves; heavier halves hold more gold."""
    schedule = paired_schedule(ORDER, trials=5000)
    runs = simulate_runs(84, schedule=schedule, dirt=Dirt(900, "fine", lot_cv=0.5), noise=Noise())
    fed = runs.gold_kept_true_mg + runs.gold_tails_true_mg
    assert fed.std() / 900 == pytest.approx(0.5, rel=0.05)
    assert np.corrcoef(fed[..., 0].ravel(), fed[..., 1].ravel())[0, 1] > 0.98
    uneven = simulate_runs(85, schedule=schedule, dirt=Dirt(900, "fine", fed_cv=0.2), noise=Noise())
    fed = uneven.gold_kept_true_mg + uneven.gold_tails_true_mg
    assert np.corrcoef(fed.ravel(), uneven.fed_g.ravel())[0, 1] > 0.97
    assert uneven.fed_g.std() / 10_000 == pytest.approx(0.2, rel=0.03)


def test_an_audit_has_one_arm_and_a_graded_trial_many():
    """No change gives a one-armed audit; several give a graded trial, each level with its own shift."""
    turn = np.random.default_rng(86).permuted(np.tile(np.arange(15) + 1, (500, 1)), axis=1)
    blocks = turn.reshape(500, 5, 3)
    graded = Schedule(blocks, np.zeros_like(blocks), np.zeros_like(blocks))
    changes = (TrueEffect(shift_logit=0.3, minutes_ratio=1.1), TrueEffect(shift_logit=0.6, minutes_ratio=1.5))
    runs = simulate_runs(86, schedule=graded, dirt=RICH, noise=Noise(), change=changes)
    mean = runs.gold_kept_true_mg.mean(axis=(0, 1))
    assert mean[0] < mean[1] < mean[2]
    np.testing.assert_allclose(runs.minutes[0, 0], [10.0, 11.0, 15.0])
    one = np.arange(4).reshape(1, 4, 1)
    audit = Schedule(one + 1, np.zeros_like(one), np.zeros_like(one))
    runs = simulate_runs(
        87, schedule=audit, dirt=Dirt(9), noise=TYPICAL, change=(), tracers=SeededTracers(25, (1, 5, 7))
    )
    assert runs.tracers_kept.shape == (1, 4, 1)
    with pytest.raises(ValueError, match="change holds 1 for 3 arms"):
        simulate_runs(88, schedule=graded, dirt=RICH, noise=Noise())


def test_no_gold_gives_noughts():
    """Barren dirt shows no grains and no gold, whatever the scale."""
    runs = simulate_runs(89, schedule=SCHEDULE, dirt=Dirt(gold_mg=0.0), noise=POOR)
    for name in ("grains_fed", "grains_kept", "gold_kept_mg", "gold_tails_mg"):
        assert np.all(getattr(runs, name) == 0)


@every(("make", "said"), [
    (lambda: SimulatedGear(recovery=(0.9,)), "SimulatedGear.recovery has 1 values; there are 10 size classes"),
    (lambda: SimulatedGear(recovery=(1.0,) * 10), "SimulatedGear.recovery is 1.0; it must lie"),
    (lambda: SimulatedGear(minutes=0.0), "SimulatedGear.minutes is 0.0; it must lie"),
    (lambda: TrueEffect(shift_logit=(0.1, 0.2)), "TrueEffect.shift_logit has 2 values"),
    (lambda: TrueEffect(minutes_ratio=-1.0), "TrueEffect.minutes_ratio is -1.0; it must lie"),
])  # fmt: skip
def test_gear_and_change_refuse_the_impossible(make: Callable[[], object], said: str):
    """Gear or a change that can't be is refused by name."""
    with pytest.raises(ValueError, match=said):
        make()
