"""Ways of measuring, held against rehearsals of the very trials they ask for, and against an independent study."""

import dataclasses
import functools
import itertools
import time
from collections.abc import Callable

import numpy as np
import pytest

from schemas import MeasureName
from trials.noise.situation import Situation
from trials.plans.brief import DesignBrief
from trials.plans.design import MOST_COUNTED, Design, design_words
from trials.plans.designs import CHARGES, Comparison, cheapest_design, compare_designs, telling_sizes
from trials.plans.effect_size import budget_at
from trials.plans.power import effect_in_blocks
from trials.rehearsal.rehearsal import rehearse
from trials.simulation.dirt import Dirt, SizeSet
from trials.simulation.gear import SimulatedGear, TrueEffect
from trials.simulation.noise_model import LOW, POOR, TYPICAL, Noise
from trials.simulation.tracers import SeededTracers
from trials.statistics.blocks_needed import block_power

NO_TRACERS = SeededTracers(fed=0)
SECOND_PASS = SimulatedGear(recovery=(0.9, 0.9, 0.85, 0.8, 0.7, 0.6, 0.5, 0.35, 0.2, 0.1))


def situation(gold_mg: float, sizes: SizeSet, noise: Noise = TYPICAL, **more: object) -> Situation:
    """Ten kilograms of dirt a run, unless said otherwise."""
    dirt = {key: more.pop(key) for key in ("fed_g", "split_vmr") if key in more}
    return Situation(Dirt(gold_mg, sizes, **{"fed_g": 10_000.0, **dirt}), noise, tracers=NO_TRACERS, **more)  # type: ignore[arg-type]


def on_a_pocket_scale(noise: Noise) -> Noise:
    """The same habits, weighing to 0.01 g."""
    return dataclasses.replace(noise, scale_division_g=0.01, scale_sd_g=0.01)


def ask(where: Situation, shift: float, **more: object) -> DesignBrief:
    """Dirt and hours without end, unless said otherwise."""
    change = TrueEffect(shift_logit=shift)
    return DesignBrief(where, change, **{"lot_g": 1e8, "run_minutes": 20.0, "cleanup_minutes": 10.0, **more})  # type: ignore[arg-type]


# Each situation with the change on trial and the measures that can answer there.
SITUATIONS: dict[str, tuple[Situation, float, set[str]]] = {
    "rich fine gold": (situation(900, "fine"), 0.45, {"recovery", "gold_mass", "tails_gold", "tracers"}),
    "fine gold": (situation(90, "fine"), 0.45, {"recovery", "gold_mass", "tails_gold", "tracers"}),
    "medium gold": (situation(90, "medium"), 0.45, {"recovery", "tails_gold", "tracers"}),
    "medium gold, careful": (situation(90, "medium", LOW), 0.45, {"recovery", "gold_mass", "tails_gold", "tracers"}),
    "coarse gold": (situation(90, "coarse"), 0.45, {"recovery", "tails_gold", "grain_counts", "tracers"}),
    "lean bucket": (situation(9, "medium", fed_g=30_000.0), 0.45, {"recovery", "grain_counts", "tracers"}),
    "hurried": (situation(900, "medium", POOR), 0.9, {"recovery", "gold_mass", "tails_gold", "tracers"}),
    "spare tails": (
        situation(8.4, "fine", on_a_pocket_scale(TYPICAL), gear=SECOND_PASS, fed_g=350.0),
        0.5,
        {"grain_counts", "tracers"},
    ),
    "scoops": (situation(900, "fine", split_vmr=4.0), 0.6, {"recovery", "gold_mass", "tails_gold", "tracers"}),
    "concentrate": (
        situation(5_000, "medium", on_a_pocket_scale(TYPICAL), fed_g=500.0),
        0.6,
        {"recovery", "gold_mass", "tails_gold", "tracers"},
    ),
    "small gain, careful": (situation(300, "fine", LOW), 0.3, {"recovery", "gold_mass", "tails_gold", "tracers"}),
    "a loss": (situation(900, "fine"), -0.6, {"recovery", "gold_mass", "tails_gold", "tracers"}),
    "half the tails' gold found": (
        situation(900, "fine", dataclasses.replace(TYPICAL, tails_found=0.6)),
        0.6,
        {"recovery", "gold_mass", "tails_gold", "tracers"},
    ),
}


@functools.cache
def compared(name: str) -> Comparison:
    """All designs of a situation."""
    where, shift, _ = SITUATIONS[name]
    return compare_designs(ask(where, shift))


