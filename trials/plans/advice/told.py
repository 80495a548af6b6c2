"""One thing a plan is told, and how its numbers are said."""

from dataclasses import dataclass
from typing import Literal

from trials.plans.plan_power import PlanPower
from trials.wording.numbers import figures

Weight = Literal["refuse", "warn", "note"]


@dataclass(frozen=True, slots=True)
class Advice:
    """One thing a plan is told.

    Attributes
    ----------
    weight
        refuse: not planned like this; warn: planned, and the person knows; note: worth minding.
    about
        What it is about, in a word or two.
    says
        One or two sentences: the value, the rule, what to do.
    """

    weight: Weight
    about: str
    says: str


def shown_words(power: PlanPower, difference: float) -> str:
    """Say a difference as people read it, as "2.3 points" or "20 %"."""
    shown = power.measure.shown(difference)
    return f"{figures(shown, 2)} {'%' if power.measure.is_ratio else 'points'}"
