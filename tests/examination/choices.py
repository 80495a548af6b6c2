"""Fakes made by choosing: the runs are fair, and the person picks what is handed in.

Each choice is played in code on fair trials of nothing changed. Who is not ahead hands in what was planned. What counts
is a gain called; what was called worse is nobody's fake.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from itertools import pairwise
from typing import Any
from zlib import crc32

import numpy as np

from schemas import Amendment, Correction, Run, Trial
from tests.examination.fault import Way
from tests.examination.judged import Told, end_of, told_of
from tests.examination.planted import Array, Block, Planted, plant
from tests.examination.shapes import MASS, SLUICE, TABLE, TAILS, TRACERS, Shape
from trials.fairness.plan import session_day
from trials.measures.catalogue import measure_named
from trials.measures.pairing import pair_up
from trials.statistics.paired_t import paired_t
from trials.verdicts.reach import reach_verdict

FIRST_LOOK = 3
LOOKED_AT = (TABLE, SLUICE, TRACERS)
MEASURES = ("recovery", "gold_mass", "tails_gold", "grain_counts", "tracers")


@dataclass(frozen=True)
class Handed:
    """What a person hands in."""

    trial: Trial
    runs: list[Run]
    corrections: tuple[Correction, ...] = ()

    @property
    def is_ahead(self) -> bool:
        """Whether the person's own t interval of what is handed in lies over zero, at the lowest bar there is."""
        pairing = pair_up(self.trial, self.runs)
        return len(pairing.counted) >= FIRST_LOOK and is_better(pairing.differences())


@dataclass(frozen=True)
class Fair:
    """One fair trial, as the person who ran it sees it: plan, runs, and one difference a pair of each measure."""

    trial: Trial
    runs: list[Run]
    by_measure: Mapping[str, Array]

    @property
    def differences(self) -> Array:
        """Of the main measure."""
        return self.by_measure[self.trial.measure]

    def first(self, pairs: int, /, **plan: Any) -> Handed:
        """The first pairs alone, with the plan so told."""
        return Handed(self.trial.model_copy(update=plan), [run for run in self.runs if run.pair <= pairs])

    def day_of(self, pair: int) -> date:
        """The day on which a pair was done."""
        (day, *_) = sorted((session_day(r) for r in self.runs if r.pair == pair), reverse=True)
        assert day is not None
        return day


Plays = Callable[[Fair, int], Handed]


@dataclass(frozen=True)
class Choice:
    """One way to choose.

    Attributes
    ----------
    pitfall, how
        Which, and what is done; `{}` in the words of a size is the number.
    sizes
        Three or more: words, the number, pairs planned, pairs that could be run.
    shapes
        Three or more.
    plays
        What is handed in of a fair trial.
    way
        What should stand against it.
    blank
        The same by a person who leaves the tell-tale blank; None where there is none to leave.
    marks
        Whether a mark on the verdict itself tells it: an amendment, a correction or a void.
    needs
        Whether the best of so many trials as the size says is handed in.
    """

    pitfall: str
    how: str
    sizes: tuple[tuple[str, int, int, int], ...]
    shapes: tuple[Shape, ...]
    plays: Plays
    way: Way = "told"
    blank: Plays | None = None
    marks: bool = False
    needs: bool = False

    @property
    def told(self) -> Told:
        """What counts as being told."""
        return told_of(self.pitfall, marks=self.marks)

    def ends(self, shape: Shape, size: tuple[str, int, int, int], block: Block, *, blank: bool = False) -> Counter[str]:
        """How a block of hand-ins ended."""
        plays = self.blank if blank else self.plays
        assert plays is not None
        ended: Counter[str] = Counter()
        for fair in self._fair(shape, size, block):
            handed = plays(fair, size[1])
            if not handed.is_ahead:
                ended["none"] += 1
                continue
            verdict = reach_verdict(handed.trial, handed.runs, handed.corrections)
            ended[end_of(verdict, self.told, blank=blank)] += 1
        return ended

    def _fair(self, shape: Shape, size: tuple[str, int, int, int], block: Block) -> Iterator[Fair]:
        words, number, planned, run = size
        seed = crc32(f"{self.pitfall}|{self.how}|{words}|{shape.name}".encode())
        together = number if self.needs else 1
        fair = fair_trials(shape, planned, run, Block(block.number, block.trials * together), seed)
        for at in range(block.trials):
            some = fair[at * together : (at + 1) * together]
            yield max(some, key=lambda one: float(paired_t(one.differences).t)) if self.needs else some[0]


def fair_trials(shape: Shape, planned: int, run: int, block: Block, seed: int) -> list[Fair]:
    """Fair trials of so many planned pairs, with as many as could be run drawn of each."""
    planted = plant(replace(shape, pairs=run), block, seed)
    planted.plan |= {"pairs": planned, "worth_having": None}
    differences = {name: differences_of(planted, name) for name in MEASURES}
    seeded = planned == run
    return [
        Fair(
            trial if seeded else trial.model_copy(update={"seed": None}),
            runs,
            {name: values[at] for name, values in differences.items()},
        )
        for at, (trial, runs) in enumerate(planted.cases())
    ]


def differences_of(planted: Planted, measure: str) -> Array:
    """One difference a pair, shape (trials, pairs)."""
    one = measure_named(measure)
    read = np.stack([planted.columns[name] for name in one.inputs], axis=-1).astype(float)
    return one.difference(read[:, :, 0], read[:, :, 1], 1.0)


def is_better(differences: Array, level: float = 0.95) -> bool:
    """Whether the person's own t interval lies over zero; never where a pair has no difference."""
    return bool(np.isfinite(differences).all()) and bool(paired_t(differences, level=level).low > 0)


