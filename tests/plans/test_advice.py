"""What each sort of person is told before they dig: every refusal and warning on its text."""

import re
from collections.abc import Callable
from typing import Any

import pytest

from schemas import Change, Gear, Grains, Guess, Held, Lot, Scales, Sizes, Tails, Trial
from trials.plans.advice.advise import advise
from trials.plans.plan_power import power_of_plan
from trials.plans.planned_scatter import PlannedScatter, scatter_from_trial

ROUGHENED = Change(
    variable="texture", baseline="painted", changed=("180 grit",), reversible="no", twin="second insert, cut together"
)
MATS = Change(variable="mat", baseline="ribbed", changed=("looped",), reversible="minutes")


def tinkerer(**changes: Any) -> Trial:
    """A table bed roughened, 7.5 kg of spare tails, grains counted."""
    plan = {
        "name": "rough-bed",
        "measure": "grain_counts",
        "worth_having": 20.0,
        "pairs": 6,
        "lots": (Lot(name="winter-tails", kind="table tailings", mass_g=7_500.0, splitting="riffle splitter"),),
        "gear": Gear(kind="finishing table", width_mm=250.0),
        "change": ROUGHENED,
        "held": Held(charge_g=350.0),
        "guess": Guess(gold_mg_kg=24.0, sizes="fine"),
    }
    return Trial(**{**plan, **changes})


def sluice_owner(**changes: Any) -> Trial:
    """Two mats on one sluice, natural dirt, all tails re-treated."""
    plan = {
        "name": "two-mats",
        "measure": "recovery",
        "worth_having": 1.0,
        "pairs": 12,
        "spares": 1,
        "look_after": 6,
        "lots": (Lot(kind="natural", mass_g=420_000.0, splitting="cone and quarter"),),
        "gear": Gear(kind="sluice"),
        "change": MATS,
        "tails": Tails(caught="all", by="wheel"),
        "guess": Guess(gold_mg_kg=0.5, sizes="medium"),
        "held": Held(charge_g=15_000.0),
    }
    return Trial(**{**plan, **changes})


def said(trial: Trial, weight: str | None = None, earlier: PlannedScatter | None = None) -> list[str]:
    """What the plan is told, of one weight or all."""
    found = advise(power_of_plan(trial, earlier))
    return [f"{one.about}: {one.says}" for one in found if weight in (None, one.weight)]


def one_of(lines: list[str], *words: str) -> bool:
    """Whether one line holds all the words."""
    return any(all(word in line for word in words) for line in lines)


def test_a_change_that_cannot_be_undone_asks_for_proven_twins() -> None:
    """Sanding can't be undone: the twin carries it, and the two are proved alike first."""
    assert one_of(said(tinkerer(), "warn"), "twins: 180 grit can't be undone", "second insert", "4 pairs or more")
    proven = tinkerer(guess=Guess(gold_mg_kg=24.0, sizes="fine", scatter_from="twin-inserts"))
    assert not one_of(said(proven), "twins:")


def test_a_change_that_cannot_be_undone_without_a_twin_is_no_plan() -> None:
    """The words themselves refuse it, with the remedy."""
    with pytest.raises(ValueError, match="make two alike, change one, and name it"):
        Change(variable="texture", baseline="painted", changed=("180 grit",), reversible="no")


def test_a_pocket_scale_is_too_rough_for_milligrams() -> None:
    """0.01 g x 50 steps is 0.5 g (NIST Handbook 44, G-UR.1.1, recalled); these runs hold mg."""
    lines = said(tinkerer(measure="gold_mass", scales=Scales(gold_g=0.01)), "warn")
    assert one_of(
        lines, "scale: A 0.01 g scale needs 0.5 g of gold, 50 steps", "Count grains", "the check stops the trial"
    )
    assert one_of(said(tinkerer(measure="gold_mass"), "warn"), "A 0.01 g scale (assumed: name yours)")
    assert not one_of(said(tinkerer(scales=Scales(gold_g=0.01))), "scale:")


