"""Runs of an audit: which are in the sum, and the grains of each size that were counted in and out."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from schemas import Run, Trial, is_made
from trials.measures.catalogue import measure_named
from trials.measures.classes import labels_coarse_first
from trials.measures.pairing import fill_places, state_of
from trials.statistics.arrays import Numbers

NO_SIZE = ""
"""The label of grains whose sizes were not told apart."""


@dataclass(frozen=True, slots=True)
class Audited:
    """The runs of an audit, sorted out.

    runs: every run on record, in order of number. counted: those in the sum. standing: as many of the planned ones as
    are in, spares for struck ones among them. beyond: counted runs past the plan. waiting: any is still to be made.
    """

    runs: tuple[Run, ...]
    counted: tuple[Run, ...]
    standing: int
    beyond: tuple[Run, ...]
    waiting: bool


@dataclass(frozen=True, slots=True)
class SizeGrid:
    """Grains by run and size: labels coarse to fine, then (runs, sizes) of seeded, kept and, NaN unknown, in the tails.

    left_out: sizes that were not counted in every run.
    """

    labels: tuple[str, ...]
    seeded: Numbers
    kept: Numbers
    in_tails: Numbers
    left_out: tuple[str, ...]


def sort_audit(trial: Trial, runs: Sequence[Run]) -> Audited:
    """Which runs of an audit are in the sum? Struck ones call in a spare each.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="t", measure="tracers", pairs=2, spares=1, audit=True, lots=(Lot(kind="made up"),),
    ...     gear=Gear(kind="sluice"))
    >>> seen = sort_audit(trial, [Run(pair=1, arm="", seeded=25, kept=20), Run(pair=2, arm="", void="spill")])
    >>> seen.standing, seen.waiting
    (1, True)
    """
    measure = measure_named(trial.measure)
    by_number = {run.pair: run for run in runs}
    numbers = sorted({*range(1, trial.pairs + trial.spares + 1), *by_number})
    places = fill_places(trial, {number: state_of(measure, (by_number.get(number),)) for number in numbers})
    return Audited(
        runs=tuple(run for run in sorted(runs, key=lambda run: run.pair) if is_made(run)),
        counted=tuple(by_number[number] for number in (*places.standing, *places.beyond)),
        standing=len(places.standing),
        beyond=tuple(by_number[number] for number in places.beyond),
        waiting=places.waiting,
    )


def size_grid(trial: Trial, runs: Sequence[Run]) -> SizeGrid:
    """Lay out the grains of these runs by size; all together where no run tells sizes apart."""
    labels = labels_coarse_first((part.label for run in runs for part in run.classes), trial.sizes.series)
    rows = {label: [_counts(run, label) for run in runs] for label in labels or [NO_SIZE]}
    whole = [label for label, counts in rows.items() if None not in counts]
    grid = np.array([[rows[label][at] for label in whole] for at in range(len(runs))], dtype=float)
    grid = grid.reshape(len(runs), len(whole), 3)
    left_out = tuple(label for label in rows if label not in whole)
    return SizeGrid(tuple(whole), grid[..., 0], grid[..., 1], grid[..., 2], left_out)


def _counts(run: Run, label: str) -> tuple[float, float, float] | None:
    """Seeded, kept and in the tails of one size; None where it was not counted in and out."""
    part = run if label == NO_SIZE else next((part for part in run.classes if part.label == label), None)
    if part is None or not part.seeded or part.kept is None:
        return None
    return float(part.seeded), float(part.kept), float("nan") if part.in_tails is None else float(part.in_tails)
