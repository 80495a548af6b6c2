"""Faults of the hand: slow feed, a favourite, gold weighed with its sand, wet dirt, a magnet used on some.

What a fault does to the gold is assumed, not measured: points are points of recovery at 90 %. What the person writes
down is what an honest one would have written.
"""

import numpy as np

from tests.examination.fault import fault, in_module, sizes
from tests.examination.planted import Block, Planted, plant, points
from tests.examination.shapes import BY_GOLD, MASS, SLUICE, TABLE, TRACERS, TRACERS_TABLE, USUAL, WHEEL, Shape

# --- 5 the hand knows ------------------------------------------------------------------------------------------------


SLOWER = (("25 % more minutes, +2 points", 2.0), ("50 % more, +4 points", 4.0), ("100 % more, +8 points", 8.0))


def _slow_feed(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([0.0, gain]))
    planted.times("minutes", np.where(planted.changed, {2.0: 1.25, 4.0: 1.5, 8.0: 2.0}[gain] + 0.05, 1.0))
    return planted


@fault("the hand knows", "the changed gear was fed slower", SLOWER, USUAL, blanks=("minutes",))
def _fed_slower(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return _slow_feed(shape, block, seed, gain)


HARDER = sizes("{} % more found", 3, 8, 20)


def _more_found(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    factor = np.where(planted.changed, 1.0 + percent / 100, 1.0)
    planted.times("grains", factor)
    planted.times("gold_mg", factor)
    more = np.minimum(planted.columns["kept"] * factor, planted.columns["seeded"])
    planted.write("kept", np.rint(more).astype(np.int64))
    planted.write(
        "in_tails", np.minimum(planted.columns["in_tails"], planted.columns["seeded"] - planted.columns["kept"])
    )
    return planted


@fault(
    "the hand knows",
    "a panner who knew searched the changed jars harder",
    HARDER,
    (TABLE, TRACERS, MASS),
    blanks=("knew",),
)
def _panned_harder(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = _more_found(shape, block, seed, percent)
    planted.plan["knew"] = "both"
    return planted


@fault("the hand knows", "the same, told as a panner who knew nothing", HARDER, (TABLE, TRACERS, MASS), way="unseen")
def _panned_harder_in_secret(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return _more_found(shape, block, seed, percent)


def _fed_slower_by(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([0.0, percent / 10]))
    planted.times("minutes", np.where(planted.changed, 1.0 + percent / 100, 1.0))
    return planted


@fault(
    "the hand knows",
    "the changed gear was fed a little slower",
    (("15 % more minutes, +1.5 points", 15), ("20 % more, +2 points", 20), ("25 % more, +2.5 points", 25)),
    USUAL,
    blanks=("minutes",),
)
def _fed_a_little_slower(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return _fed_slower_by(shape, block, seed, percent)


@fault(
    "the hand knows",
    "the changed gear was fed slower by what a timer hardly tells",
    (("3 % more minutes, +0.3 points", 3), ("5 % more, +0.5 points", 5), ("8 % more, +0.8 points", 8)),
    USUAL,
    way="unseen",
)
def _fed_a_hair_slower(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return _fed_slower_by(shape, block, seed, percent)


# --- 7 concentrate for gold ------------------------------------------------------------------------------------------


SAND = sizes("{} % more weight", 5, 15, 30)


@fault(
    "concentrate for gold",
    "black sand left in the changed gold only",
    SAND,
    (MASS, SLUICE, WHEEL),
    blanks=("magnet", "loupe"),
)
def _sand_in_changed(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    planted.times("gold_mg", np.where(planted.changed, 1.0 + percent / 100, 1.0))
    for tick in ("magnet", "loupe"):
        planted.write(tick, ~planted.changed)
    return planted


@fault(
    "concentrate for gold",
    "no gold cleaned, more sand in the changed",
    SAND,
    (MASS, SLUICE, WHEEL),
    blanks=("magnet", "loupe"),
)
def _sand_in_all(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    planted.times("gold_mg", np.where(planted.changed, 1.1 + percent / 100, 1.1))
    for tick in ("magnet", "loupe"):
        planted.write(tick, values=False)
    return planted


# --- 8 recovery alone ------------------------------------------------------------------------------------------------


@fault("recovery alone", "slower feed bought the gain", SLOWER, USUAL, blanks=("minutes",), costs=True)
def _bought_by_minutes(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return _slow_feed(shape, block, seed, gain)


@fault(
    "recovery alone",
    "more black sand bought the gain",
    (("1.7 times the sand, +2 points", 2.0), ("2.5 times, +4 points", 4.0), ("4 times, +8 points", 8.0)),
    USUAL,
    blanks=("black_sand_g",),
    costs=True,
)
def _bought_by_sand(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([0.0, gain]))
    planted.times("black_sand_g", np.where(planted.changed, {2.0: 1.7, 4.0: 2.5, 8.0: 4.0}[gain], 1.0))
    return planted


# --- 12 moisture, 13 magnetics ---------------------------------------------------------------------------------------


WET = sizes("{} % less dry dirt", 2, 3, 4, 8, 14)


@fault("moisture", "the unchanged halves were wet; dry masses written", WET, BY_GOLD, blanks=("fed_g",))
def _wet_and_dried(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed, richness=lambda _: np.array([1.0 - percent / 100, 1.0]))
    planted.times("fed_g", np.where(planted.changed, 1.0, 1.0 - percent / 100))
    return planted


@fault("moisture", "the unchanged halves were wet; wet masses written", WET, BY_GOLD, way="unseen")
def _wet_undried(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return plant(shape, block, seed, richness=lambda _: np.array([1.0 - percent / 100, 1.0]))


@fault(
    "moisture",
    "the unchanged halves were wet; wet masses and moisture written",
    sizes("{} % less dry dirt", 3, 8, 14),
    BY_GOLD,
)
def _wet_and_read(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed, richness=lambda _: np.array([1.0 - percent / 100, 1.0]))
    planted.write("moisture_percent", np.where(planted.changed, 1.0, 1.0 + percent))
    return planted


@fault(
    "magnetics",
    "black sand left among the unchanged grains, drawn off the changed",
    sizes("{} % of the grains unseen", 3, 8, 20),
    (TABLE, TRACERS, TRACERS_TABLE),
)
def _sand_among_grains(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    for name in ("grains", "kept"):
        planted.times(name, np.where(planted.changed, 1.0, 1.0 - percent / 100))
    planted.write("magnet", planted.changed)
    return planted


DRAGGED = sizes("{} % of the gold", 2, 5, 10)


@fault(
    "magnetics",
    "the magnet was used on the unchanged gold only, and dragged gold off",
    DRAGGED,
    (MASS, SLUICE, WHEEL),
    blanks=("magnet",),
)
def _magnet_on_baseline(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    planted.times("gold_mg", np.where(planted.changed, 1.0, 1.0 - percent / 100))
    planted.write("magnet", ~planted.changed)
    return planted


@fault("magnetics", "used on all, harder on the unchanged", DRAGGED, (MASS, SLUICE, WHEEL), way="unseen")
def _magnet_harder(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    planted.times("gold_mg", np.where(planted.changed, 1.0, 1.0 - percent / 100))
    return planted


FAULTS = in_module(globals())
