"""A fake made by choosing: the runs are fair, and the person picks what is handed in.

Each choice is played in code on fair trials of nothing changed. Who is not ahead hands in what was planned. What counts
is a gain called; what was called worse is nobody's fake.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from zlib import crc32

import numpy as np

from schemas import Amendment, Correction, Run, Trial
from tests.examination.fault import Way
from tests.examination.judged import Told, end_of, told_of
from tests.examination.planted import Array, Block, Planted, plant
from tests.examination.shapes import SLUICE, TABLE, TRACERS, Shape
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
        return len(pairing.counted) >= FIRST_LOOK and is_better(pairing.differences)


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
