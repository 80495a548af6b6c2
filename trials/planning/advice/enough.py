"""Are there pairs enough, and is the line within reach?"""

from collections.abc import Iterator

import numpy as np

from trials.planning.advice.told import Advice, shown_words
from trials.planning.need import FEWEST_PLANNED, MOST_PLANNED
from trials.planning.outlook import Outlook
from trials.simulation.arrays import FloatArray
from trials.simulation.dirt import Dirt
from trials.wording.lists import count_of

FLIPS_SPEAK_FROM = 6


def _number_of_pairs(outlook: Outlook) -> Iterator[Advice]:
    trial = outlook.trial
    if trial.kind == "audit" or FEWEST_PLANNED <= trial.pairs <= MOST_PLANNED:
        return
    what = "block" if trial.kind == "graded" else "pair"
    why = "one or two can't tell luck from change" if trial.pairs < FEWEST_PLANNED else "no one runs more"
    says = f"{count_of(trial.pairs, what)}: {why}. Plan {FEWEST_PLANNED} to {MOST_PLANNED}."
    yield Advice("refuse", "pairs", says)


def _line(outlook: Outlook) -> Iterator[Advice]:
    trial = outlook.trial
    if trial.kind in ("audit", "nothing-changed check"):
        return
    if outlook.line is None:
        says = (
            'No line is set, so "no difference worth having" can never be said. Write the smallest gain worth having.'
        )
        yield Advice("warn", "worth having", says)
    elif outlook.budget is not None and outlook.change is None:
        kept = float(np.dot(outlook.situation.gear.recovery, _shares(outlook.situation.dirt)))
        says = (
            f"A gain of {shown_words(outlook, outlook.line)} can't be had: gear that keeps {100 * kept:.0f} % has "
            f"at most {100 * (1 / kept - 1):.0f} % more to give. Lower the line, or say what it keeps (guess.keeps)."
        )
        yield Advice("warn", "worth having", says)


def _shares(dirt: Dirt) -> FloatArray:
    mass = dirt.expected_grains() * dirt.grain_masses_mg()
    return mass / mass.sum() if mass.sum() > 0 else np.full(len(mass), 1.0 / len(mass))


def _enough_pairs(outlook: Outlook) -> Iterator[Advice]:
    """Whether the planned pairs can find the line, with the number that would."""
    trial, findable = outlook.trial, outlook.findable
    if findable is None or outlook.scatter is None or trial.kind == "audit":
        return
    multiple = findable / outlook.scatter.sd
    pairs = count_of(trial.pairs, "block" if trial.kind == "graded" else "pair")
    finds = (
        f"{pairs} can usually find a change of about {shown_words(outlook, findable)} ({multiple:.2f} x the scatter of "
        "pairs), 4 times in 5."
    )
    if trial.kind == "nothing-changed check" or not outlook.line:
        yield Advice("note", "pairs", finds)
        return
    line = shown_words(outlook, outlook.line)
    if outlook.needed is not None and outlook.needed <= trial.pairs:
        yield Advice("note", "pairs", f"{finds} Your line is {line}: enough.")
        return
    needed = outlook.needed_without_limit
    most = f"more than {MOST_PLANNED} pairs" if needed is None else count_of(needed, "pair")
    chance = f" As planned it is found {_times_in_100(outlook.chance)}." if outlook.chance is not None else ""
    yield Advice("warn", "pairs", f"{finds} Your line is {line}: {most} would suit.{chance}")


def _times_in_100(chance: float | None) -> str:
    return f"about {round(100 * (chance or 0.0))} times in 100"


def _few_pairs(outlook: Outlook) -> Iterator[Advice]:
    pairs = outlook.trial.pairs
    if outlook.trial.kind == "pairs" and FEWEST_PLANNED <= pairs < FLIPS_SPEAK_FROM:
        says = (
            f"With {count_of(pairs, 'pair')} the exact check by the draw can't speak: it first can at "
            f"{FLIPS_SPEAK_FROM}, when all one way is 1 time in 32 by luck."
        )
        yield Advice("note", "pairs", says)
    if outlook.trial.spares == 0 and outlook.trial.kind != "audit":
        yield Advice("note", "spares", "No spare: a void pair cannot be replaced.")


RULES = (_number_of_pairs, _line, _enough_pairs, _few_pairs)
