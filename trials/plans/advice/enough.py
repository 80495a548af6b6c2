"""Are there pairs enough, and is the line within reach?"""

import math
from collections.abc import Iterator

import numpy as np

from schemas import Trial
from trials.measures.catalogue import measure_named
from trials.measures.measure import Measure
from trials.noise.effect import LARGEST_SHIFT, true_difference
from trials.noise.situation import Situation, situation_of
from trials.plans.advice.told import Advice
from trials.plans.brief import TypedLine, with_something_to_find
from trials.plans.plan_power import PlanPower
from trials.plans.power import FEWEST_PLANNED, MOST_PLANNED, SELDOM_FOUND
from trials.simulation.gear import TrueEffect
from trials.wording.lists import count_of

FLIPS_SPEAK_FROM = 6
SELDOM_STOPPED = 0.05
"""Our default, not a finding."""


def _number_of_pairs(power: PlanPower) -> Iterator[Advice]:
    trial = power.trial
    if trial.kind == "audit" or FEWEST_PLANNED <= trial.pairs <= MOST_PLANNED:
        return
    what = "block" if trial.kind == "graded" else "pair"
    why = "one or two can't tell luck from change" if trial.pairs < FEWEST_PLANNED else "no one runs more"
    says = f"{count_of(trial.pairs, what)}: {why}. Plan {FEWEST_PLANNED} to {MOST_PLANNED}."
    yield Advice("refuse", "pairs", says)


def _line(power: PlanPower) -> Iterator[Advice]:
    trial = power.trial
    if trial.kind in ("audit", "nothing-changed check"):
        return
    if power.line is None:
        says = (
            'No line is set, so "no difference worth having" can never be said. Write the smallest gain worth having.'
        )
        yield Advice("warn", "worth having", says)
    elif power.is_out_of_reach:
        most = most_to_gain(power.measure, power.situation, power.line)
        says = (
            f"A gain of {power.measure.size_text(power.line)} can't be had: {most}. Lower the line, or say what it "
            "keeps (guess.keeps)."
        )
        yield Advice("warn", "worth having", says)


def most_to_gain(measure: Measure, situation: Situation, line: float) -> str:
    """What the gear keeps of what is measured, and how much more there can be: always less than the line.

    `line` is on the measure's scale, and out of reach.

    >>> most_to_gain(measure_named("recovery"), Situation(), 20.0)
    'gear that keeps 92 % has at most 8 points more to give'
    """
    grains = situation.dirt.expected_grains()
    weights = grains if measure.what == "native grains" else grains * situation.dirt.grain_masses_mg()
    if measure.is_seeded:
        weights = np.zeros_like(grains)
        weights[list(situation.tracers.size_classes)] = 1.0
    kept = float(np.dot(situation.gear.recovery, weights) / weights.sum())
    most = measure.shown(true_difference(measure.name, situation, TrueEffect(shift_logit=LARGEST_SHIFT)))
    lost = 100.0 * (1.0 / kept - 1.0 if measure.is_ratio else 1.0 - kept)
    whole = min(round(most), round(lost), math.ceil(measure.shown(line)) - 1)
    told = "under " if whole < 1 else "at most "
    told += f"{max(whole, 1)} %" if measure.is_ratio else count_of(max(whole, 1), "point")
    return f"gear that keeps {100 * kept:.0f} % has {told} more to give"


def why_out_of_reach(trial: Trial, line: TypedLine) -> str:
    """Say why no change could bring a line that `brief_for` finds out of reach."""
    return f"no change could bring {line.words}: " + most_to_gain(
        measure_named(line.measure), with_something_to_find(line.measure, situation_of(trial)), line.on_scale
    )


def _enough_pairs(power: PlanPower) -> Iterator[Advice]:
    """Whether the planned pairs can find the line, with the number that would."""
    trial = power.trial
    if power.scatter is None or trial.kind == "audit" or trial.pairs < 2 or power.is_out_of_reach:
        return
    finds = _finds(power)
    if trial.kind == "nothing-changed check" or not power.line:
        yield Advice("note", "pairs", finds)
        return
    line = power.measure.size_text(power.line)
    if power.needed is not None and power.needed <= trial.pairs:
        yield Advice("note", "pairs", f"{finds} Your line is {line}: enough.")
        return
    found = 0 if power.chance is None else round(100 * power.chance)
    chance = "" if power.chance is None else f" As planned it is found about {count_of(found, 'time')} in 100."
    yield Advice("warn", "pairs", f"{finds} Your line is {line}: {_would_suit(power)}.{chance}{_stopped(power)}")


def _finds(power: PlanPower) -> str:
    """What so many pairs can find; in multiples of the scatter too, where it was seen and not reckoned."""
    trial, findable, scatter = power.trial, power.findable, power.scatter
    pairs = count_of(trial.pairs, "block" if trial.kind == "graded" else "pair")
    if findable is None or scatter is None:
        return f"There is no gain so large that {pairs} would find it 4 times in 5."
    seen = "" if scatter.origin == "noise budget" else f" ({findable / scatter.sd:.2f} x the scatter of pairs)"
    return f"{pairs} can usually find a change of about {power.measure.size_text(findable)}{seen}, 4 times in 5."


def _would_suit(power: PlanPower) -> str:
    needed, unlimited = power.needed, power.needed_without_limit
    what = "block" if power.trial.kind == "graded" else "pair"
    if needed is not None:
        return f"{count_of(needed, what)} would suit"
    if power.stopped_of(MOST_PLANNED) > SELDOM_FOUND:
        return f"not even {MOST_PLANNED} {what}s would do"
    many = f"over a million {what}s" if unlimited is None else count_of(unlimited, what)
    return f"{many} would suit, and a plan holds {MOST_PLANNED}"


def _stopped(power: PlanPower) -> str:
    """How often a check would stop the planned pairs, where that is worth minding."""
    stopped = power.stopped_of(power.trial.pairs)
    if stopped < SELDOM_STOPPED:
        return ""
    return (
        f" About {100 * stopped:.0f} such trials in 100 are stopped by a check of the scale or of runs that find none."
    )


def _few_pairs(power: PlanPower) -> Iterator[Advice]:
    pairs = power.trial.pairs
    if power.trial.kind == "pairs" and FEWEST_PLANNED <= pairs < FLIPS_SPEAK_FROM:
        says = (
            f"With {count_of(pairs, 'pair')} the exact check by the draw can't speak: it first can at "
            f"{FLIPS_SPEAK_FROM}, when all one way is 1 time in 32 by luck."
        )
        yield Advice("note", "pairs", says)
    if power.trial.spares == 0 and power.trial.kind != "audit":
        what = "block" if power.trial.kind == "graded" else "pair"
        yield Advice("note", "spares", f"No spare: a void {what} cannot be replaced.")


PAIRS_RULES = (_number_of_pairs, _line, _enough_pairs, _few_pairs)
