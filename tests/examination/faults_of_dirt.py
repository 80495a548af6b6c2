"""Faults of the dirt: a second pass, a richer pile, nuggets, a split that is none.

What a fault does to the gold is assumed, not measured: points are points of recovery at 90 %. What the person writes
down is what an honest one would have written.
"""

from collections.abc import Callable
from typing import Any

import numpy as np

from tests.examination.fault import fault, in_module, sizes
from tests.examination.planted import Array, Block, Planted, plant
from tests.examination.shapes import BY_GOLD, MASS, SLUICE, TABLE, WHEEL, Shape

# --- 1 second pass ---------------------------------------------------------------------------------------------------


PAIRS_WITHOUT = (("in every pair", 1.0), ("in half of the pairs", 0.5), ("in one pair", 0.0))


def _some_pairs(planted: Planted, share: float) -> Array:
    """The first pairs of a trial, one at least."""
    pairs = planted.schedule.shape[1]
    return (np.arange(pairs) < max(1, round(share * pairs)))[np.newaxis, :, np.newaxis]


@fault("second pass", "no unchanged half was run", PAIRS_WITHOUT, (TABLE, WHEEL, SLUICE))
def _no_unchanged_half(shape: Shape, block: Block, seed: int, share: float) -> Planted:
    planted = plant(shape, block, seed)
    planted.left_out = np.broadcast_to(_some_pairs(planted, share) & ~planted.changed, planted.schedule.shape)
    return planted


@fault("second pass", "the unchanged half was not run, and written as 0 found", PAIRS_WITHOUT, (TABLE, WHEEL, SLUICE))
def _unchanged_as_none(shape: Shape, block: Block, seed: int, share: float) -> Planted:
    planted = plant(shape, block, seed)
    kept = ~(_some_pairs(planted, share) & ~planted.changed)
    for name in ("gold_mg", "tails_gold_mg", "grains"):
        planted.times(name, kept)
    planted.write("largest_mg", np.minimum(planted.columns["largest_mg"], planted.columns["gold_mg"]))
    return planted


@fault(
    "second pass",
    "the changed gear ran its own tails again, told as one run",
    (("half of them", 0.5), ("all of them", 1.0), ("all of them, twice", 2.0)),
    (SLUICE, TABLE, MASS),
    blanks=("minutes",),
    costs=True,
)
def _both_passes(shape: Shape, block: Block, seed: int, passes: float) -> Planted:
    def keeps(p: Array) -> Array:
        return 1.0 - (1.0 - p) * (1.0 - 0.5 * p if passes < 1 else (1.0 - p) ** passes)

    planted = plant(shape, block, seed, keeps=keeps)
    planted.times("minutes", np.where(planted.changed, 1.0 + passes, 1.0))
    return planted


# --- 2 feed drift ----------------------------------------------------------------------------------------------------


RICHER = sizes("{} % richer", 20, 50, 100)


@fault("feed drift", "the changed halves came from a richer face", RICHER, (MASS, TABLE, WHEEL), blanks=("fed_lot",))
def _richer_face(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed, richness=lambda _: np.array([1.0, 1.0 + percent / 100]))
    lot = planted.plan["lots"][0]
    planted.plan["lots"] = [lot | {"name": "face-1"}, lot | {"name": "face-2"}]
    planted.write("fed_lot", [["face-1", "face-2"]])
    return planted


def _richer_by_turn(percent: float) -> Callable[[Any], Array]:
    return lambda schedule: 1.0 + percent / 100 * (schedule.turn - 1)


