"""Runs in which one piece weighs so much that the total says little."""

from collections.abc import Sequence
from dataclasses import dataclass

from schemas import Run
from trials.wording.numbers import figures

LARGE_SHARE = 0.2  # a piece over a fifth of the gold is told; our default


@dataclass(frozen=True, slots=True)
class Nugget:
    """A large piece of one run in mg, or pickers: pulled, booked apart, and never part of the gold weighed."""

    pair: int
    arm: str
    mg: float
    booked_apart: bool

    @property
    def words(self) -> str:
        """Name it with its weight."""
        return f"{figures(self.mg)} mg {'of pickers' if self.booked_apart else 'in one piece'}"


def nugget_of(run: Run) -> Nugget | None:
    """Does a large piece stand out of this run? None where none does, and for a void run.

    Pickers booked apart come first; else the largest piece, if it is over a fifth of the gold kept.

    >>> nugget_of(Run(pair=1, arm="changed", gold_mg=20.0, largest_mg=9.0)).words
    '9 mg in one piece'
    >>> nugget_of(Run(pair=1, arm="changed", gold_mg=20.0, largest_mg=3.0)) is None
    True
    """
    if run.is_void:
        return None
    if run.pickers_mg:
        return Nugget(run.pair, run.arm, run.pickers_mg, booked_apart=True)
    if run.largest_mg and run.gold_mg is not None and run.largest_mg > LARGE_SHARE * run.gold_mg:
        return Nugget(run.pair, run.arm, run.largest_mg, booked_apart=False)
    return None


def nuggets_in(runs: Sequence[Run]) -> list[Nugget]:
    """All large pieces, by pair, the unchanged run first."""
    found = [nugget for run in runs if (nugget := nugget_of(run)) is not None]
    return sorted(found, key=lambda nugget: (nugget.pair, nugget.arm != "baseline"))


def nugget_words(nuggets: Sequence[Nugget], *, brief: bool) -> str:
    """What the pieces of one pair weigh; empty where there are none.

    >>> pieces = [Nugget(5, "baseline", 25.0, booked_apart=False), Nugget(5, "changed", 9.0, booked_apart=False)]
    >>> nugget_words(pieces, brief=False), nugget_words(pieces[:1], brief=True), nugget_words(pieces[:1], brief=False)
    ('25, 9 mg', '25 mg', '25 mg in one piece')
    """
    if len(nuggets) == 1 and not brief:
        return nuggets[0].words
    return f"{', '.join(figures(nugget.mg) for nugget in nuggets)} mg" if nuggets else ""
