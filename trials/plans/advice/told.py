"""One thing a plan is told."""

from dataclasses import dataclass
from typing import Literal

Weight = Literal["refuse", "warn", "note"]


@dataclass(frozen=True, slots=True)
class Advice:
    """One thing a plan is told.

    weight: refuse: not planned like this; warn: planned, and the person knows; note: worth minding.
    about: What it is about, in a word or two.
    says: One or two sentences: the value, the rule, what to do.
    """

    weight: Weight
    about: str
    says: str