def test_sanding_is_told_to_be_done_wet() -> None:
    """The usual caution, with whose word comes first."""
    assert one_of(
        said(tinkerer(), "note"), "dust: Sand wet, not indoors", "Local rules and licensed practice come first"
    )


def test_more_runs_than_the_lot_holds_are_refused() -> None:
    """6 pairs of 1 kg need 12 kg; the lot has 4.7."""
    trial = tinkerer(held=Held(charge_g=1_000.0), lots=(Lot(name="winter-tails", kind="natural", mass_g=4_700.0),))
    assert one_of(said(trial, "refuse"), "dirt: 6 pairs of 1 kg a run need 12 kg; winter-tails has 4.7 kg.")
    spared = trial.model_copy(update={"spares": 1})
    assert one_of(said(spared, "refuse"), "6 pairs and 1 spare of 1 kg a run need 14 kg")


def test_a_tails_trial_cannot_do_without_its_unchanged_arm() -> None:
    """Any second pass finds gold."""
    trial = tinkerer(change=None, audit=True)
    assert one_of(
        said(trial, "refuse"), "unchanged arm: A re-run of tails needs an unchanged arm; it cannot be switched"
    )


def test_an_audit_counts_seeded_grains() -> None:
    """Nothing else says what was lost."""
    trial = sluice_owner(change=None, audit=True, measure="gold_mass", look_after=None)
    assert one_of(said(trial, "refuse"), "audit: An audit counts seeded grains", 'measure = "tracers"')


def test_pairs_needed_are_told_with_numbers() -> None:
    """6 pairs find 1.43 SDs 4 times in 5 (noncentral t, Cohen 1988); a line under that is told how many would suit."""
    earlier = scatter_from_trial("twin-inserts", sd=0.10, pairs=200)
    lines = said(tinkerer(worth_having=10.0), "warn", earlier)
    assert one_of(lines, "pairs: 6 pairs can usually find a change of about 16 %", "1.43 x the scatter of pairs")
    assert one_of(lines, "Your line is 10 %: 12 pairs would suit.", "times in 100")
    assert one_of(said(tinkerer(), "note", earlier), "Your line is 20 %: enough.")


def test_too_few_or_too_many_pairs_are_refused() -> None:
    """A plan holds 3 to 60."""
    assert one_of(
        said(tinkerer(pairs=2), "refuse"), "pairs: 2 pairs: one or two can't tell luck from change. Plan 3 to 60"
    )
    assert one_of(said(tinkerer(pairs=61), "refuse"), "pairs: 61 pairs: no one runs more. Plan 3 to 60.")


def test_under_six_pairs_the_flips_can_not_speak() -> None:
    """6 of 6 one way is 2 in 64 by luck (exact sign flips)."""
    lines = said(tinkerer(pairs=4), "note")
    assert one_of(lines, "With 4 pairs the exact check by the draw can't speak: it first can at 6", "1 time in 32")
    assert one_of(lines, "No spare: a void pair cannot be replaced.")


def test_no_line_is_told() -> None:
    """Without a line two of the four outcomes are one."""
    assert one_of(said(tinkerer(worth_having=None), "warn"), 'worth having: No line is set, so "no difference worth')


def test_a_gain_that_can_not_be_had_is_told() -> None:
    """Gear that keeps 80 % has at most a quarter more to give."""
    trial = sluice_owner(measure="gold_mass", worth_having=50.0, guess=Guess(gold_mg_kg=5.0, keeps_percent=80.0))
    assert one_of(said(trial, "warn"), "worth having: A gain of 50 % can't be had", "keeps 80 % has at most 25 % more")


