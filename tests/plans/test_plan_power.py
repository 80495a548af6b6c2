"""What a plan may hope to find, from each place its scatter can be known from."""

import dataclasses
from typing import Any

import pytest
from statsmodels.stats.power import TTestPower

from schemas import Change, Gear, Grains, Guess, Held, Lot, Trial
from trials.plans.plan_power import power_of_plan
from trials.plans.planned_scatter import scatter_from_trial
from trials.plans.power import chance_to_find, pairs_to_find
from trials.rehearsal.rehearsal import rehearse

MATS = Change(variable="mat", baseline="ribbed", changed=("looped",), reversible="minutes")


def plan(**changes: Any) -> Trial:
    """Two mats, rich fine gold, recovery, a line of 5 points."""
    usual: dict[str, Any] = {
        "name": "t",
        "measure": "recovery",
        "worth_having": 5.0,
        "pairs": 8,
        "lots": (Lot(kind="natural", mass_g=400_000.0, splitting="riffle splitter"),),
        "gear": Gear(kind="sluice"),
        "change": MATS,
        "held": Held(charge_g=10_000.0),
        "guess": Guess(gold_mg_kg=90.0, sizes="fine"),
    }
    return Trial(**{**usual, **changes})


def guessed(**guess: Any) -> Trial:
    """The same with more guessed."""
    return plan(guess=Guess(**{"gold_mg_kg": 90.0, "sizes": "fine", **guess}))


def test_what_was_typed_goes_before_what_was_seen_and_that_before_what_is_reckoned() -> None:
    """Three places, in this order; an earlier scatter is raised by 1.46 at 6 pairs (sqrt(5 / chi2(.2, 5)), as scipy.stats has it)."""
    earlier = scatter_from_trial("T0", 2.0, 6)
    typed = power_of_plan(guessed(scatter_points=3.0), earlier).scatter
    seen = power_of_plan(plan(), earlier).scatter
    reckoned = power_of_plan(plan()).scatter
    assert typed is not None and (typed.origin, typed.sd) == ("typed", 3.0)
    assert seen is not None and seen.origin == "earlier trial" and seen.sd == pytest.approx(2.92, abs=0.01)
    assert reckoned is not None and reckoned.origin == "noise budget"


def test_a_known_scatter_is_planned_with_as_the_t_test_has_it() -> None:
    """Pairs, smallest difference and chance by statsmodels, at the level in force."""
    for look, alpha in ((None, 0.05), (4, 0.04)):
        outlook = power_of_plan(looking(look), scatter_from_trial("T0", 3.0, 1_000))
        assert outlook.scatter is not None and outlook.findable is not None and outlook.line == 5.0
        sd = outlook.scatter.sd
        # Of those that leave 0 out, up to alpha/2 lie inside the line and are called no difference.
        assert 0.0 <= float(TTestPower().power(5.0 / sd, 8, alpha)) - (outlook.chance or 0.0) <= alpha / 2
        assert TTestPower().power(outlook.findable / sd, 8, alpha) == pytest.approx(0.8, abs=1e-6)
        assert outlook.needed is not None
        assert TTestPower().power(5.0 / sd, outlook.needed, alpha) >= 0.8
        assert TTestPower().power(5.0 / sd, outlook.needed - 1, alpha) < 0.8


def looking(look: int | None) -> Trial:
    """The plan with or without an early look."""
    return plan(look_after=look)


def test_a_reckoned_scatter_is_that_of_each_arm() -> None:
    """The same pairs and chance as the ways compared, so that the two never contradict each other."""
    outlook = power_of_plan(plan())
    assert outlook.change is not None
    assert outlook.needed == pairs_to_find("recovery", outlook.situation, outlook.change)
    assert outlook.chance == chance_to_find("recovery", outlook.situation, outlook.change, 8)
    tried = rehearse(
        "recovery", pairs=8, situation=outlook.situation, line=None, change=outlook.change, times=4_000, seed=44
    )
    assert outlook.chance == pytest.approx(tried.share("better"), abs=0.05)


def test_enough_pairs_and_a_line_within_reach_go_together() -> None:
    """Planned with what is needed, the smallest gain that is found lies under the line; with a pair fewer, over it."""
    needed = power_of_plan(plan()).needed
    assert needed is not None
    enough, short = (power_of_plan(plan(pairs=pairs)) for pairs in (needed, needed - 1))
    assert enough.findable is not None and short.findable is not None and enough.line is not None
    assert enough.findable <= enough.line * 1.01 and short.findable >= enough.line * 0.99
    assert enough.chance is not None and short.chance is not None and enough.chance >= 0.8 > short.chance


def test_what_no_plan_holds_is_told_without_limit() -> None:
    """A tenth of a point: not in 60 pairs."""
    outlook = power_of_plan(plan(worth_having=0.1))
    assert outlook.needed is None and outlook.needed_without_limit is not None and outlook.needed_without_limit > 60


def test_nothing_is_told_of_what_nothing_tells() -> None:
    """No guess of the gold, no tracers: no budget, no scatter, no pairs."""
    outlook = power_of_plan(plan(guess=Guess()))
    assert outlook.budget is outlook.scatter is outlook.needed is outlook.findable is outlook.chance is None
    assert outlook.needed_without_limit is None and outlook.change is None
    seeded = power_of_plan(plan(measure="tracers", guess=Guess(), grains=Grains(seeded=100)))
    assert seeded.budget is not None and seeded.needed is not None


def test_a_gain_that_is_not_there_to_be_had_has_no_change() -> None:
    """20 points more where over 80 % is kept."""
    assert power_of_plan(plan(worth_having=30.0)).change is None


def test_no_line_asks_for_no_pairs() -> None:
    """But what could be found is told."""
    outlook = power_of_plan(plan(worth_having=None))
    assert outlook.line is outlook.needed is outlook.chance is None and outlook.findable is not None


def test_a_scatter_in_the_wrong_unit_is_refused() -> None:
    """With the key to write instead."""
    with pytest.raises(ValueError, match="told in points; write scatter_points instead"):
        power_of_plan(guessed(scatter_percent=20.0))


def test_the_budget_is_that_of_the_pairs_planned() -> None:
    """Where runs drift, a long trial differs from a short one."""
    short, long = (power_of_plan(plan(pairs=pairs)).budget for pairs in (4, 40))
    assert short is not None and long is not None and long.sd_pair != short.sd_pair
    steady = [power_of_plan(careful(pairs)).budget for pairs in (4, 40)]
    assert steady[0] is not None and steady[1] is not None
    assert steady[0].sd_pair == pytest.approx(steady[1].sd_pair, rel=1e-3)  # gold left in the gear tells a little


def careful(pairs: int) -> Trial:
    """Careful runs, which do not drift."""
    return plan(pairs=pairs, guess=Guess(gold_mg_kg=90.0, sizes="fine", care="careful"))


def test_an_outlook_stands_still() -> None:
    """It is read, never changed."""
    with pytest.raises(dataclasses.FrozenInstanceError):
        power_of_plan(plan()).line = 1.0  # type: ignore[misc]
