"""When nothing answers: each thing that is suggested, and only that, makes something answer."""

import dataclasses
import functools
import time
from typing import Any

import pytest

from schemas import Gear, Guess, Held, Lot, Scales, Trial
from trials.noise.situation import HABITS
from trials.plans.brief import DesignBrief, TypedLine, brief_for, change_reaching
from trials.plans.designs import compare_designs
from trials.plans.effect_size import budget_at, effect_size
from trials.plans.what_if import WhatIf, what_ifs
from trials.simulation.gear import recovery_logits

SLUICE = Lot(kind="natural", mass_g=420_000.0, splitting="cone and quarter")


def plan(lot: Lot = SLUICE, charge_g: float = 15_000.0, division_g: float = 0.001, **guess: Any) -> Trial:
    """Two mats on a sluice, 0.6 mg/kg of medium gold, unless said otherwise."""
    usual: dict[str, Any] = {"gold_mg_kg": 0.6, "sizes": "medium", "run_minutes": 40.0, "cleanup_minutes": 15.0}
    return Trial(
        name="t",
        measure="recovery",
        pairs=6,
        lots=(lot,),
        gear=Gear(kind="sluice"),
        held=Held(charge_g=charge_g),
        scales=Scales(gold_g=division_g),
        guess=Guess(**{**usual, **guess}),
    )


def lot(splitting: str, mass_g: float = 420_000.0) -> Lot:
    """A lot split so."""
    return Lot(kind="natural", mass_g=mass_g, splitting=splitting)  # type: ignore[arg-type]


POINTS, GOLD = "recovery", "gold_mass"
# Nothing answers in any of these: the plan, the line, what is in hand, and what would do.
SHORT: dict[str, tuple[Trial, TypedLine, dict[str, Any], set[str]]] = {
    "one point": (plan(), TypedLine(POINTS, 1.0), {}, {"larger line"}),
    "coarse and lean": (
        plan(gold_mg_kg=0.3, sizes="coarse", time_minutes=600.0),
        TypedLine(GOLD, 3.0),
        {},
        {"more dirt and time"},
    ),
    "no tails": (
        plan(sizes="fine", time_minutes=1_500.0),
        TypedLine(GOLD, 6.0),
        {"tails_kept": False},
        {"steadier runs", "larger line", "more time"},
    ),
    "not split": (plan(lot("none")), TypedLine(POINTS, 3.0), {}, {"tracers", "better split"}),
    "hurried": (
        plan(gold_mg_kg=20.0, sizes="fine", care="hurried", run_minutes=20.0),
        TypedLine(POINTS, 3.0),
        {},
        {"steadier runs", "larger line"},
    ),
    "pocket scale": (
        plan(division_g=0.01, gold_mg_kg=20.0, sizes="fine", run_minutes=20.0, time_minutes=1_200.0),
        TypedLine(POINTS, 4.0),
        {},
        {"finer scale", "richer dirt", "more dirt and time", "larger line"},
    ),
    "scoops": (
        plan(lot("level scoops"), gold_mg_kg=20.0, sizes="coarse", run_minutes=20.0),
        TypedLine(GOLD, 3.0),
        {"tails_kept": False},
        {"tails kept"},
    ),
    "spare tails": (
        plan(
            Lot(kind="table tailings", mass_g=7_500.0, splitting="riffle splitter"),
            charge_g=350.0,
            division_g=0.01,
            gold_mg_kg=2.0,
            sizes="fine",
            run_minutes=10.0,
            cleanup_minutes=10.0,
            time_minutes=480.0,
        ),
        TypedLine(GOLD, 13.0),
        {},
        {"tracers", "more time", "larger line"},
    ),
    "tracers, too few hours": (
        plan(gold_mg_kg=0.3, sizes="coarse", time_minutes=720.0, run_minutes=20.0),
        TypedLine(POINTS, 2.8),
        {"tracers": 40},
        {"steadier runs", "more time"},
    ),
    "next to nothing": (
        plan(gold_mg_kg=0.05, sizes="coarse", care="hurried", time_minutes=300.0),
        TypedLine(POINTS, 0.2),
        {},
        set(),
    ),
}


SECONDS: dict[str, float] = {}


@functools.cache
def found(name: str) -> tuple[DesignBrief, TypedLine, tuple[WhatIf, ...]]:
    """What was in hand, the line, and the levers, found with nothing of it reckoned before."""
    trial, line, in_hand, _ = SHORT[name]
    asked = brief_for(trial, line, **{"tracers": 0, **in_hand})
    assert asked is not None
    for kept in (budget_at, effect_size, recovery_logits):
        kept.cache_clear()
    begun = time.process_time()
    comparison = compare_designs(asked)
    assert comparison.cheapest is None
    levers = what_ifs(asked, comparison, line)
    SECONDS[name] = time.process_time() - begun
    return asked, line, levers


@pytest.mark.parametrize("name", SHORT)
def test_each_lever_alone_makes_something_answer(name: str) -> None:
    """Computed anew with just that one thing changed, its way is the cheapest that answers, and it is said in words."""
    asked, _, levers = found(name)
    assert SHORT[name][3] <= {lever.name for lever in levers}
    assert [lever.design.minutes for lever in levers] == sorted(lever.design.minutes or 0.0 for lever in levers)
    for lever in levers:
        assert compare_designs(lever.brief).cheapest == lever.design and lever.design.answers
        assert one_thing_changed(asked, lever.brief, lever.name), lever.name
        assert f"{lever.design.pairs} pairs of" in lever.says and lever.says.endswith(" h.")
    assert not in_hand(asked) & {lever.name for lever in levers}, "what is in hand is not suggested"


