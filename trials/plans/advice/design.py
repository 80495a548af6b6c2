"""Is it the right sort of trial: an unchanged arm, twins where needed, levels, tracers, tails, one early look?"""

import math
from collections.abc import Iterator

from trials.fairness.thresholds import FEW_GRAINS
from trials.noise.kinds import COUNTING
from trials.plans.advice.told import Advice
from trials.plans.film_advice import film_advice
from trials.plans.level_runs import runs_of_line
from trials.plans.plan_power import PlanPower
from trials.wording.lists import and_list
from trials.wording.numbers import figures
from trials.wording.steps import step

LOADS_UP = ("sluice", "cleanup sluice", "rocker")
EASY_SIZE = 0.9
COUNTING_WORTH_TELLING = 0.2
"""Share of the noise; our default."""
MOST_SET_UPS = 5  # past it blocks grow long; common practice, no source
SIZES_OF_AN_AUDIT = 4
"""Grains of no one size are taken to be four sizes alike, as is usual (Clarkson 1990, recalled)."""


def _audit(power: PlanPower) -> Iterator[Advice]:
    trial = power.trial
    if trial.kind != "audit":
        return
    if trial.feeds_tails and not power.measure.is_seeded:
        yield Advice(
            "refuse",
            "unchanged arm",
            "A re-run of tails needs an unchanged arm; it cannot be switched off. Any second pass finds gold: plan "
            "baseline and changed, or seed counted grains.",
        )
    elif not power.measure.is_seeded:
        yield Advice(
            "refuse",
            "audit",
            f"An audit counts seeded grains out again; measure {trial.measure} can't say what was lost. "
            'Write measure = "tracers".',
        )


def _open_stream(power: PlanPower) -> Iterator[Advice]:
    trial = power.trial
    if not power.measure.is_seeded:
        return
    if trial.tails.caught == "none":
        says = "Tracer grains and no tails caught: nothing spiked goes to the creek. Run into a closed tub."
        yield Advice("refuse", "closed tub", says)
    if trial.grains.stuff == "lead":
        says = (
            "Lead is a stand-in: less dense and rounder than gold, and every chart says so. Count shot in and out, "
            "closed tub only, gloves. Local rules and licensed practice come first."
        )
        yield Advice("warn", "stand-in", says)
    says = (
        "Recount the tracer grains before each run, and retire bent flakes: they flatten and catch differently. The "
        "panner is not told how many there are."
    )
    yield Advice("note", "tracers", says)


def _twins(power: PlanPower) -> Iterator[Advice]:
    change = power.trial.change
    if change is None or change.reversible != "no" or power.trial.guess.scatter_from is not None:
        return
    if power.trial.kind == "graded":
        says = (
            f"{and_list(change.changed)} can't be undone, so each goes on a piece of its own ({change.twin}). Run all "
            "of them once unchanged first, and look that they are alike, on the same dirt."
        )
    else:
        says = (
            f"{change.changed[0]} can't be undone, so it goes on the twin ({change.twin}). Prove the twins first, with "
            "nothing changed on either: a check of 4 pairs or more, on the same dirt."
        )
    yield Advice("warn", "twins", says)


def _graded(power: PlanPower) -> Iterator[Advice]:
    trial = power.trial
    if trial.kind != "graded" or trial.change is None:
        return
    if runs := runs_of_line(power):
        yield Advice("note", "levels", f"{runs}.")
    if trial.look_after is not None:
        yield Advice("warn", "levels", "A graded trial has no early look: it is judged at its end, at 95 %.")
    if len(trial.arms) > MOST_SET_UPS:
        says = f"{len(trial.arms)} set-ups make long blocks, in which the day drifts; {MOST_SET_UPS} are plenty."
        yield Advice("warn", "levels", says)
    if trial.change.variable == "texture":
        says = "Grit is not depth: log the depth of each texture, or a photo in raking light."
        yield Advice("warn", "levels", says)
    if trial.change.variable == "other":
        says = (
            "This ranks the units as set that day, not mats or makers. Let feeders change places from block to block."
        )
        yield Advice("warn", "levels", says)
        says = (
            "First is not best while its lead over the second is not settled: then the two are not separated, and more "
            "blocks would have to tell."
        )
        yield Advice("note", "levels", says)
        return
    says = (
        "A best value between tested levels is not shown by any trial, and a best one at the end of the scale is still "
        "rising: add a level beyond it."
    )
    yield Advice("note", "levels", says)


