"""Faults of weighing, screening and counting: a scale that wanders, grabs, flakes, salt, a tired eye.

What a fault does to the gold is assumed, not measured: points are points of recovery at 90 %. What the person writes
down is what an honest one would have written.
"""

from collections.abc import Callable

import numpy as np

from tests.examination.fault import fault, in_module, sizes
from tests.examination.planted import Array, Block, Planted, plant, points
from tests.examination.shapes import (
    BY_COUNT,
    BY_GOLD,
    MASS,
    RECOVERY_TABLE,
    SLUICE,
    TABLE,
    TAILS,
    TRACERS,
    TRACERS_TABLE,
    WEIGHED,
    WHEEL,
    Shape,
)

# --- 14 scale drift, 15 screening difference -------------------------------------------------------------------------


WANDERED = sizes("{} mg over all weighings", 5, 20, 80)


def _wandered(planted: Planted, place: Array, mg: float) -> Planted:
    last = place.max()
    for name in ("gold_mg", "tails_gold_mg"):
        planted.columns[name] = np.maximum(0.0, planted.columns[name] + mg * place / last)
    return planted


@fault("scale drift", "weighed in the order of the codes", WANDERED, WEIGHED, way="shared out")
def _wandered_by_code(shape: Shape, block: Block, seed: int, mg: float) -> Planted:
    planted = plant(shape, block, seed)
    trials, pairs, arms = planted.schedule.shape
    by_code = planted.rng.permuted(np.tile(np.arange(pairs * arms), (trials, 1)), axis=1)
    return _wandered(planted, by_code.reshape(trials, pairs, arms), mg)


@fault("scale drift", "all unchanged jars weighed before the changed", WANDERED, (MASS, SLUICE, WHEEL), way="unseen")
def _wandered_by_arm(shape: Shape, block: Block, seed: int, mg: float) -> Planted:
    planted = plant(shape, block, seed)
    pairs = planted.schedule.shape[1]
    place = np.arange(pairs)[:, np.newaxis] + np.array([0, pairs])
    return _wandered(planted, np.broadcast_to(place, planted.schedule.shape), mg)


@fault(
    "scale drift",
    "the same, with a check weight read before and after",
    sizes("{} mg over all weighings", 5, 20, 80),
    (MASS, SLUICE, WHEEL),
)
def _wandered_and_read(shape: Shape, block: Block, seed: int, mg: float) -> Planted:
    planted = _wandered_by_arm.makes(shape, block, seed, mg)
    planted.write("check_before_g", 20.0)
    planted.write("check_after_g", 20.0 + mg / 1000.0)
    return planted


SCREENED = sizes("{} % more gold let through", 5, 12, 30)


