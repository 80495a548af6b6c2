"""A plan's words -> dirt, habits and gear of the noise model."""

import dataclasses
from typing import Any

import numpy as np
import pytest

from schemas import Gear, Grains, Guess, Held, Lot, Scales, Sizes, Tails, Trial
from trials.noise.situation import (
    ASSUMED_CHARGE_G,
    HABITS,
    SPLIT_VMR,
    charge_of,
    situation_of,
    size_class_of,
)
from trials.simulation.dirt import GOLD_SHARES, SizeSet
from trials.simulation.gear import UNCHANGED_RECOVERY

SHARES = {name: np.asarray(shares) for name, shares in GOLD_SHARES.items()}
USUAL = np.asarray(UNCHANGED_RECOVERY)


def plan(**changes: Any) -> Trial:
    """A sluice, 120 kg of natural dirt, 6 pairs."""
    usual: dict[str, Any] = {
        "name": "t",
        "measure": "recovery",
        "pairs": 6,
        "lots": (Lot(kind="natural", mass_g=120_000.0, splitting="riffle splitter"),),
        "gear": Gear(kind="sluice"),
    }
    return Trial(**{**usual, **changes})


@pytest.mark.parametrize(("sizes", "percent"), [("coarse", 5.02), ("medium", 7.56), ("fine", 15.92)])
def test_a_second_pass_finds_what_the_study_says(sizes: SizeSet, percent: float) -> None:
    """Gold found in a second pass, % of the gold of the first: sum s p(1 - p) / sum s p, 5.02/7.56/15.92 in the study.

    The study is an own simulation of three feeds, not published.

    A trial of stored tailings is planned with a gear that keeps so much of what the first pass lost: what is lost is
    1 - R of the gold, R that of the first, and R/(1 - R) of the share kept is the study's figure.
    """
    tails = plan(lots=(Lot(kind="sluice tailings", mass_g=10_000.0),), guess=Guess(sizes=sizes))
    kept = float((SHARES[sizes] * np.asarray(situation_of(tails).gear.recovery)).sum())
    first = float((SHARES[sizes] * USUAL).sum())
    assert 100 * kept * (1 - first) / first == pytest.approx(percent, abs=0.0051)


@pytest.mark.parametrize("kind", ["table tailings", "sluice tailings"])
def test_tailings_are_fine_unless_said_otherwise(kind: str) -> None:
    """What a table lets go is fine; natural dirt is taken as medium."""
    lots = (Lot(kind=kind, mass_g=7_500.0),)
    assert situation_of(plan(lots=lots)).dirt.size_set == "fine"
    assert situation_of(plan(lots=lots, guess=Guess(sizes="coarse"))).dirt.size_set == "coarse"
    assert situation_of(plan()).dirt.size_set == "medium"
    assert situation_of(plan()).gear.recovery == UNCHANGED_RECOVERY


@pytest.mark.parametrize("percent", [5.0, 50.0, 80.0, 97.0])
@pytest.mark.parametrize("sizes", ["coarse", "medium", "fine"])
def test_gear_keeps_just_the_share_it_is_said_to(sizes: SizeSet, percent: float) -> None:
    """Of the gold, by mass; in every class alike on the logit, so that the coarse is still kept best."""
    recovery = np.asarray(situation_of(plan(guess=Guess(sizes=sizes, keeps_percent=percent))).gear.recovery)
    assert 100 * float((SHARES[sizes] * recovery).sum()) == pytest.approx(percent, abs=1e-6)
    shift = np.log(recovery / (1 - recovery)) - np.log(USUAL / (1 - USUAL))
    assert np.ptp(shift) < 1e-6 and (np.diff(recovery) <= 0).all()


def test_of_tracers_the_share_kept_is_that_of_their_size() -> None:
    """70 % of grains of 70/100 kept is 70 % in their class, whatever the gold."""
    tracers = plan(
        measure="tracers",
        grains=Grains(seeded=100, size="70/100"),
        sizes=Sizes(series="ASTM"),
        guess=Guess(keeps_percent=70.0),
    )
    situation = situation_of(tracers)
    assert situation.tracers.size_classes == (6,) and situation.tracers.fed == 100
    assert situation.gear.recovery[6] == pytest.approx(0.70)


# ASTM E11 openings: 10 2.00, 14 1.40, 20 0.85, 30 0.60, 40 0.425, 50 0.30, 70 0.212, 100 0.150, 140 0.106, 200 0.075,
# 270 0.053 mm: the ten classes of the noise model lie between them, coarsest first.
@pytest.mark.parametrize(
    ("label", "size_class"),
    [
        ("10/14", 0),
        ("14/20", 1),
        ("20/30", 2),
        ("30/40", 3),
        ("40/50", 4),
        ("50/70", 5),
        ("70/100", 6),
        ("100/140", 7),
        ("140/200", 8),
        ("200/270", 9),
        ("30/50", 4),  # 0.60 to 0.30 mm: the middle, 0.424, is just under 40 mesh
        ("50/100", 5),  # 0.30 to 0.15 mm: the middle, 0.2121, is just over 70 mesh (0.212)
        ("+20", 1),  # over 0.85: taken to 1.7 mm
        ("-100", 7),  # under 0.15: taken from 0.075 mm
    ],
)
def test_a_size_class_is_that_of_its_middle(label: str, size_class: int) -> None:
    """The geometric middle of the sieves; an open end is taken as one factor of two."""
    assert size_class_of(label, "ASTM") == size_class