def in_hand(asked: DesignBrief) -> set[str]:
    """What need not be suggested: caught tails, a riffle splitter, steady habits."""
    held = {
        "tails kept": asked.tails_kept,
        "better split": asked.is_split and asked.situation.dirt.split_vmr == 1.0,
        "steadier runs": asked.situation.noise.process_sd_points == HABITS["careful"].process_sd_points,
    }
    return {name for name, is_held in held.items() if is_held}


def one_thing_changed(before: DesignBrief, after: DesignBrief, name: str) -> bool:
    """Whether a lever moved its own thing and nothing else. Richer dirt is to do without tracers."""
    own: dict[str, set[str]] = {
        "tracers": {"tracers"},
        "tails kept": {"tails_kept"},
        "larger line": {"change"},
        "more dirt": {"lot_g", "time_minutes"},
        "more time": {"lot_g", "time_minutes"},
        "more dirt and time": {"lot_g", "time_minutes"},
        "better split": {"is_split", "dirt.split_vmr"},
        "richer dirt": {"dirt.gold_mg", "tracers"},
        "finer scale": {"noise.scale_division_g", "noise.scale_sd_g"},
    }
    changed = {name for name, value in flat(after).items() if value != flat(before)[name]}
    if name == "steadier runs":
        of_scale = {"noise.scale_division_g", "noise.scale_sd_g", "noise.tails_found"}
        return bool(changed) and all(one.startswith("noise.") for one in changed) and not changed & of_scale
    return bool(changed) and changed <= own[name]


def flat(asked: DesignBrief) -> dict[str, Any]:
    """All fields of what is asked, those of the situation under their own names."""
    fields = {one.name: getattr(asked, one.name) for one in dataclasses.fields(asked) if one.name != "situation"}
    for part in ("dirt", "noise", "gear", "tracers"):
        inner = getattr(asked.situation, part)
        fields |= {f"{part}.{one.name}": getattr(inner, one.name) for one in dataclasses.fields(inner)}
    return fields


def test_a_careful_bench_is_not_told_to_be_careful() -> None:
    """Nor one on the finest scale to buy a finer one, nor one with tracers enough to seed tracers."""
    trial = plan(lot("riffle splitter"), division_g=0.0001, care="careful", gold_mg_kg=0.3, sizes="coarse")
    line = TypedLine(POINTS, 0.3)
    asked = brief_for(trial, line, tracers=400)
    assert asked is not None
    comparison = compare_designs(asked)
    assert comparison.cheapest is None
    names = {lever.name for lever in what_ifs(asked, comparison, line)}
    assert names <= {"larger line", "richer dirt", "more dirt and time", "more dirt"}


def test_there_are_no_levers_where_something_answers() -> None:
    """Nothing has to change."""
    line = TypedLine(POINTS, 4.0)
    asked = brief_for(plan(gold_mg_kg=60.0, sizes="fine"), line)
    assert asked is not None
    assert what_ifs(asked, compare_designs(asked), line) == ()


def test_a_larger_line_is_one_that_can_be_typed() -> None:
    """What is printed is enough: typed as it is said, something answers; a tenth less, and nothing does."""
    trial, line, _, _ = SHORT["one point"]
    _, _, levers = found("one point")
    (lever,) = [one for one in levers if one.name == "larger line"]
    said = float(lever.says.removeprefix("Take ").split(" points")[0])
    for typed, answers in ((said, True), (0.9 * said, False)):
        asked = brief_for(trial, dataclasses.replace(line, typed=typed), tracers=0)
        assert asked is not None
        assert (compare_designs(asked).cheapest is not None) == answers


@pytest.mark.parametrize("name", ["hurried", "pocket scale"])
def test_levers_are_found_while_one_waits(name: str) -> None:
    """Two seconds of work are meant; the bar is generous, for a machine with other things to do."""
    found(name)
    assert SECONDS[name] < 12.0


def test_dirt_that_no_run_can_hold_is_not_suggested() -> None:
    """40 mg/kg of fine gold in 15 kg a run: 64 times as rich would be over 100 g of gold a run, and is not asked for."""
    trial = plan(gold_mg_kg=40.0, sizes="fine", care="hurried")
    line = TypedLine(POINTS, 0.3)
    brief = brief_for(trial, line, tails_kept=True, tracers=0)
    assert brief is not None
    comparison = compare_designs(brief)
    assert comparison.cheapest is None
    assert "richer dirt" not in {one.name for one in what_ifs(brief, comparison, line)}


def test_all_gold_lost_is_not_suggested_as_a_line() -> None:
    """16 times 20 % would be over 100 % less gold lost, which nothing brings."""
    line = TypedLine("tails_gold", 20.0)
    brief = brief_for(plan(gold_mg_kg=0.1, sizes="coarse", care="hurried"), line, tails_kept=True, tracers=0)
    assert brief is not None
    larger = [one for one in what_ifs(brief, compare_designs(brief), line) if one.name == "larger line"]
    assert all("100 %" not in one.says for one in larger)
    assert change_reaching(TypedLine("tails_gold", 320.0), brief.situation) is None
    assert change_reaching(TypedLine("tails_gold", 100.0), brief.situation) is None