@fault(
    "feed drift",
    "the pile got richer from run to run, changed gear second in every pair",
    sizes("{} % a run", 2, 5, 15),
    (MASS, TABLE, WHEEL),
    blanks=("turn",),
)
def _pile_second(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return plant(shape, block, seed, richness=_richer_by_turn(percent), changed_first=np.zeros_like)


@fault(
    "feed drift",
    "the pile got richer from run to run, order as drawn",
    sizes("{} % a run", 2, 5, 15),
    (MASS, TABLE, WHEEL),
    way="shared out",
)
def _pile_drawn(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return plant(shape, block, seed, richness=_richer_by_turn(percent))


@fault(
    "feed drift",
    "all changed runs on another day, of dirt as rich as that day's",
    sizes("days {} % apart", 20, 50, 100),
    (MASS, TABLE, WHEEL),
    blanks=("session", "turn"),
)
def _other_day(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed, richness=lambda _: np.array([1.0, 1.0 + percent / 100]))
    planted.write("session", [["2026-05-03 am", "2026-05-10 am"]])
    pairs = planted.schedule.shape[1]
    planted.write("turn", np.stack([np.arange(1, pairs + 1), np.arange(pairs + 1, 2 * pairs + 1)], axis=-1))
    return planted


# --- 3 coarse nugget -------------------------------------------------------------------------------------------------


def _nugget(shape: Shape, block: Block, seed: int, percent: float, runs: Array) -> Planted:
    """A piece of so many % of the run's other gold, weighed with it and told as the largest piece."""
    planted = plant(shape, block, seed)
    where = np.broadcast_to(runs, planted.schedule.shape)
    piece = np.where(where, planted.columns["gold_mg"] * percent / 100, 0.0)
    planted.columns["gold_mg"] = planted.columns["gold_mg"] + piece
    planted.columns["grains"] = planted.columns["grains"] + where
    planted.columns["largest_mg"] = np.maximum(planted.columns["largest_mg"], piece)
    return planted


PIECES = sizes("a piece of {} % of the rest", 30, 100, 400)


@fault("coarse nugget", "one changed run had a piece", PIECES, (MASS, SLUICE, TABLE), blanks=("largest_mg",))
def _one_nugget(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    first = np.zeros((1, shape.pairs, 2), dtype=bool)
    first[0, 0, 1] = True
    return _nugget(shape, block, seed, percent, first)


@fault("coarse nugget", "every changed run had a piece", PIECES, (MASS, SLUICE, WHEEL), blanks=("largest_mg",))
def _every_nugget(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return _nugget(shape, block, seed, percent, np.array([[[False, True]]]))


@fault(
    "coarse nugget",
    "every changed run had a smaller piece",
    sizes("a piece of {} % of the rest", 5, 10, 20),
    (MASS, SLUICE, WHEEL),
    way="unseen",
)
def _smaller_nuggets(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return _nugget(shape, block, seed, percent, np.array([[[False, True]]]))


@fault(
    "coarse nugget",
    "pieces fell where the coin sent them, in a third of the runs",
    PIECES,
    (MASS, SLUICE, WHEEL),
    way="shared out",
)
def _pieces_by_coin(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    drawn = np.random.default_rng([seed, block.number]).random((block.trials, shape.pairs, 2)) < 1 / 3
    return _nugget(shape, block, seed, percent, drawn)


# --- 25 segregation in the bucket ------------------------------------------------------------------------------------


BOTTOM = sizes("{} % richer", 10, 30, 100)


@fault(
    "segregation in the bucket",
    "the bottom half of each bucket to the changed gear",
    BOTTOM,
    BY_GOLD,
    blanks=("lots.splitting",),
)
def _bottom_half(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed, richness=lambda _: np.array([1.0, 1.0 + percent / 100]))
    planted.plan["lots"][0]["splitting"] = "none"
    return planted


@fault(
    "segregation in the bucket",
    "the bottom half to the changed gear, of dirt under 50 mesh",
    BOTTOM,
    BY_GOLD,
    blanks=("lots.splitting",),
)
def _bottom_half_fine(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed, richness=lambda _: np.array([1.0, 1.0 + percent / 100]))
    planted.plan["lots"][0] |= {"splitting": "none", "size": "-50"}
    return planted


@fault(
    "segregation in the bucket",
    "poor halves, which goes where by a coin",
    sizes("variance {} times luck's", 2, 4, 19),
    BY_GOLD,
    way="shared out",
)
def _poor_split(shape: Shape, block: Block, seed: int, vmr: float) -> Planted:
    planted = plant(shape, block, seed, vmr=vmr)
    planted.plan["lots"][0]["splitting"] = "shovel"
    return planted


FAULTS = in_module(globals())