@pytest.mark.parametrize(("label", "series"), [(None, None), ("50/100", None), ("fine", "ASTM")])
def test_an_unknown_size_is_taken_as_a_quarter_of_a_millimetre(label: str | None, series: str | None) -> None:
    """0.212 to 0.300 mm, which the usual gear keeps to 90 %."""
    assert size_class_of(label, series) == 5


def test_a_charge_is_what_is_held_or_a_share_of_the_lot() -> None:
    """Held; else the lot over all runs, spares too; else 1 kg."""
    assert charge_of(plan(held=Held(charge_g=350.0))) == 350.0
    assert charge_of(plan()) == pytest.approx(120_000.0 / 12)
    assert charge_of(plan(spares=2)) == pytest.approx(120_000.0 / 16)
    two = (Lot(name="a", kind="natural", mass_g=60_000.0), Lot(name="b", kind="natural", mass_g=60_000.0))
    assert charge_of(plan(lots=two)) == pytest.approx(120_000.0 / 12)
    assert charge_of(plan(lots=(Lot(kind="natural"),))) == ASSUMED_CHARGE_G


def test_gold_of_a_run_is_that_of_its_charge() -> None:
    """0.5 mg/kg in 10 kg are 5 mg; none guessed, none there."""
    assert situation_of(plan(guess=Guess(gold_mg_kg=0.5))).dirt.gold_mg == pytest.approx(5.0)
    assert situation_of(plan()).dirt.gold_mg == 0.0


@pytest.mark.parametrize(
    ("care", "process", "drift"), [("careful", 1.0, 0.0), ("usual", 2.5, 0.3), ("hurried", 5.0, 1.0)]
)
def test_noise_goes_by_care(care: str, process: float, drift: float) -> None:
    """The assumed levels low, typical and poor: 1, 2 to 3 and 4 to 6 points from run to run; drift 0, 0.3 and 1.

    One hand feeds a plan's trial, and what the gear is said to keep is what it keeps in that hand.
    """
    noise = situation_of(plan(guess=Guess(care=care))).noise
    assert noise.process_sd_points == process and noise.drift_points_per_run == drift
    habits = HABITS[care]  # type: ignore[index]
    assert noise.operator_sd_points == 0.0
    no_habits = {"scale_division_g", "scale_sd_g", "tails_found", "operator_sd_points", "counting_cv"}
    for field in dataclasses.fields(habits):
        if field.name not in no_habits:
            assert getattr(noise, field.name) == getattr(habits, field.name)


def test_care_is_usual_unless_said_otherwise() -> None:
    """An ordinary weekend."""
    assert situation_of(plan()).noise.process_sd_points == HABITS["usual"].process_sd_points


@pytest.mark.parametrize(
    ("division_g", "care", "sd_g"),
    [
        (0.01, "usual", 0.01),  # a pocket scale: 0.005 to 0.01 g
        (0.01, "careful", 0.01),
        (0.001, "usual", 0.002),  # a milligram scale: 0.001 to 0.002 g plus drift
        (0.001, "careful", 0.001),
        (0.0001, "hurried", 0.0002),
        (None, "usual", 0.01),  # none named: a pocket scale
    ],
)
def test_a_scale_errs_by_its_step_or_twice_a_fine_one(division_g: float | None, care: str, sd_g: float) -> None:
    """One SD of a reading, after what is common of pocket and milligram scales."""
    noise = situation_of(plan(scales=Scales(gold_g=division_g), guess=Guess(care=care))).noise
    assert noise.scale_sd_g == pytest.approx(sd_g) and noise.scale_division_g == (division_g or 0.01)


def test_tails_are_found_as_far_as_their_method_goes() -> None:
    """Known to find 80 %: so it is; unknown: all."""
    assert situation_of(plan(tails=Tails(caught="all", finds_percent=80.0))).noise.tails_found == pytest.approx(0.8)
    assert situation_of(plan()).noise.tails_found == 1.0


def test_a_poorer_splitter_never_deals_more_evenly() -> None:
    """Riffle and spinning by luck alone (1); a shovel 1 to 2; scoops far more, up to 19."""
    assert SPLIT_VMR["riffle splitter"] == SPLIT_VMR["spinning"] == 1.0
    assert 1.0 < SPLIT_VMR["cone and quarter"] <= SPLIT_VMR["shovel"] <= 2.0 < SPLIT_VMR["level scoops"]
    assert SPLIT_VMR["level scoops"] < SPLIT_VMR["none"] == 19.0
    scooped = plan(lots=(Lot(kind="natural", mass_g=1e5, splitting="level scoops"),))
    assert situation_of(scooped).dirt.split_vmr == SPLIT_VMR["level scoops"]
    assert situation_of(plan(lots=(Lot(kind="natural", mass_g=1e5),))).dirt.split_vmr == SPLIT_VMR["shovel"]