def first_ahead(fair: Fair, until: int) -> int | None:
    """After how many pairs, from the third on, the person first sees a gain beyond luck; None if never."""
    return next((k for k in range(FIRST_LOOK, until + 1) if is_better(fair.differences[:k])), None)


def amended(what: str, was: object, now: object, when: date) -> tuple[Amendment, ...]:
    """One change of the plan, written down."""
    return (Amendment(when=when, what=what, was=str(was), now=str(now), why="it was plain by then"),)


# --- 20 stopping while ahead --------------------------------------------------------------------------------------

STOPS = tuple((f"from pair 3 of {n}", n, n, n) for n in (6, 8, 12))


def _stopping(told: Callable[[Fair, int, int], Handed]) -> Plays:
    """Looks after every pair; hands in when ahead, else all that was planned."""

    def plays(fair: Fair, planned: int) -> Handed:
        ahead = first_ahead(fair, planned)
        return fair.first(planned) if ahead is None or ahead == planned else told(fair, ahead, planned)

    return plays


def _rest_struck(fair: Fair, ahead: int, planned: int) -> Handed:
    struck = [Run(pair=pair, arm="baseline", void="no time left") for pair in range(ahead + 1, planned + 1)]
    handed = fair.first(ahead)
    return Handed(handed.trial, handed.runs + struck)


def _cut(fair: Fair, ahead: int, planned: int) -> Handed:
    return fair.first(ahead, pairs=ahead, seed=None, amended=amended("pairs", planned, ahead, fair.day_of(ahead)))


def _planned_afterwards(fair: Fair, ahead: int, _: int) -> Handed:
    return fair.first(ahead, pairs=ahead, seed=None, locked=fair.day_of(ahead))


def _planned_undated(fair: Fair, ahead: int, _: int) -> Handed:
    return fair.first(ahead, pairs=ahead, seed=None, locked=None)


def _planned_misdated(fair: Fair, ahead: int, _: int) -> Handed:
    return fair.first(ahead, pairs=ahead, seed=None)


def _look_added(fair: Fair, planned: int) -> Handed:
    """A look written into the plan at the first pair from the fourth where the 99 % limits leave zero out."""
    looks = (k for k in range(4, planned) if is_better(fair.differences[:k], 0.99))
    at = next(looks, None)
    if at is None:
        return fair.first(planned)
    return fair.first(at, look_after=at, amended=amended("look_after", "none", at, fair.day_of(at)))


PAST = (("up to 2 pairs more", 6, 6, 8), ("up to 6 more", 6, 6, 12), ("up to 14 more", 6, 6, 20))


def _going_on(late: bool) -> Plays:
    """Adds pairs past the plan until ahead."""

    def plays(fair: Fair, planned: int) -> Handed:
        run = len(fair.differences)
        ends = next((k for k in range(planned, run + 1) if is_better(fair.differences[:k])), run)
        if ends == planned or not late:
            return fair.first(ends)
        return fair.first(ends, pairs=ends, amended=amended("pairs", planned, ends, fair.day_of(planned)))

    return plays


def _raised_in_time(fair: Fair, planned: int) -> Handed:
    """Peeks a pair before the end, and plans more in time where no gain shows yet."""
    run = len(fair.differences)
    if is_better(fair.differences[: planned - 2]):
        return fair.first(planned)
    return fair.first(run, pairs=run, amended=amended("pairs", planned, run, fair.day_of(planned - 2)))


STOPPING = "stopping while ahead"
STOPPING_CHOICES = (
    Choice(
        STOPPING, "handed in when ahead, the plan as it was", STOPS, LOOKED_AT, _stopping(lambda f, k, _: f.first(k))
    ),
    Choice(STOPPING, "the pairs still to come struck as void", STOPS, LOOKED_AT, _stopping(_rest_struck)),
    Choice(STOPPING, "the plan cut by an amendment", STOPS, LOOKED_AT, _stopping(_cut)),
    Choice(
        STOPPING,
        "the plan written when it was ahead",
        STOPS,
        LOOKED_AT,
        _stopping(_planned_afterwards),
        blank=_stopping(_planned_undated),
    ),
    Choice(STOPPING, "the same, told as planned before", STOPS, LOOKED_AT, _stopping(_planned_misdated), way="unseen"),
    Choice(STOPPING, "an early look written in when it was ahead", STOPS, LOOKED_AT, _look_added),
    Choice(STOPPING, "pairs added past the plan until ahead", PAST, LOOKED_AT, _going_on(late=False)),
    Choice(STOPPING, "pairs added by an amendment, until ahead", PAST, LOOKED_AT, _going_on(late=True)),
    Choice(
        STOPPING,
        "more pairs planned in time, after a peek",
        (("2 more", 6, 6, 8), ("6 more", 6, 6, 12), ("14 more", 6, 6, 20)),
        LOOKED_AT,
        _raised_in_time,
    ),
)

# --- 21 best of many ----------------------------------------------------------------------------------------------

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


def _dropping(*, known: bool | None, spares: bool = False) -> Plays:
    """Strikes the pairs that speak most against the change, with their gold known, told or not."""

    def plays(fair: Fair, number: int) -> Handed:
        planned = fair.trial.pairs
        worst = {int(at) + 1 for at in np.argsort(fair.differences[:planned])[:number]}
        struck = {"void": "spill", "void_gold_known": known}
        last = planned + (number if spares else 0)
        runs = [
            run.model_copy(update=struck) if run.pair in worst and run.arm == "changed" else run
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
BEST_CHOICES = (
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

CHOICES: tuple[Choice, ...] = (*STOPPING_CHOICES, *BEST_CHOICES)
assert all(one[0] != other[0] for choice in CHOICES for one, other in pairwise(choice.sizes))
