"""Faults of order, of settings and of gear: practice, a second change, a clean bed, gold left behind.

What a fault does to the gold is assumed, not measured: points are points of recovery at 90 %. What the person writes
down is what an honest one would have written.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from tests.examination.fault import fault, in_module, sizes
from tests.examination.planted import HABITS, Array, Block, Planted, plant, points
from tests.examination.shapes import MASS, SLUICE, TABLE, TAILS, TRACERS, USUAL, WHEEL, Shape

# --- 4 order and learning --------------------------------------------------------------------------------------------


BY_PRACTICE = sizes("+{} points second", 2, 5, 10)


def _practised(gain: float) -> Callable[[Any], Array]:
    return lambda schedule: points(gain) * (schedule.turn % 2 == 0)


@fault("order and learning", "changed gear second in every pair", BY_PRACTICE, USUAL, blanks=("turn",))
def _always_second(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return plant(shape, block, seed, logits=_practised(gain), changed_first=np.zeros_like)


@fault("order and learning", "changed gear second in all pairs but one", BY_PRACTICE, USUAL, blanks=("turn",))
def _mostly_second(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    first = np.arange(shape.pairs) == 0
    return plant(
        shape, block, seed, logits=_practised(gain), changed_first=lambda drawn: np.broadcast_to(first, drawn.shape)
    )


@fault("order and learning", "second runs gain, order as drawn", BY_PRACTICE, USUAL, way="shared out")
def _second_drawn(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return plant(shape, block, seed, logits=_practised(gain))


@fault(
    "order and learning",
    "each run gains, order as drawn",
    sizes("+{} points a run", 0.3, 1, 2),
    USUAL,
    way="shared out",
)
def _drift_drawn(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return plant(shape, block, seed, logits=lambda schedule: points(gain) * (schedule.turn - 1))


# --- 6 two things changed --------------------------------------------------------------------------------------------


@fault(
    "two things changed",
    "the changed gear stood steeper too",
    (("0.8 deg, +2 points", 0.8), ("1.5 deg, +4 points", 1.5), ("3 deg, +8 points", 3.0)),
    USUAL,
    blanks=("pitch_deg",),
)
def _steeper(shape: Shape, block: Block, seed: int, deg: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([0.0, {0.8: 2, 1.5: 4, 3.0: 8}[deg]]))
    planted.columns["pitch_deg"] = planted.columns["pitch_deg"] + np.where(planted.changed, deg, 0.0)
    return planted


@fault(
    "two things changed",
    "another feeder with the changed gear",
    sizes("+{} points", 2, 5, 10),
    USUAL,
    blanks=("feeder",),
)
def _other_feeder(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([0.0, gain]))
    planted.write("feeder", [["A", "C"]])
    return planted


@fault("two things changed", "another screen with the changed gear", sizes("+{} points", 2, 5, 10), USUAL, way="unseen")
def _other_screen(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return plant(shape, block, seed, logits=lambda _: points([0.0, gain]))


def _stood_steeper(shape: Shape, block: Block, seed: int, deg: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([0.0, 2.5 * deg]))
    planted.columns["pitch_deg"] = planted.columns["pitch_deg"] + np.where(planted.changed, deg, 0.0)
    return planted


@fault(
    "two things changed",
    "the changed gear stood a little steeper",
    (("0.35 deg, +0.9 points", 0.35), ("0.4 deg, +1 point", 0.4), ("0.5 deg, +1.3 points", 0.5)),
    USUAL,
    blanks=("pitch_deg",),
)
def _a_little_steeper(shape: Shape, block: Block, seed: int, deg: float) -> Planted:
    return _stood_steeper(shape, block, seed, deg)


@fault(
    "two things changed",
    "the changed gear stood steeper by what a level can't tell",
    (("0.1 deg, +0.3 points", 0.1), ("0.15 deg, +0.4 points", 0.15), ("0.2 deg, +0.5 points", 0.2)),
    USUAL,
    way="unseen",
)
def _a_hair_steeper(shape: Shape, block: Block, seed: int, deg: float) -> Planted:
    return _stood_steeper(shape, block, seed, deg)


@fault(
    "two things changed",
    "one feeder for all changed runs but one, another for the rest",
    sizes("+{} points", 2, 5, 10),
    USUAL,
    blanks=("feeder",),
)
def _one_feeder_but_for_one(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([0.0, gain]))
    last = np.arange(shape.pairs)[:, np.newaxis] == shape.pairs - 1
    planted.write("feeder", np.where(planted.changed[0] & ~last, "A", "C"))
    return planted


# --- 9 clean bed at the start ----------------------------------------------------------------------------------------


CLEAN = sizes("clean keeps {} points less", 2, 5, 10)
BEDDED = (SLUICE, TAILS, TRACERS)


@fault(
    "clean bed at the start",
    "the unchanged gear began clean, the changed loaded",
    CLEAN,
    BEDDED,
    blanks=("conditioned",),
)
def _clean_baseline(shape: Shape, block: Block, seed: int, loss: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([-loss, 0.0]))
    planted.write("conditioned", planted.changed)
    return planted


@fault(
    "clean bed at the start",
    "the first run of each session began clean, order as drawn",
    CLEAN,
    BEDDED,
    way="shared out",
)
def _clean_first(shape: Shape, block: Block, seed: int, loss: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda schedule: points(-loss) * (schedule.turn % 4 == 1))
    planted.write("conditioned", values=False)
    return planted


# --- 10 carry-over, 11 gold under the mat ----------------------------------------------------------------------------


LEFT = sizes("{} % of a run's gold", 2, 10, 25)


@fault("carry-over", "left in the gear, order as drawn", LEFT, (MASS, SLUICE, TABLE), way="shared out")
def _carried(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed, noise=replace(HABITS, carry_over=percent / 100))
    planted.write("stripped", values=False)
    return planted


@fault(
    "carry-over",
    "only before the unchanged runs was the gear stripped",
    LEFT,
    (MASS, SLUICE, TABLE),
    blanks=("stripped",),
)
def _carried_into_changed(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    factor = np.where(planted.changed, 1.0 + percent / 100, 1.0)
    planted.times("gold_mg", factor)
    planted.times("grains", factor)
    planted.write("stripped", ~planted.changed)
    return planted


@fault(
    "gold under the mat",
    "gold stayed under the mat, and came out when it was changed",
    sizes("{} % of a run's gold", 2, 5, 12),
    (MASS, SLUICE, TAILS),
    blanks=("stripped",),
)
def _under_the_mat(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    planted.times("gold_mg", np.where(planted.changed, 1.0 + percent / 100, 1.0 - percent / 100))
    planted.write("stripped", ~planted.changed)
    return planted


@fault("carry-over", "the same, with the strip-down ticked and not done", LEFT, (MASS, SLUICE, TABLE), way="unseen")
def _carried_in_secret(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    factor = np.where(planted.changed, 1.0 + percent / 100, 1.0)
    planted.times("gold_mg", factor)
    planted.times("grains", factor)
    return planted


@fault(
    "gold under the mat",
    "the same, with the mat ticked and not lifted",
    sizes("{} % of a run's gold", 2, 5, 12),
    (MASS, SLUICE, WHEEL),
    way="unseen",
)
def _under_the_mat_in_secret(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    planted.times("gold_mg", np.where(planted.changed, 1.0 + percent / 100, 1.0 - percent / 100))
    return planted


FAULTS = in_module(globals())