def test_what_can_not_be_had_is_more_than_the_most(samedirt: Callable[..., Any]) -> None:
    """What a hurried hand leaves in the gear counts too: of 22 % that are lost, a trial would show under 20 %."""
    sets = ("lot.kind=natural", "lot.mass=400 kg", "gear.kind=sluice", "change.variable=mat", "change.baseline=ribbed")
    more = ("change.changed=looped", "guess.gold=9 mg/kg", "guess.sizes=fine", "guess.care=hurried", "guess.keeps=82 %")
    asked = [word for one in (*sets, *more) for word in ("--set", one)]
    out = samedirt("plan", "mat", "--measure", "gold_mass", "--worth-having", "20 %", "--pairs", "8", *asked).out
    said = " ".join(out.split())
    most = re.search(r"A gain of 20 % can't be had: gear that keeps 82 % has at most (\d+) % more to give", said)
    assert most and int(most[1]) < 20


def test_weight_alone_compares_feeds() -> None:
    """9 mg of medium gold a bucket is 39 % luck before any gear touched it."""
    lean = sluice_owner(
        measure="gold_mass",
        worth_having=20.0,
        guess=Guess(gold_mg_kg=0.6, sizes="medium"),
        tails=Tails(),
        lots=(Lot(kind="natural", mass_g=420_000.0, splitting="riffle splitter"),),
    )
    assert one_of(said(lean, "warn"), "feed luck: 9 mg of medium gold a run means 39 % feed luck", "recovery")


def test_a_shovel_deals_coarse_gold_unevenly() -> None:
    """With what pairs differ by, and what they would with a riffle splitter."""
    lot = Lot(kind="natural", mass_g=420_000.0, splitting="level scoops")
    trial = sluice_owner(
        measure="gold_mass", worth_having=20.0, lots=(lot,), guess=Guess(gold_mg_kg=6.0), tails=Tails()
    )
    lines = said(trial, "warn")
    assert one_of(lines, "splitting: Halving coarse gold by level scoops", "instead of", "Use a riffle splitter.")
    assert not one_of(said(sluice_owner(lots=(lot,))), "splitting:")


def test_a_loading_gear_gets_a_starter() -> None:
    """A clean bed traps more than a loaded one."""
    assert one_of(said(sluice_owner(), "note"), "starter: Feed a starter bucket first", "so that both start loaded")
    assert not one_of(said(tinkerer()), "starter:")


def test_recovery_without_tails() -> None:
    """It is only gold kept; none caught is refused by the words themselves."""
    assert one_of(said(sluice_owner(tails=Tails()), "warn"), "tails: Measure recovery needs all tails", "not recovery")
    with pytest.raises(ValueError, match="tub the tails, or measure"):
        sluice_owner(tails=Tails(caught="none"))


def test_the_early_look_is_told_with_its_price() -> None:
    """1 % then 4 %, fixed before; pairs added later would be labelled."""
    lines = said(sluice_owner(), "note")
    assert one_of(lines, "early look: One early look, after pair 6 and only then, at a 99 % bar", "96 %", "labelled so")


def test_units_are_ranked_as_set_that_day() -> None:
    """And not on gold from unsplit buckets."""
    units = Change(variable="other", baseline="unit A", changed=("unit B", "unit C"))
    lot = Lot(kind="made up", splitting="none")
    trial = sluice_owner(change=units, measure="gold_mass", worth_having=20.0, lots=(lot,), look_after=None)
    assert one_of(said(trial, "refuse"), "splitting: Ranking on total gold from unsplit buckets compares buckets")
    tracers = trial.model_copy(update={"measure": "tracers", "grains": Grains(seeded=100), "worth_having": 3.0})
    lines = said(tracers, "warn")
    assert one_of(lines, "levels: This ranks the units as set that day, not mats or makers.")
    assert not one_of(lines, "splitting:")


def test_unsplit_buckets_are_told_for_pairs_too() -> None:
    """Two buckets differ by as much as buckets do."""
    lot = Lot(kind="natural", mass_g=420_000.0, splitting="none")
    trial = sluice_owner(measure="gold_mass", worth_having=20.0, lots=(lot,), tails=Tails())
    assert one_of(said(trial, "warn"), "splitting: The dirt is not split", "measure recovery")


