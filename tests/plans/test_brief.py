"""A plan's own words -> what the ways are compared for."""

import math
from typing import Any

import pytest

from schemas import Change, Gear, Grains, Guess, Held, Lot, MeasureName, Trial
from trials.measures.catalogue import measure_named
from trials.noise.effect import true_difference
from trials.noise.situation import ASSUMED_CLEANUP_MINUTES, ASSUMED_RUN_MINUTES
from trials.plans.brief import TypedLine, brief_for, change_reaching


def plan(**changes: Any) -> Trial:
    """A sluice, 400 kg of rich dirt."""
    usual: dict[str, Any] = {
        "name": "t",
        "measure": "recovery",
        "pairs": 6,
        "lots": (Lot(kind="natural", mass_g=400_000.0, splitting="riffle splitter"),),
        "gear": Gear(kind="sluice"),
        "held": Held(charge_g=10_000.0),
        "guess": Guess(gold_mg_kg=50.0, sizes="fine"),
    }
    return Trial(**{**usual, **changes})


@pytest.mark.parametrize(
    ("measure", "typed", "words"),
    [
        ("recovery", 3.0, "3 points more recovery"),
        ("recovery", 1.0, "1 point more recovery"),
        ("tracers", 4.5, "4.5 points more grains kept"),
        ("gold_mass", 20.0, "20 % more gold kept"),
        ("grain_counts", 25.0, "25 % more grains"),
        ("tails_gold", 30.0, "30 % less gold lost"),
    ],
)
def test_a_line_is_said_as_people_say_it(measure: MeasureName, typed: float, words: str) -> None:
    """What was typed comes back with its unit and what it is more of."""
    assert TypedLine(measure, typed).words == words
    assert measure_named(measure).gain_text(measure_named(measure).line(typed)) == words


@pytest.mark.parametrize(("measure", "scale"), [("gold_mass", math.log(1.2)), ("tails_gold", -math.log(0.8))])
def test_a_line_in_percent_is_a_log(measure: MeasureName, scale: float) -> None:
    """ln(1 + x/100), and of gold lost -ln(1 - x/100)."""
    assert TypedLine(measure, 20.0).on_scale == pytest.approx(scale)


@pytest.mark.parametrize(("measure", "typed"), [("recovery", 4.0), ("gold_mass", 5.0), ("grain_counts", 15.0)])
def test_the_change_truly_brings_the_line(measure: MeasureName, typed: float) -> None:
    """On the dirt and gear of the plan."""
    line = TypedLine(measure, typed)
    asked = brief_for(plan(), line)
    assert asked is not None
    assert true_difference(measure, asked.situation, asked.change) == pytest.approx(line.on_scale, rel=1e-6)


def test_a_gain_that_is_not_there_is_none() -> None:
    """Half as much again where over 80 % is kept."""
    assert brief_for(plan(), TypedLine("gold_mass", 50.0)) is None


def test_without_a_guess_of_gold_a_gain_in_shares_can_be_told() -> None:
    """Points of recovery do not depend on how much there is."""
    barren = brief_for(plan(guess=Guess(sizes="fine"), grains=Grains(seeded=100)), TypedLine("recovery", 3.0))
    rich = change_reaching(TypedLine("recovery", 3.0), asked_situation(plan()))
    assert barren is not None and rich is not None
    assert barren.change.shift_logit == pytest.approx(rich.shift_logit, rel=0.02)


def asked_situation(trial: Trial) -> Any:
    """Where a plan would be run."""
    asked = brief_for(trial, TypedLine("recovery", 1.0))
    assert asked is not None
    return asked.situation


def test_what_is_in_hand_is_what_the_plan_says() -> None:
    """Dirt, minutes, hours; the usual ones where it says nothing; of an unweighed lot there is no end."""
    line = TypedLine("recovery", 3.0)
    bare = brief_for(plan(), line)
    assert bare is not None
    assert (bare.lot_g, bare.run_minutes, bare.cleanup_minutes) == (
        400_000.0,
        ASSUMED_RUN_MINUTES,
        ASSUMED_CLEANUP_MINUTES,
    )
    assert bare.time_minutes is None and bare.is_split and bare.arms == 2
    guess = Guess(gold_mg_kg=50.0, sizes="fine", run_minutes=9.0, cleanup_minutes=0.0, time_minutes=600.0)
    told = brief_for(plan(guess=guess), line)
    assert told is not None
    assert (told.run_minutes, told.cleanup_minutes, told.time_minutes) == (9.0, 0.0, 600.0)
    unweighed = brief_for(plan(lots=(Lot(kind="natural"),)), line)
    assert unweighed is not None and unweighed.lot_g == math.inf
    unsplit = brief_for(plan(lots=(Lot(kind="natural", mass_g=1e5, splitting="none"),)), line)
    assert unsplit is not None and not unsplit.is_split


def test_a_graded_plan_asks_for_all_its_arms() -> None:
    """Baseline and four levels: five runs a block."""
    grits = Change(variable="texture", baseline="painted", changed=("320", "220", "120", "80"))
    asked = brief_for(plan(change=grits), TypedLine("recovery", 3.0))
    assert asked is not None and asked.arms == 5