def _tracer_size(power: PlanPower) -> Iterator[Advice]:
    trial, tracers = power.trial, power.situation.tracers
    if not power.measure.is_seeded or tracers.fed == 0:
        return
    kept = power.situation.gear.recovery[tracers.size_classes[0]]
    luck = 100.0 * math.sqrt(kept * (1.0 - kept) / tracers.fed_in_all)
    parts = [f"{tracers.fed_in_all} grains in one run carry {figures(luck, 2)} points of luck"]
    if trial.grains.size is None and tracers.fed_in_all >= SIZES_OF_AN_AUDIT * FEW_GRAINS:
        parts.append(
            f"{tracers.fed_in_all // SIZES_OF_AN_AUDIT} of one size {figures(luck * SIZES_OF_AN_AUDIT**0.5, 2)}"
        )
    says = f"{and_list(parts)} where {100 * kept:.0f} % are kept; care can't beat it."
    yield Advice("note", "tracers", says)
    if kept > EASY_SIZE and trial.kind != "audit":
        says = (
            f"Your gear keeps about {100 * kept:.0f} % of grains of that size, so there is little to gain with them. A "
            "size it half-loses (50 to 80 % kept) tells more."
        )
        yield Advice("warn", "tracers", says)


def _counting(power: PlanPower) -> Iterator[Advice]:
    """What counting is off by, where that is much of the noise, and what would tell it better or make it less."""
    budget, guess = power.budget, power.trial.guess
    if budget is None or budget.share(COUNTING) < COUNTING_WORTH_TELLING:
        return
    noise, sizes = power.situation.noise, power.situation.tracers.size_classes
    of_count = sum(source.variance for source in budget.sources if source.name == COUNTING) ** 0.5
    cv = noise.counting_cv[sizes[0]] if power.measure.is_seeded else of_count
    known = f"as your vial shows ({guess.recount})" if guess.recount else "assumed, common practice"
    remedy = (
        "Coarser grains are counted better; or count every vial twice and write the mean."
        if guess.recount
        else f"Count one vial three times and tell what it came to{_recount_step()}."
    )
    says = (
        f"One count of grains this fine is off by about {figures(100 * cv, 2)} % ({known}): "
        f"{100 * budget.share(COUNTING):.0f} % of this noise. {remedy}"
    )
    yield Advice("note", "counting", says)


def _recount_step() -> str:
    return step(': --set "guess.recount=97 101 92"', " under Hands, scale and tails")


def _loads_up(power: PlanPower) -> Iterator[Advice]:
    trial = power.trial
    if trial.gear.kind in LOADS_UP and trial.kind != "audit":
        says = "Feed a starter bucket first, the same on both sides, so that both start loaded: a clean bed traps more."
        yield Advice("note", "starter", says)


def _tails(power: PlanPower) -> Iterator[Advice]:
    trial = power.trial
    if power.measure.needs_tails and trial.tails.caught != "all":
        how = "nothing is said of the tails" if trial.tails.caught is None else f"tails caught by {trial.tails.caught}"
        says = (
            f"Measure {trial.measure} needs all tails of every run, and {how}. Tub them all and go over them with one "
            "slower method; without them this is gold kept, not recovery."
        )
        yield Advice("warn", "tails", says)


def _dust(power: PlanPower) -> Iterator[Advice]:
    change = power.trial.change
    if change is not None and change.variable == "texture":
        says = (
            "Sand wet, not indoors; silica and old lead-paint dust harm. Local rules and licensed practice come first."
        )
        yield Advice("note", "dust", says)


def _film(power: PlanPower) -> Iterator[Advice]:
    for says in film_advice(power.trial):
        yield Advice("warn", "film", says)


def _look(power: PlanPower) -> Iterator[Advice]:
    look = power.trial.look_after
    if look is not None:
        says = (
            f"One early look, after pair {look} and only then, at a 99 % bar; the end then stands on 96 %. Fixed now: "
            "pairs added after seeing them would be labelled so, since a second look gives luck a second chance."
        )
        yield Advice("note", "early look", says)


DESIGN_RULES = (_audit, _open_stream, _twins, _graded, _tracer_size, _counting, _loads_up, _tails, _dust, _film, _look)
