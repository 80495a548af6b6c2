"""Which run was made when, in which session and by whom."""

from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from trials.simulation.arrays import IntArray
from trials.statistics.arrays import Numbers

Number = TypeVar("Number", np.float64, np.int64)


@dataclass(frozen=True, eq=False)
class Schedule:
    """The order of the runs of many trials; every array has shape (trials, pairs, arms).

    turn: 1 to pairs x arms, each once in every trial.
    """

    turn: IntArray
    session: IntArray
    feeder: IntArray

    def __post_init__(self) -> None:
        flat = self.turn.reshape(self.turn.shape[0], -1)
        each_once = np.arange(flat.shape[1]) + 1
        if not (np.sort(flat, axis=1) == each_once).all():
            raise ValueError(
                f"Schedule.turn does not hold each turn from 1 to {flat.shape[1]} once in every trial. "
                "Number the runs of each trial in the order they were made."
            )
        for name in ("session", "feeder"):
            label: IntArray = getattr(self, name)
            least = label.min(initial=0)
            if label.shape != self.turn.shape or least < 0:
                raise ValueError(
                    f"Schedule.{name} has shape {label.shape} and least label {least}; it must have the "
                    f"shape of turn, {self.turn.shape}, and labels from 0. Give one label a run."
                )

    @property
    def shape(self) -> tuple[int, int, int]:
        """Return (trials, pairs, arms)."""
        trials, pairs, arms = self.turn.shape
        return trials, pairs, arms


def paired_schedule(
    changed_first: npt.ArrayLike,
    *,
    trials: int = 1,
    sessions: npt.ArrayLike | None = None,
    feeders: npt.ArrayLike | None = None,
) -> Schedule:
    """Lay out the turns of a paired trial: pair after pair, the two halves of a pair one after the other.

    changed_first: True where the changed gear runs first; shape (pairs,) or (trials, pairs).
    trials: How many trials share the order given; ignored for shape (trials, pairs).
    sessions, feeders: Labels from 0, of shape (pairs,) for both halves alike, or (pairs, 2) or (trials, pairs, 2) half
        by half. Without them every pair has its own session and one person feeds all runs.

    >>> paired_schedule([False, True]).turn
    array([[[1, 2],
            [4, 3]]])
    """
    first = np.atleast_2d(np.asarray(changed_first, dtype=bool))
    if np.ndim(changed_first) == 1:
        first = np.broadcast_to(first, (trials, first.shape[1]))
    turn = _block_after_block(np.stack([first, ~first], axis=-1).astype(np.int64))
    own = np.arange(first.shape[1])
    return Schedule(
        turn=turn,
        session=_labels(own if sessions is None else sessions, turn.shape),
        feeder=_labels(np.zeros_like(own) if feeders is None else feeders, turn.shape),
    )


def block_schedule(order: IntArray) -> Schedule:
    """Lay out the turns of graded trials: block after block, the set-ups of each one after the other.

    order: The arms of each block as they are run, the baseline 0; shape (trials, blocks, arms). Every block has its own
        session and one person feeds all runs.

    >>> block_schedule(np.array([[[0, 2, 1], [1, 0, 2]]])).turn
    array([[[1, 3, 2],
            [5, 4, 6]]])
    """
    turn = _block_after_block(np.argsort(order, axis=-1))
    return Schedule(turn, session=_labels(np.arange(turn.shape[1]), turn.shape), feeder=np.zeros_like(turn))


def _block_after_block(places: IntArray) -> IntArray:
    """The turn of each run in the whole trial, from its place, counted from 0, in its block."""
    _, blocks, arms = places.shape
    turn: IntArray = arms * np.arange(blocks)[:, np.newaxis] + places + 1
    return turn


def next_run(schedule: Schedule, left_behind: npt.NDArray[Number]) -> npt.NDArray[Number]:
    """Hand to each run what the run before it left behind; shape (trials, pairs, arms, ...), any unit.

    0 for the first run of a trial, which starts in clean gear. What the last run leaves is seen by no one.

    >>> next_run(paired_schedule([False, True]), np.array([[[1.0, 2.0], [3.0, 4.0]]]))
    array([[[0., 1.],
            [4., 2.]]])
    """
    trials, pairs, arms = schedule.shape
    order = np.argsort(schedule.turn.reshape(trials, -1), axis=1)
    flat = left_behind.reshape(trials, pairs * arms, *left_behind.shape[3:])
    arrived = np.zeros_like(flat)
    row = np.arange(trials)[:, np.newaxis]
    arrived[row, order[:, 1:]] = flat[row, order[:, :-1]]
    return arrived.reshape(left_behind.shape)


def by_label(values: Numbers, labels: IntArray) -> Numbers:
    """Give every run the value of its session or feeder: `values` (trials, labels), picked trial by trial."""
    flat = labels.reshape(labels.shape[0], -1)
    return np.take_along_axis(values, flat, axis=1).reshape(labels.shape)


def _labels(given: npt.ArrayLike, shape: tuple[int, ...]) -> IntArray:
    labels = np.asarray(given, dtype=np.int64)
    if labels.ndim == 1:
        labels = labels[:, np.newaxis]
    return np.broadcast_to(labels, shape)
