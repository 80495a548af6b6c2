"""The best of many told: of several measures, without the worst pairs, with values corrected, of several trials."""

from collections.abc import Callable
from datetime import datetime

import numpy as np

from schemas import Correction
from tests.examination.choice import LOOKED_AT, MEASURES, Choice, Fair, Handed, Plays, amended, is_better
from tests.examination.shapes import MASS, SLUICE, TABLE, TAILS, TRACERS

OF_MEASURES = tuple((f"of {n} measures", n, 6, 6) for n in (2, 3, 5))


def _best_measure(told: Callable[[Fair, str], Handed]) -> Plays:
    """Judges the measures one after the other, and tells the first that shows a gain; the plan's own where none does."""

    def plays(fair: Fair, number: int) -> Handed:
        own = fair.trial.measure
        others = [name for name in MEASURES if name != own][: number - 1]
        ahead = next((name for name in (own, *others) if is_better(fair.by_measure[name])), own)
        return fair.first(6) if ahead == own else told(fair, ahead)

    return plays


def _measure_amended(fair: Fair, name: str) -> Handed:
    return fair.first(6, measure=name, amended=amended("measure", fair.trial.measure, name, fair.day_of(6)))


DROPS = tuple((f"{n} struck", n, 6, 6) for n in (1, 2, 3))


def _dropping(*, known: bool | None, spares: bool = False, whole: bool = False) -> Plays:
    """Strikes the pairs that speak most against the change, with their gold known, told or not; one half or both."""

    def plays(fair: Fair, number: int) -> Handed:
        planned = fair.trial.pairs
        worst = {int(at) + 1 for at in np.argsort(fair.differences[:planned])[:number]}
        struck = {"void": "spill", "void_gold_known": known}
        last = planned + (number if spares else 0)
        runs = [
            run.model_copy(update=struck) if run.pair in worst and (whole or run.arm == "changed") else run
            for run in fair.runs
            if run.pair <= last
        ]
        return Handed(fair.trial.model_copy(update={"spares": number if spares else 0}), runs)

    return plays


CORRECTED = tuple((f"{n} values", n, 6, 6) for n in (1, 2, 3))
FIELDS = {"grain_counts": "grains", "recovery": "gold_mg", "gold_mass": "gold_mg", "tracers": "kept"}


def _correcting(fair: Fair, number: int) -> Handed:
    """Puts the baseline values of the worst pairs down to a tenth under, with a reason."""
    field = FIELDS[fair.trial.measure]
    worst = {int(at) + 1 for at in np.argsort(fair.differences)[:number]}
    corrections, runs = [], []
    for run in fair.runs:
        if run.pair not in worst or run.arm != "baseline":
            runs.append(run)
            continue
        old = getattr(run, field)
        new = type(old)(0.9 * old)
        runs.append(run.model_copy(update={field: new}))
        corrections.append(
            Correction(
                when=datetime(2026, 5, 30, 9, 0), pair=run.pair, arm=run.arm, field=field, old=str(old), new=str(new),
                why="read again",
            )
        )  # fmt: skip
    return Handed(fair.trial, runs, tuple(corrections))


SEVERAL = tuple((f"of {n} trials", n, 6, 6) for n in (2, 3, 5))
BEST = "best of many"
CHOICES = (
    Choice(
        BEST, "the measure that showed a gain, by an amendment", OF_MEASURES, LOOKED_AT, _best_measure(_measure_amended)
    ),
    Choice(
        BEST,
        "the plan written for the measure that showed a gain",
        OF_MEASURES,
        LOOKED_AT,
        _best_measure(lambda fair, name: fair.first(6, measure=name, locked=fair.day_of(6))),
        blank=_best_measure(lambda fair, name: fair.first(6, measure=name, locked=None)),
    ),
    Choice(
        BEST,
        "the same, told as planned before",
        OF_MEASURES,
        LOOKED_AT,
        _best_measure(lambda fair, name: fair.first(6, measure=name)),
        way="unseen",
    ),
    Choice(
        BEST,
        "the worst pairs struck after weighing",
        DROPS,
        LOOKED_AT,
        _dropping(known=True),
        blank=_dropping(known=None),
    ),
    Choice(
        BEST,
        "the worst pairs struck after weighing, spares in their place",
        tuple((words, number, 6, 6 + number) for words, number, *_ in DROPS),
        LOOKED_AT,
        _dropping(known=True, spares=True),
        blank=_dropping(known=None, spares=True),
    ),
    Choice(
        BEST,
        "the worst pairs of twelve struck whole after weighing",
        tuple((f"{n} struck", n, 12, 12) for n in (2, 3, 4)),
        LOOKED_AT,
        _dropping(known=True, whole=True),
        blank=_dropping(known=None, whole=True),
    ),
    Choice(
        BEST,
        "the same, told as struck before weighing",
        tuple((words, number, 6, 6 + number) for words, number, *_ in DROPS),
        LOOKED_AT,
        _dropping(known=False, spares=True),
        way="unseen",
    ),
    Choice(
        BEST,
        "stored values corrected where they spoke against it",
        CORRECTED,
        (TABLE, MASS, TRACERS),
        _correcting,
        marks=True,
    ),
    Choice(
        BEST,
        "the best of several trials told",
        SEVERAL,
        (TABLE, SLUICE, TAILS),
        lambda f, _: f.first(6),
        way="unseen",
        needs=True,
    ),
)