@fault("screening difference", "the lot screened once, through a torn mesh", SCREENED, BY_GOLD, way="shared out")
def _torn_for_both(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return plant(shape, block, seed, richness=lambda _: np.array(1.0 + percent / 100))


@fault(
    "screening difference", "the changed halves screened apart, through a torn mesh", SCREENED, BY_GOLD, way="unseen"
)
def _torn_for_changed(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return plant(shape, block, seed, richness=lambda _: np.array([1.0, 1.0 + percent / 100]))


TOLD_BY_SIZE = 0.2
"""Share of the gold that is coarse where the lot was screened well."""


@fault(
    "screening difference",
    "the same, with the gold told by size",
    sizes("{} % more gold let through", 12, 20, 40),
    (MASS, WHEEL, RECOVERY_TABLE),
)
def _torn_and_told(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed, richness=lambda _: np.array([1.0, 1.0 + percent / 100]))
    through = np.where(planted.changed, percent / 100, 0.0)
    share = (TOLD_BY_SIZE + through) / (1.0 + through) * planted.rng.normal(1.0, 0.05, planted.schedule.shape)
    for name in ("gold_mg", "tails_gold_mg"):
        planted.write(f"{name} +20", planted.columns[name] * share)
        planted.write(f"{name} -20", planted.columns[name] * (1.0 - share))
    return planted


# --- 19 tail grabs ---------------------------------------------------------------------------------------------------


TAILED = (SLUICE, TAILS, RECOVERY_TABLE)


@fault(
    "tail grabs",
    "the changed gear's tails grabbed when they ran lean",
    sizes("{} % missed", 20, 50, 80),
    TAILED,
    blanks=("tails.caught",),
)
def _grabbed_lean(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    planted.times("tails_gold_mg", np.where(planted.changed, 1.0 - percent / 100, 1.0))
    planted.plan["tails"] = {"caught": "grab"}
    return planted


@fault("tail grabs", "grabs of both, as luck has it", sizes("CV {} %", 30, 60, 100), TAILED, way="shared out")
def _grabbed_by_luck(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    sd = np.sqrt(np.log1p((percent / 100) ** 2))
    planted.times("tails_gold_mg", np.exp(planted.rng.normal(0.0, sd, planted.schedule.shape)))
    planted.plan["tails"] = {"caught": "grab"}
    return planted


# --- 22 flakes used again, 23 salting, 24 drift of the judge ---------------------------------------------------------


@fault(
    "flakes used again",
    "they flattened from run to run, order as drawn",
    sizes("-{} points a run", 0.5, 1, 2),
    BY_COUNT,
    way="shared out",
)
def _flattened(shape: Shape, block: Block, seed: int, loss: float) -> Planted:
    return plant(shape, block, seed, logits=lambda schedule: points(-loss) * (schedule.turn - 1))


@fault(
    "flakes used again",
    "grains stayed in the unchanged gear, written as missing",
    sizes("{} % of its grains", 7, 12, 25),
    BY_COUNT,
    blanks=("in_tails",),
)
def _stayed_in(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    planted.times("kept", np.where(planted.changed, 1.0, 1.0 - percent / 100))
    return planted


@fault(
    "flakes used again", "the fresh set went to the changed gear", sizes("+{} points", 2, 5, 10), BY_COUNT, way="unseen"
)
def _fresh_for_changed(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return plant(shape, block, seed, logits=lambda _: points([0.0, gain]))


def _more_gold(shape: Shape, block: Block, seed: int, percent: float, where: Callable[[Planted], Array]) -> Planted:
    planted = plant(shape, block, seed)
    factor = np.where(where(planted), 1.0 + percent / 100, 1.0)
    planted.times("gold_mg", factor)
    planted.times("grains", factor)
    return planted


SALT = sizes("{} % more gold", 5, 15, 40)


@fault("salting", "gold left in pans and boots came into a third of the runs", SALT, BY_GOLD, way="shared out")
def _stray_gold(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return _more_gold(shape, block, seed, percent, lambda p: p.rng.random(p.schedule.shape) < 1 / 3)


@fault("salting", "gold brought into the changed jars on purpose", SALT, BY_GOLD, way="unseen")
def _salted(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return _more_gold(shape, block, seed, percent, lambda p: p.changed)


@fault("salting", "pans held gold before the changed runs, and a blank pan was looked at", SALT, BY_GOLD)
def _held_and_looked_at(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = _more_gold(shape, block, seed, percent, lambda p: p.changed)
    planted.write("blank_pan", np.where(planted.changed, 1, 0))
    return planted


@fault("salting", "counts made up: every pair alike", sizes("{} % more", 4, 8, 15), (TABLE, TRACERS, TRACERS_TABLE))
def _made_up(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    for name in ("grains", "kept"):
        first = planted.columns[name][:, :1, :1] * 0.8
        planted.columns[name] = np.broadcast_to(
            np.rint(first * np.where(planted.changed, 1 + percent / 100, 1.0)).astype(np.int64), planted.schedule.shape
        )
    planted.write("in_tails", planted.columns["seeded"] - planted.columns["kept"])
    return planted


MISSED = sizes("{} % fewer at the last jar", 3, 10, 25)


def _counted_late(planted: Planted, place: Array, percent: float) -> Planted:
    factor = 1.0 - percent / 100 * place / place.max()
    planted.times("grains", factor)
    planted.times("kept", factor)
    return planted


@fault(
    "drift of the judge", "counted in the order of the codes", MISSED, (TABLE, TRACERS, TRACERS_TABLE), way="shared out"
)
def _late_by_code(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    trials, pairs, arms = planted.schedule.shape
    by_code = planted.rng.permuted(np.tile(np.arange(pairs * arms), (trials, 1)), axis=1)
    return _counted_late(planted, by_code.reshape(trials, pairs, arms), percent)


@fault(
    "drift of the judge",
    "all changed jars counted first, by one who knew",
    MISSED,
    (TABLE, TRACERS, TRACERS_TABLE),
    blanks=("knew",),
)
def _late_by_arm(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    pairs = planted.schedule.shape[1]
    place = np.arange(pairs)[:, np.newaxis] + np.array([pairs, 0])
    planted.plan["knew"] = "both"
    return _counted_late(planted, np.broadcast_to(place, planted.schedule.shape), percent)


FAULTS = in_module(globals())