FORETOLD_LOW = {"half the tails' gold found": 3.0}
"""Points by which a chance is foretold too low: there, at full size, 7 pairs find 82.4 in 100 where 8 were told."""


@pytest.mark.parametrize("name", SITUATIONS)
def test_the_pairs_of_a_way_find_the_change_four_times_in_five(name: str, sized: Callable[[int], int]) -> None:
    """Rehearsed as told: 80 % within 8, or within 12 where masses stand on few steps of the scale.

    More than that only where one pair fewer would find less than 4 in 5: pairs are whole. Rehearsals go through the
    engine of the verdict, so that what its checks would stop counts as not found.
    """
    answering = SITUATIONS[name][2]
    best = [way for way in compared(name).best if way.answers]
    assert {way.measure for way in best} == answering
    for way in best:
        assert way.pairs is not None
        slack = 12.0 if way.measure in ("gold_mass", "tails_gold") and (way.steps or 99.0) < 50.0 else 8.0
        found, luck = found_percent(way, way.pairs, sized(20_000))
        assert found >= 80.0 - slack - luck, f"{design_words(way)}: {way.pairs} pairs"
        if found > 80.0 + slack + luck:
            fewer, luck = found_percent(way, way.pairs - 1, sized(20_000))
            assert fewer < 80.0 + FORETOLD_LOW.get(name, 0.0) + luck, (
                f"{design_words(way)}: {way.pairs} pairs find {found}"
            )


def found_percent(way: Design, pairs: int, times: int) -> tuple[float, float]:
    """How often a rehearsal finds the change, and three standard errors of it, %."""
    tried = rehearse(
        way.measure, pairs=pairs, situation=way.situation, line=None, change=way.brief.change, times=times, seed=41
    )
    share = tried.share("better" if way.difference > 0 else "worse")
    return 100.0 * share, 300.0 * tried.standard_error(share)


@pytest.mark.parametrize("name", SITUATIONS)
def test_the_cheapest_takes_the_fewest_hours_of_all_that_answer(name: str) -> None:
    """The least time, then the least dirt; it stands first, and what can't answer stands last."""
    comparison = compared(name)
    answering = [way for way in comparison.designs if way.answers]
    assert comparison.cheapest is not None and comparison.best[0] == comparison.cheapest
    where, shift, _ = SITUATIONS[name]
    assert cheapest_design(ask(where, shift)) == comparison.cheapest
    for way in answering:
        assert way.pairs is not None and not way.hindrances
        assert way.minutes == pytest.approx(2 * way.pairs * way.minutes_a_run)
        assert (comparison.cheapest.minutes, comparison.cheapest.dirt_g) <= (way.minutes, way.dirt_g)
    told = [way.answers for way in comparison.best]
    assert told == sorted(told, reverse=True)


# An earlier, separate simulation (own simulation, not published): grains of five lots fed, lost and weighed one by one;
# es = gain / SD of two unchanged arms, +0.45 logit, typical noise, one run of the charge. Its count holds
# every grain kept down to 53 um; its 100 tracers are of a size kept to 90 %. Where half the runs find no gold in the
# tails its es is of a biased mean, and is left out.
STUDY = [
    ("fine", 900, {"recovery": 0.91, "gold_mass": 0.88, "tails_gold": 1.05, "grain_counts": 0.94, "tracers": 0.61}),
    ("fine", 90, {"recovery": 0.70, "gold_mass": 0.56, "tails_gold": 0.65, "grain_counts": 0.94, "tracers": 0.61}),
    ("medium", 90, {"recovery": 0.39, "gold_mass": 0.12, "tails_gold": 0.34, "grain_counts": 0.92, "tracers": 0.61}),
    ("coarse", 90, {"recovery": 0.22, "gold_mass": 0.05, "tails_gold": 0.23, "grain_counts": 0.86, "tracers": 0.62}),
    ("medium", 9, {"recovery": 0.05, "gold_mass": 0.03, "grain_counts": 0.72, "tracers": 0.61}),
]


