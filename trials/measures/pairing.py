"""Runs -> pairs: which pairs are complete, void or still open, and which of them are counted."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from schemas import Run, Trial, is_made
from trials.measures.catalogue import measure_named
from trials.measures.measure import Measure
from trials.statistics.arrays import Numbers

State = Literal["complete", "void", "open"]


@dataclass(frozen=True)
class Pair:
    """One pair: two halves of one lot, the unchanged one and the other.

    number: its number in the plan; spares are numbered on from the planned ones.
    baseline, changed: the two runs; None where there is no record of it.
    state: complete (both measured), void (either was struck), open (not yet both measured).
    passed: both halves are done with, or a later pair was begun: what is missing now will stay missing.
    """

    number: int
    baseline: Run | None
    changed: Run | None
    state: State
    passed: bool

    @cached_property
    def halves(self) -> tuple[Run, ...]:
        """The runs on record, the unchanged one first."""
        return tuple(run for run in (self.baseline, self.changed) if run is not None)

    @property
    def both(self) -> tuple[Run, Run]:
        """The two runs of a complete pair, the unchanged one first."""
        assert self.baseline is not None and self.changed is not None  # noqa: S101, PT018 - it has both halves
        return self.baseline, self.changed

    @cached_property
    def first(self) -> Literal["baseline", "changed"] | None:
        """Which half was run first; None where the turns are not recorded."""
        if self.baseline is None or self.changed is None:
            return None
        if self.baseline.turn is None or self.changed.turn is None:
            return None
        return "baseline" if self.baseline.turn < self.changed.turn else "changed"


@dataclass(frozen=True)
class Pairing:
    """All pairs of a trial, sorted out.

    pairs: every pair planned or run, in order of number.
    counted: the complete pairs that make the verdict, in order: planned ones, spares standing in for void ones, then
        any run beyond the plan.
    beyond: those of the counted that lie beyond the plan.
    standing: how many of the counted fill a planned place.
    waiting: a planned place is not filled, and a planned or called-in pair is neither run nor void.
    """

    measure: Measure
    division_mg: float | None
    pairs: tuple[Pair, ...]
    counted: tuple[Pair, ...]
    beyond: tuple[Pair, ...]
    standing: int
    waiting: bool

    @cached_property
    def void(self) -> tuple[Pair, ...]:
        """The pairs that were struck."""
        return tuple(pair for pair in self.pairs if pair.state == "void")

    @cached_property
    def passed(self) -> tuple[Pair, ...]:
        """The pairs that are done with, void ones left out."""
        return tuple(pair for pair in self.pairs if pair.passed and pair.state != "void")

    def readings(self, pairs: Sequence[Pair]) -> tuple[Numbers, Numbers]:
        """What the measure reads of complete pairs: two arrays (pairs, readings), baseline and changed."""
        found = [[self.measure.readings(run) for run in pair.both] for pair in pairs]
        both = np.array(found, dtype=float).reshape(len(pairs), 2, len(self.measure.inputs))
        baseline, changed = np.ascontiguousarray(both.swapaxes(0, 1))
        return baseline, changed

    @cached_property
    def informative(self) -> tuple[Pair, ...]:
        """The counted pairs in which any gold was found at all."""
        empty = self.measure.is_empty(*self.readings(self.counted))
        return tuple(pair for pair, none in zip(self.counted, empty, strict=True) if not none)

    @cached_property
    def differences(self) -> NDArray[np.float64]:
        """One difference for each informative pair, on the measure's scale."""
        return self.measure.difference(*self.readings(self.informative), self.division_mg)


def state_of(measure: Measure, runs: Sequence[Run | None]) -> State:
    """How far are these runs, that only count together?"""
    if any(run is not None and run.is_void for run in runs):
        return "void"
    measured = all(run is not None and measure.readings(run) is not None for run in runs)
    return "complete" if measured else "open"


def pair_up(trial: Trial, runs: Sequence[Run]) -> Pairing:
    """Which pairs does this trial have, and which of them count?

    Runs come in any order, each pair and arm at most once. Spares stand in for void pairs only, in order. A spare run
    without need, and any pair past the spares, is counted too, as one beyond the plan.

    Raises ValueError: the trial does not have two arms.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="t", measure="grain_counts", pairs=2, spares=1,
    ...               lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"))
    >>> runs = [Run(pair=p, arm=a, grains=10) for p in (1, 3) for a in trial.arms]
    >>> runs += [Run(pair=2, arm="repeat", void="spill")]
    >>> [pair.number for pair in pair_up(trial, runs).counted]
    [1, 3]
    """
    if len(trial.arms) != 2:
        raise ValueError(f"trial {trial.name} has {len(trial.arms)} arms; pairs need two")
    measure = measure_named(trial.measure)
    pairs = {pair.number: pair for pair in _sorted_out(trial, runs, measure)}
    places = fill_places(trial, {number: pair.state for number, pair in pairs.items()})
    beyond = tuple(pairs[number] for number in places.beyond)
    return Pairing(
        measure=measure,
        division_mg=measure.division(trial),
        pairs=tuple(pairs.values()),
        counted=(*(pairs[number] for number in places.standing), *beyond),
        beyond=beyond,
        standing=len(places.standing),
        waiting=places.waiting,
    )


@dataclass(frozen=True, slots=True)
class Places:
    """Which numbers of a plan are in the sum: standing fills its places, beyond is counted past them."""

    standing: tuple[int, ...]
    beyond: tuple[int, ...]
    waiting: bool


def fill_places(trial: Trial, states: Mapping[int, State]) -> Places:
    """Which pairs, or runs of an audit, fill the places of the plan, and is any still to be run?

    `states` by number, from low to high. Each void one planned calls in a spare, in order, unless that is void too.
    """
    planned = {number: state for number, state in states.items() if number <= trial.pairs}
    to_replace = sum(state == "void" for state in planned.values())
    standing = [number for number, state in planned.items() if state == "complete"]
    waiting = "open" in planned.values()
    beyond: list[int] = []
    for number, state in list(states.items())[len(planned) :]:
        called = to_replace > 0 and number <= trial.pairs + trial.spares
        if state == "complete":
            (standing if called else beyond).append(number)
        elif called and state == "open":
            waiting = True
        to_replace -= called and state != "void"
    return Places(tuple(standing), tuple(beyond), waiting and len(standing) < trial.pairs)


def _sorted_out(trial: Trial, runs: Sequence[Run], measure: Measure) -> tuple[Pair, ...]:
    found = by_number(trial, runs, lambda both: state_of(measure, both))
    return tuple(Pair(number, both[0], both[1], state, passed) for number, both, state, passed in found)


def by_number(
    trial: Trial, runs: Sequence[Run], state_of_runs: Callable[[Sequence[Run | None]], State]
) -> Iterator[tuple[int, tuple[Run | None, ...], State, bool]]:
    """Each pair or block planned or run, in order: number, runs by arm, state, and whether it is done with."""
    by_key = {run.key: run for run in runs}
    # A run struck before anything was weighed says nothing of how far the trial has come.
    last_begun = max((run.pair for run in runs if is_made(run) and not run.is_void), default=0)
    for number in sorted({*range(1, trial.pairs + trial.spares + 1), *(run.pair for run in runs)}):
        own = tuple(by_key.get((number, arm)) for arm in trial.arms)
        state = state_of_runs(own)
        begun = any(run is not None and is_made(run) for run in own)
        yield number, own, state, begun and (state != "open" or number < last_begun)
