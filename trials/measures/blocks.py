"""Runs -> blocks of a graded trial: every level once, which blocks count, and what is missing in them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from schemas import Run, Trial, is_made
from trials.measures.catalogue import measure_named
from trials.measures.measure import Measure
from trials.measures.pairing import Pair, Pairing, State, by_number, state_of
from trials.statistics.arrays import Numbers

FEWEST_IN_A_BLOCK = 2


@dataclass(frozen=True, slots=True)
class Block:
    """One block: every set-up once, on shares of one lot.

    runs: one for each arm, the baseline first; None where there is no record of it.
    state: open (a run is neither measured nor struck), void (one was struck), complete.
    passed: all its runs are done with, or a later block was begun.
    measured: which of its runs have a number that can be compared.
    """

    number: int
    runs: tuple[Run | None, ...]
    state: State
    passed: bool
    measured: tuple[bool, ...]

    @property
    def is_struck(self) -> bool:
        """Whether any of its runs was struck."""
        return any(run.is_void for run in self.on_record)

    @property
    def on_record(self) -> tuple[Run, ...]:
        """The runs on record."""
        return tuple(run for run in self.runs if run is not None)

    @property
    def order(self) -> tuple[int, ...] | None:
        """In which place each arm was run, from 0; None where a turn is not known."""
        turns = [run.turn for run in self.runs if run is not None and run.turn is not None]
        if len(turns) < len(self.runs):
            return None
        return tuple(sorted(turns).index(turn) for turn in turns)


@dataclass(frozen=True, slots=True)
class Blocking:
    """All blocks of a graded trial, sorted out.

    arms: the set-ups as a plan calls them, the baseline first.
    blocks: every block planned or run, in order of number.
    counted: those in the sum, in order: planned ones, spares called in for struck runs, then any beyond the plan. One
        counts with 2 measured runs; what is missing in it is a gap.
    beyond: those of the counted that lie beyond the plan.
    standing: planned blocks without a gap, and spares that make up for one with.
    waiting: a planned block, or a spare that was called in, is still to be run.
    """

    measure: Measure
    division_mg: float | None
    arms: tuple[str, ...]
    blocks: tuple[Block, ...]
    counted: tuple[Block, ...]
    beyond: tuple[Block, ...]
    standing: int
    waiting: bool

    @property
    def void(self) -> tuple[Block, ...]:
        """The blocks in which a run was struck."""
        return tuple(block for block in self.blocks if block.is_struck)

    @property
    def passed(self) -> tuple[Block, ...]:
        """The blocks that are done with."""
        return tuple(block for block in self.blocks if block.passed)

    def readings(self, blocks: Sequence[Block]) -> Numbers:
        """What the measure reads of runs, (blocks, arms, readings), NaN where there is a gap."""
        none = (np.nan,) * len(self.measure.inputs)
        rows = [
            [
                self.measure.readings(run) if run is not None and known else none
                for run, known in zip(block.runs, block.measured, strict=True)
            ]
            for block in blocks
        ]
        return np.array(rows, dtype=float).reshape(len(blocks), len(self.arms), len(self.measure.inputs))

    @property
    def informative(self) -> tuple[Block, ...]:
        """The counted blocks in which a ratio can be made of any run."""
        readings = self.readings(self.counted)
        zeros = self.measure.zeros(readings) | ~np.isfinite(readings[..., 0])
        none = np.asarray(zeros.all(axis=-1)).tolist()
        return tuple(block for block, is_empty in zip(self.counted, none, strict=True) if not is_empty)

    def against_baseline(self, arm: int, *, swapped: bool = False) -> Pairing:
        """One level beside the baseline, block by block, as the pairs of a trial of two arms.

        `swapped` takes the level for the unchanged arm. The level's runs are called changed.
        """
        pairs = {block.number: _pair_of(block, arm, self.measure, swapped=swapped) for block in self.blocks}
        of_counted = [pairs[block.number] for block in self.counted]
        return Pairing(
            measure=self.measure,
            division_mg=self.division_mg,
            pairs=tuple(pairs.values()),
            counted=tuple(pair for pair in of_counted if pair.state == "complete"),
            beyond=(),
            standing=self.standing,
            waiting=self.waiting,
        )


def _pair_of(block: Block, arm: int, measure: Measure, *, swapped: bool) -> Pair:
    level = block.runs[arm]
    halves = (block.runs[0], None if level is None else level.model_copy(update={"arm": "changed"}))
    one, other = halves[::-1] if swapped else halves
    if swapped:
        one = None if one is None else one.model_copy(update={"arm": "baseline"})
        other = None if other is None else other.model_copy(update={"arm": "changed"})
    state = state_of(measure, (one, other))
    begun = any(run is not None and is_made(run) for run in (one, other))
    return Pair(block.number, one, other, state, begun and (state != "open" or block.passed))


def block_up(trial: Trial, runs: Sequence[Run]) -> Blocking:
    """Which blocks does a graded trial have, and which of them count?

    Runs come in any order, each block and arm at most once. A struck run is a gap of its block, whose other runs stay
    in the sum; it calls in a spare block, where one is left.

    >>> from schemas import Change, Gear, Lot
    >>> trial = Trial(name="t", measure="grain_counts", pairs=2, spares=1, lots=(Lot(kind="natural"),),
    ...     gear=Gear(kind="sluice"), change=Change(variable="mat", baseline="A", changed=("B", "C")))
    >>> runs = [Run(pair=p, arm=a, grains=10) for p in (1, 2) for a in trial.arms]
    >>> seen = block_up(trial, [runs[0].model_copy(update={"void": "spill"}), *runs[1:]])
    >>> [block.number for block in seen.counted], seen.waiting
    ([1, 2], True)
    """
    measure = measure_named(trial.measure)
    blocks = _sorted_out(trial, runs, measure)
    planned = [block for block in blocks if block.number <= trial.pairs]
    standing = sum(block.state == "complete" for block in planned)
    waiting = any(block.state == "open" for block in planned)
    to_replace = sum(block.is_struck for block in planned)
    counted, beyond = list(planned), []
    for block in blocks[len(planned) :]:
        called = to_replace > 0 and block.number <= trial.pairs + trial.spares
        if called and block.state == "open":
            waiting, to_replace = True, to_replace - 1
        elif called:
            standing, to_replace = (
                (standing + 1, to_replace - 1) if block.state == "complete" else (standing, to_replace)
            )
            counted.append(block)
        elif any(block.measured):
            beyond.append(block)
    return Blocking(
        measure=measure,
        division_mg=measure.division(trial),
        arms=trial.arms,
        blocks=blocks,
        counted=tuple(block for block in (*counted, *beyond) if sum(block.measured) >= FEWEST_IN_A_BLOCK),
        beyond=tuple(beyond),
        standing=standing,
        waiting=waiting and standing < trial.pairs,
    )


def _sorted_out(trial: Trial, runs: Sequence[Run], measure: Measure) -> tuple[Block, ...]:
    return tuple(
        Block(number, own, state, passed, tuple(_is_measured(measure, run) for run in own))
        for number, own, state, passed in by_number(trial, runs, lambda own: _state(measure, own))
    )


def _state(measure: Measure, runs: Sequence[Run | None]) -> State:
    """Open as long as any run waits, even in a block with a struck one: its other runs are still to be run."""
    states = [state_of(measure, (run,)) for run in runs]
    return "open" if "open" in states else "void" if "void" in states else "complete"


def _is_measured(measure: Measure, run: Run | None) -> bool:
    return run is not None and not run.is_void and measure.number_of(run) is not None