@pytest.mark.parametrize(("sizes", "gold_mg", "study"), STUDY, ids=lambda value: str(value)[:6])
def test_measures_stand_as_in_a_separate_simulation(sizes: SizeSet, gold_mg: float, study: dict[str, float]) -> None:
    """The es of each measure within 0.05 and a fifth, and the measures in the same order.

    A fifth is what the models differ by: ours weighs with rounding, and where a scale step is a large part of a mass
    the SD there is that of a simulation, with long tails, and ours is foretold.
    """
    where = dataclasses.replace(situation(gold_mg, sizes), tracers=SeededTracers(100, (5,)))
    asked = ask(where, 0.45)
    ours = {
        measure: way.difference / way.budget.sd_pair
        for measure in study
        for way in [Design(asked, measure, tracers=SeededTracers(100, (5,)))]  # type: ignore[arg-type]
    }
    for measure, es in study.items():
        assert ours[measure] == pytest.approx(es, abs=0.05 + 0.2 * es), measure
    for one, other in itertools.permutations(study, 2):
        if study[one] > 1.25 * study[other]:
            assert ours[one] > ours[other], (one, other)


def test_a_lean_bucket_can_only_be_counted() -> None:
    """9 mg a bucket: no weighing answers with fewer than 8 buckets a run; its own grains, or tracers, do.

    Eight of them hold 72 mg; with 90 mg a separate simulation (own, not published) needs 54 pairs of recovery.
    """
    comparison = compare_designs(ask(situation(9, "medium", fed_g=30_000.0), 0.45))
    answering = {(way.measure, way.charges) for way in comparison.designs if way.answers}
    assert {measure for measure, charges in answering if charges < 8.0} == {"grain_counts", "tracers"}
    (weighed,) = (way for way in comparison.designs if way.answers and way.measure == "recovery")
    assert weighed.pairs is not None and weighed.pairs >= 45


def usual_way(**changes: object) -> Design:
    """Recovery of rich fine gold, which answers."""
    return Design(dataclasses.replace(ask(situation(900, "fine"), 0.45), **changes), "recovery")  # type: ignore[arg-type]


def test_a_way_that_answers_has_no_hindrance() -> None:
    """Neither with just enough dirt and time."""
    way = usual_way()
    assert way.answers and way.hindrances == ()
    exactly = usual_way(lot_g=way.dirt_g, time_minutes=way.minutes)
    assert exactly.answers


def test_every_hindrance_says_what_there_is_and_what_is_the_limit() -> None:
    """Value and limit, each in a few words."""
    way = usual_way()
    assert way.pairs == 10 and way.dirt_g == 200_000.0 and way.minutes == 1_000.0
    assert usual_way(lot_g=120_000.0).hindrances == ("200 kg of dirt (there are 120 kg)",)
    assert usual_way(time_minutes=720.0).hindrances == ("17 h (there are 12)",)
    tiny = usual_way(change=TrueEffect(shift_logit=0.05))
    assert tiny.hindrances == (f"{tiny.pairs_unlimited:,} pairs (60 is the most)",)
    stopped = Design(ask(situation(90, "medium"), 0.45), "tails_gold")
    assert stopped.pairs is stopped.pairs_unlimited is None and "steps of the scale" in " ".join(stopped.hindrances)
    assert usual_way(change=TrueEffect()).hindrances == ("over a million pairs (60 is the most)",)
    tracers = Design(ask(situation(900, "fine"), 0.45, tracers=40), "tracers", tracers=SeededTracers(100, (8,)))
    assert tracers.hindrances == ("100 tracer grains a run (there are 40)",)
    counted = Design(ask(situation(900, "fine"), 0.45), "grain_counts")
    grains = counted.budget.expected
    assert grains > MOST_COUNTED and counted.hindrances == (
        f"{round(grains, -2):,.0f} grains a run, too many to count",
    )


def test_a_scale_too_coarse_and_runs_that_find_none_are_told() -> None:
    """Under 10 steps in the middle run, and over 20 % of the runs at 0, the checks of the verdict stop a trial."""
    lean = Design(ask(situation(9, "medium", fed_g=30_000.0), 0.45), "tails_gold")
    scale, zeros = lean.hindrances[-2:]
    assert scale.endswith("steps of the scale in the middle run (10 is the least)")
    assert zeros.startswith("up to ") and zeros.endswith(" % of the runs find none (20 % is the most)")
    assert lean.budget.zero_share == pytest.approx(
        0.48, abs=0.05
    )  # 48 % in a separate simulation of 9 mg lots (own, not published)