def test_textures_are_logged_and_no_level_between_is_claimed() -> None:
    """Grit is not depth; a best level at the end of the scale is still rising; one block is no ranking."""
    grits = Change(variable="texture", baseline="painted", changed=("320", "220", "120", "80"))
    trial = tinkerer(change=grits, measure="tracers", worth_having=3.0, pairs=5, held=Held(charge_g=300.0))
    assert one_of(said(trial, "warn"), "levels: Grit is not depth", "raking light")
    assert one_of(said(trial, "note"), "levels: A best value between tested levels", "add a level beyond it")
    single = trial.model_copy(update={"pairs": 1})
    assert one_of(said(single, "refuse"), "pairs: 1 block: one or two can't tell luck from change")


def test_tracers_are_told_their_luck_their_tub_and_their_stand_in() -> None:
    """25 grains at 90 % kept carry 6 points of luck (binomial)."""
    audit = sluice_owner(
        change=None,
        audit=True,
        measure="tracers",
        pairs=4,
        spares=0,
        look_after=None,
        grains=Grains(seeded=25, stuff="lead"),
        guess=Guess(keeps_percent=90.0),
    )
    assert one_of(said(audit, "note"), "tracers: 25 grains in one run carry 6 points of luck where 90 % are kept")
    assert one_of(said(audit, "note"), "Recount the tracer grains", "retire bent flakes")
    assert one_of(said(audit, "warn"), "stand-in: Lead is a stand-in", "every chart says so", "come first")
    open_stream = audit.model_copy(update={"tails": Tails(caught="none")})
    assert one_of(said(open_stream, "refuse"), "closed tub:", "nothing spiked goes to the creek")


def test_tracers_of_a_size_that_is_never_lost_tell_little() -> None:
    """Simulated on the assumed noise model, no source: a size the gear half-loses needs the fewest pairs."""
    trial = sluice_owner(measure="tracers", grains=Grains(seeded=100, size="20/30"), sizes={"series": "ASTM"})
    assert one_of(said(trial, "warn"), "tracers: Your gear keeps about 96 %", "50 to 80 % kept")


def test_runs_that_find_nothing_are_refused() -> None:
    """Over 20 % zeros stop a trial; better to know before digging."""
    trial = sluice_owner(
        measure="tails_gold", worth_having=20.0, guess=Guess(gold_mg_kg=0.05, sizes="coarse"), look_after=None
    )
    assert one_of(said(trial, "refuse"), "empty runs: About", "over 20 % stop a trial", "count tracers")


def test_pitch_on_a_table_moves_the_film() -> None:
    """Depth and speed of both arms, the laminar range, and the water that would hold the depth."""
    pitch = Change(variable="pitch", baseline="4 deg", changed=("5.5 deg",))
    trial = tinkerer(change=pitch, held=Held(charge_g=350.0, water_l_min=8.0, temp_c=20.0))
    lines = said(trial, "warn")
    assert one_of(
        lines, "film: Pitch moves the film too: 1.3 mm deep at 401 mm/s now", "Re 531", "would hold the depth"
    )
    assert one_of(lines, "Re is past 500, where this is only a guide")
    bare = tinkerer(change=pitch, gear=Gear(kind="finishing table"))
    assert one_of(
        said(bare, "warn"), "film: Pitch moves the film on a table; give the table's width and the water held"
    )
    words = tinkerer(change=Change(variable="water", baseline="low", changed=("high",)), held=Held(pitch_deg=4.0))
    assert one_of(said(words, "warn"), "film: Water moves the film on a table; write both values as 8 L/min")


def test_levels_that_can_not_be_undone_are_run_alike_first() -> None:
    """Five inserts: all of them unchanged once, before any is sanded."""
    grits = Change(
        variable="texture",
        baseline="painted",
        changed=("320", "80"),
        reversible="no",
        twin="three inserts cut together",
    )
    lines = said(tinkerer(change=grits, pairs=5), "warn")
    assert one_of(lines, "twins: 320 and 80 can't be undone", "three inserts cut together", "once unchanged first")


