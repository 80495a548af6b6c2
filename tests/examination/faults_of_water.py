"""Faults of the water: how much of it, how cold, with soap or clay in it.

What a fault does to the gold is assumed, not measured: points are points of recovery at 90 %. What the person writes
down is what an honest one would have written.
"""

import numpy as np

from tests.examination.fault import fault, in_module, sizes
from tests.examination.planted import Block, Planted, plant, points
from tests.examination.shapes import USUAL, Shape

# --- 16 water or temperature, 17 wetting aid, 18 clay ----------------------------------------------------------------


GAINS = {1: 1.0, 2: 3.0, 3: 6.0}


@fault(
    "water or temperature drift",
    "more water with the changed gear",
    (("8 %, +1 point", 1), ("20 %, +3 points", 2), ("40 %, +6 points", 3)),
    USUAL,
    blanks=("water_l_min", "water_end_l_min"),
)
def _more_water(shape: Shape, block: Block, seed: int, step: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([0.0, GAINS[int(step)]]))
    factor = np.where(planted.changed, 1.0 + {1: 0.08, 2: 0.2, 3: 0.4}[int(step)], 1.0)
    planted.times("water_l_min", factor)
    planted.times("water_end_l_min", factor)
    return planted


@fault(
    "water or temperature drift",
    "a little less water in every changed run, well timed",
    (("3.5 %, +0.5 points", 3.5), ("4 %, +0.8 points", 4.0), ("4.5 %, +1 point", 4.5)),
    USUAL,
    blanks=("water_l_min", "water_end_l_min"),
)
def _a_little_less_water(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([0.0, {3.5: 0.5, 4.0: 0.8, 4.5: 1.0}[percent]]))
    timed = planted.rng.normal(1.0, 0.003, planted.schedule.shape) * np.where(planted.changed, 1 - percent / 100, 1.0)
    for name in ("water_l_min", "water_end_l_min"):
        planted.write(name, 20.0 * timed)
    return planted


@fault(
    "water or temperature drift",
    "the changed runs a little warmer",
    (("2 C, +0.5 points", 2.0), ("2.5 C, +0.7 points", 2.5), ("2.9 C, +0.8 points", 2.9)),
    USUAL,
    blanks=("temp_c",),
)
def _a_little_warmer(shape: Shape, block: Block, seed: int, gap: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([0.0, 0.28 * gap]))
    planted.columns["temp_c"] = planted.columns["temp_c"] + np.where(planted.changed, gap, 0.0)
    return planted


@fault(
    "water or temperature drift",
    "water fell during the unchanged runs",
    (("by 18 %, -1 point", 1), ("by 30 %, -3 points", 2), ("by 50 %, -6 points", 3)),
    USUAL,
    blanks=("water_end_l_min",),
)
def _water_fell(shape: Shape, block: Block, seed: int, step: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([-GAINS[int(step)], 0.0]))
    fall = {1: 0.18, 2: 0.3, 3: 0.5}[int(step)]
    planted.write("water_end_l_min", planted.columns["water_l_min"] * np.where(planted.changed, 1.0, 1.0 - fall))
    return planted


@fault(
    "water or temperature drift",
    "the unchanged runs in the cold",
    (("4 C, -1 point", 1), ("9 C, -3 points", 2), ("15 C, -6 points", 3)),
    USUAL,
    blanks=("temp_c",),
)
def _cold_baseline(shape: Shape, block: Block, seed: int, step: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([-GAINS[int(step)], 0.0]))
    gap = {1: 4.0, 2: 9.0, 3: 15.0}[int(step)]
    middle = planted.columns["temp_c"].mean(axis=-1, keepdims=True)
    planted.columns["temp_c"] = middle + np.where(planted.changed, gap / 2, -gap / 2)
    return planted


@fault(
    "water or temperature drift",
    "the water warmed over each session, order as drawn",
    sizes("+{} points a run", 0.5, 1, 3),
    USUAL,
    way="shared out",
)
def _warmed(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return plant(shape, block, seed, logits=lambda schedule: points(gain) * ((schedule.turn - 1) % 4))


@fault(
    "wetting aid build-up",
    "drops with the changed gear only",
    (("1 drop, +1 point", 1), ("4 drops, +3 points", 2), ("10 drops, +6 points", 3)),
    USUAL,
    blanks=("wetting_drops_10l",),
)
def _soap_in_changed(shape: Shape, block: Block, seed: int, step: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([0.0, GAINS[int(step)]]))
    planted.write("wetting_drops_10l", np.where(planted.changed, {1: 1.0, 2: 4.0, 3: 10.0}[int(step)], 0.0))
    return planted


@fault(
    "wetting aid build-up",
    "built up in the tub, order as drawn",
    sizes("+{} points a run", 0.5, 1, 2),
    USUAL,
    way="shared out",
)
def _soap_built_up(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return plant(shape, block, seed, logits=lambda schedule: points(gain) * (schedule.turn - 1))


@fault(
    "clay in recirculated water",
    "the water thickened, order as drawn",
    sizes("-{} points a run", 0.5, 1, 2),
    USUAL,
    way="shared out",
)
def _clay_drawn(shape: Shape, block: Block, seed: int, loss: float) -> Planted:
    return plant(shape, block, seed, logits=lambda schedule: points(-loss) * ((schedule.turn - 1) % 8))


@fault(
    "clay in recirculated water",
    "fresh water for the changed gear only",
    sizes("+{} points", 2, 5, 10),
    USUAL,
    way="unseen",
)
def _clear_for_changed(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return plant(shape, block, seed, logits=lambda _: points([0.0, gain]))


@fault(
    "clay in recirculated water",
    "the same, with the cloud of every run written down",
    sizes("+{} points", 2, 5, 10),
    USUAL,
)
def _clear_and_read(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    planted = _clear_for_changed.makes(shape, block, seed, gain)
    planted.write("cloud", np.where(planted.changed, 0, 2))
    return planted


@fault(
    "clay in recirculated water",
    "fresh water for each pair, changed gear always first in it",
    sizes("+{} points", 2, 5, 10),
    USUAL,
    blanks=("turn",),
)
def _clear_first(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return plant(
        shape, block, seed, logits=lambda schedule: points(gain) * (schedule.turn % 2 == 1), changed_first=np.ones_like
    )


FAULTS = in_module(globals())