@pytest.mark.parametrize(("steps", "blocked"), [(True, 0.06), (False, None)])
def test_a_way_that_answers_is_seldom_stopped_by_its_scale(
    steps: bool, blocked: float | None, sized: Callable[..., int]
) -> None:
    """What is offered with few steps is stopped in 1 trial of 20 at most, give or take; what is not, far more often."""
    for name in ("fine gold", "medium gold", "concentrate", "medium gold, careful"):
        for way in compared(name).designs:
            if way.measure != "tails_gold" or way.pairs is None or way.answers != steps or way.charge_g > 20_000:
                continue
            tried = rehearse(
                "tails_gold",
                pairs=way.pairs,
                situation=way.situation,
                line=None,
                change=way.brief.change,
                times=sized(600, 100),
                seed=42,
            )
            if blocked is not None:
                assert tried.share("blocked") <= blocked + 3 * tried.standard_error(0.05), (name, way.charge_g)
            elif way.steps is not None and way.steps < 7:
                assert tried.share("blocked") > 0.3, (name, way.charge_g)


def test_what_can_not_be_run_is_no_way() -> None:
    """No tails: neither recovery nor tails, nor tracers, which stay in a tub; no split: no like halves; no gold: none."""
    rich = situation(900, "fine")
    assert {way.measure for way in compare_designs(ask(rich, 0.45, tails_kept=False)).designs} == {
        "gold_mass",
        "grain_counts",
    }
    unsplit = compare_designs(ask(rich, 0.45, is_split=False, tracers=0)).designs
    assert {way.measure for way in unsplit} == {"recovery", "tails_gold"}
    barren = compare_designs(ask(situation(0.0, "fine"), 0.45)).designs
    assert {way.measure for way in barren} == {"tracers"}
    assert compare_designs(ask(situation(0.0, "fine"), 0.45, tracers=0)).designs == ()
    assert 37 in {way.tracers_a_run for way in compare_designs(ask(rich, 0.45, tracers=37)).designs}


def test_charges_are_looked_at_as_far_as_the_dirt_goes() -> None:
    """Three pairs of a charge have to be there; half a charge is always looked at."""
    little = compare_designs(ask(situation(90, "fine"), 0.45, lot_g=130_000.0, tracers=0)).designs
    assert sorted({way.charge_g for way in little}) == [5_000.0, 10_000.0, 20_000.0]
    assert {way.charge_g for way in compare_designs(ask(situation(90, "fine"), 0.45, tracers=0)).designs} == {
        times * 10_000.0 for times in CHARGES
    }


def test_a_graded_trial_runs_every_level_in_a_block() -> None:
    """Five arms: five runs a block of dirt and hours, and blocks enough for limits that are joint for four levels."""
    pair = Design(ask(situation(900, "fine"), 0.45), "recovery")
    block = Design(ask(situation(900, "fine"), 0.45, arms=5), "recovery")
    assert block.pairs is not None and pair.pairs is not None and block.pairs > pair.pairs
    effect = effect_in_blocks("recovery", block.situation, block.brief.change)
    assert block_power(effect, 5, block.pairs) >= 0.8 > block_power(effect, 5, block.pairs - 1)
    assert (block.dirt_g, block.minutes) == (
        5 * block.pairs * block.charge_g,
        pytest.approx(5 * block.pairs * block.minutes_a_run),
    )


def test_tracers_are_of_sizes_that_tell() -> None:
    """The four sizes kept nearest to 65 %: a size the gear half-loses needs the fewest pairs (own simulation of tracers, not published: 50 to 80 %)."""
    assert set(telling_sizes(situation(90, "fine", gear=SECOND_PASS))) == {3, 4, 5, 6}
    asked = ask(situation(90, "fine"), 0.45)
    needed = {size: Design(asked, "tracers", tracers=SeededTracers(100, (size,))).pairs or 99 for size in (3, 5, 7)}
    assert needed[7] < needed[5] < needed[3]


def test_ways_are_compared_in_a_blink() -> None:
    """Half a second of work is meant; the bar is generous, for a machine with other things to do."""
    budget_at.cache_clear()
    begun = time.process_time()
    compare_designs(ask(situation(90, "coarse", POOR), 0.45))
    assert time.process_time() - begun < 3.0


def test_a_way_says_itself_in_words() -> None:
    """As the table and the levers do."""
    names: tuple[MeasureName, ...] = ("recovery", "gold_mass", "tails_gold", "grain_counts")
    said = [design_words(Design(ask(situation(90, "fine"), 0.45), name)) for name in names]
    assert said == [
        "gold kept and gold in the tails, both weighed",
        "gold kept, weighed",
        "gold in the tails, weighed",
        "gold grains kept, counted",
    ]
    assert np.isfinite([way.shortfall for way in compare_designs(ask(situation(90, "fine"), 0.45)).best]).all()