def test_the_first_of_a_ranking_is_not_the_best_while_its_lead_is_not_settled() -> None:
    """Units ranked on a club day: A and C not separated."""
    units = Change(variable="other", baseline="unit A", changed=("unit B", "unit C"))
    trial = sluice_owner(change=units, measure="tracers", worth_having=3.0, look_after=None, grains=Grains(seeded=100))
    assert one_of(said(trial, "note"), "levels: First is not best while its lead over the second is not settled")


def test_the_grains_of_an_audit_are_told_by_size() -> None:
    """25 of one size in a run carry 6 points at 90 % kept, all 100 carry 3 (binomial); 25 alone are not parted."""
    audit = sluice_owner(
        change=None, audit=True, measure="tracers", pairs=4, look_after=None, guess=Guess(keeps_percent=90.0)
    )
    whole = audit.model_copy(update={"grains": Grains(seeded=100)})
    assert one_of(said(whole, "note"), "100 grains in one run carry 3 points of luck and 25 of one size 6 where 90 %")
    sized = audit.model_copy(update={"grains": Grains(seeded=100, size="50/100"), "sizes": Sizes(series="ASTM")})
    assert not one_of(said(sized, "note"), "of one size")


def test_the_panner_does_not_know_how_many_there_are() -> None:
    """Whoever knows the number finds it."""
    trial = sluice_owner(measure="tracers", worth_having=3.0, grains=Grains(seeded=100))
    assert one_of(said(trial, "note"), "tracers: Recount", "The panner is not told how many there are.")


def test_large_pieces_are_pulled_and_booked_apart() -> None:
    """One nugget outweighs the test; told where grains are not fine, are weighed, and no limit is named."""
    assert one_of(
        said(sluice_owner(), "note"), "pickers: One large piece can outweigh a run", "over 2 mm", "both sides"
    )
    lots = (Lot(kind="natural", mass_g=420_000.0, splitting="cone and quarter", pickers_over_mm=2.0),)
    assert not one_of(said(sluice_owner(lots=lots)), "pickers:")
    assert not one_of(said(tinkerer()), "pickers:")


@pytest.mark.parametrize(
    ("measure", "typed", "most"),
    [("recovery", 30.0, "at most 20 points more to give"), ("tracers", 40.0, "at most 20 points more to give")],
)
def test_what_is_left_to_gain_is_told_in_the_unit_of_the_measure(measure: str, typed: float, most: str) -> None:
    """Gear that keeps 80 % has 20 points more to give, not 25 %; and no number of pairs is promised for it."""
    guess = Guess(gold_mg_kg=5.0, keeps_percent=80.0)
    trial = sluice_owner(measure=measure, worth_having=typed, guess=guess, grains=Grains(seeded=100))
    lines = said(trial)
    assert one_of(lines, f"worth having: A gain of {typed:.0f} points can't be had: gear that keeps 80 % has {most}")
    assert not one_of(lines, "would suit") and not one_of(lines, "enough.")


def test_a_number_of_pairs_no_plan_holds_is_told() -> None:
    """With how many it would be; a hand that improves from run to run eats no gain up, however long the trial."""
    rich = Guess(gold_mg_kg=60.0, sizes="medium")
    small = said(sluice_owner(worth_having=0.2, guess=rich, scales=Scales(gold_g=0.001)), "warn")
    assert one_of(small, "pairs: 12 pairs can usually find", "pairs would suit, and a plan holds 60", "times in 100")
    drifting = sluice_owner(
        worth_having=3.0,
        look_after=None,
        guess=Guess(gold_mg_kg=60.0, sizes="medium", care="hurried"),
        lots=(Lot(kind="natural", mass_g=4e6, splitting="riffle splitter"),),
    )
    assert one_of(said(drifting, "warn"), "Your line is 3 points: 43 pairs would suit.")


def test_refusals_come_first() -> None:
    """What stops a plan is read before what only warns."""
    weights = [one.weight for one in advise(power_of_plan(tinkerer(pairs=2, measure="gold_mass")))]
    assert weights == sorted(weights, key=["refuse", "warn", "note"].index)
    assert weights[0] == "refuse"
