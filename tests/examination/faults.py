"""Faults of the dirt, the gear and the hand: how each is planted, and how large.

What a fault does to the gold is assumed, not measured: points are points of recovery at 90 %. What the person writes
down is what an honest one would have written.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Literal
from zlib import crc32

import numpy as np

from tests.examination.judged import Told, told_of
from tests.examination.planted import HABITS, Array, Block, Planted, plant, points
from tests.examination.shapes import (
    MASS,
    RECOVERY_TABLE,
    SLUICE,
    TABLE,
    TAILS,
    TRACERS,
    TRACERS_BOWL,
    TRACERS_TABLE,
    WHEEL,
    Shape,
)

Way = Literal["told", "shared out", "unseen"]
"""What should stand against it: whoever reads the verdict is told; the balanced draw; nothing that data can show."""
Makes = Callable[[Shape, Block, int, float], Planted]
USUAL = (TABLE, SLUICE, TRACERS)
WEIGHED = (MASS, SLUICE, TAILS)
BY_GOLD = (MASS, TABLE, WHEEL)
COUNTED = (TRACERS, TRACERS_TABLE, TRACERS_BOWL)


@dataclass(frozen=True)
class Fault:
    """One way to plant one pitfall.

    Attributes
    ----------
    pitfall, how
        Which, and how it is planted; `{}` in `how` stands for the size.
    sizes
        Three or more, as they are written and as they are planted.
    shapes
        Three or more.
    makes
        Draws a block: shape, block, seed, size.
    way
        What should stand against it.
    blanks
        The columns, or places of the plan, that would tell it; a careless person leaves them blank.
    costs
        Whether a cost over its limit tells it.
    """

    pitfall: str
    how: str
    sizes: tuple[tuple[str, float], ...]
    shapes: tuple[Shape, ...]
    makes: Makes
    way: Way = "told"
    blanks: tuple[str, ...] = ()
    costs: bool = False

    @property
    def told(self) -> Told:
        """What counts as being told."""
        return told_of(self.pitfall, costs=self.costs)

    def block(self, shape: Shape, size: float, block: Block, *, blank: bool = False) -> Planted:
        """One block of trials with the fault in them; with `blank`, told by nobody."""
        seed = crc32(f"{self.pitfall}|{self.how}|{size}|{shape.name}".encode())
        planted = self.makes(shape, block, seed, size)
        if blank:
            planted.blank(*(name for name in self.blanks if name in planted.columns or "." in name or name == "knew"))
        return planted


def sizes(words: str, *values: float) -> tuple[tuple[str, float], ...]:
    """Sizes with their words: `{}` is the number."""
    return tuple((words.format(f"{value:g}"), value) for value in values)


def fault(pitfall: str, how: str, these: Any, shapes: Any, **more: Any) -> Callable[[Makes], Fault]:
    """Make a fault of the function that plants it."""

    def made(makes: Makes) -> Fault:
        return Fault(pitfall, how, these, shapes, makes, **more)

    return made


# --- 1 second pass ------------------------------------------------------------------------------------------------

PAIRS_WITHOUT = (("in every pair", 1.0), ("in half of the pairs", 0.5), ("in one pair", 0.0))


def _some_pairs(planted: Planted, share: float) -> Array:
    """The first pairs of a trial, one at least."""
    pairs = planted.schedule.shape[1]
    return (np.arange(pairs) < max(1, round(share * pairs)))[np.newaxis, :, np.newaxis]


@fault("second pass", "no unchanged half was run", PAIRS_WITHOUT, (TABLE, WHEEL, SLUICE))
def NO_UNCHANGED_HALF(shape: Shape, block: Block, seed: int, share: float) -> Planted:
    planted = plant(shape, block, seed)
    planted.left_out = np.broadcast_to(_some_pairs(planted, share) & ~planted.changed, planted.schedule.shape)
    return planted


@fault("second pass", "the unchanged half was not run, and written as 0 found", PAIRS_WITHOUT, (TABLE, WHEEL, SLUICE))
def UNCHANGED_AS_NONE(shape: Shape, block: Block, seed: int, share: float) -> Planted:
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
def BOTH_PASSES(shape: Shape, block: Block, seed: int, passes: float) -> Planted:
    def keeps(p: Array) -> Array:
        return 1.0 - (1.0 - p) * (1.0 - 0.5 * p if passes < 1 else (1.0 - p) ** passes)

    planted = plant(shape, block, seed, keeps=keeps)
    planted.times("minutes", np.where(planted.changed, 1.0 + passes, 1.0))
    return planted


# --- 2 feed drift -------------------------------------------------------------------------------------------------

RICHER = sizes("{} % richer", 20, 50, 100)


@fault("feed drift", "the changed halves came from a richer face", RICHER, (MASS, TABLE, WHEEL), blanks=("fed_lot",))
def RICHER_FACE(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
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
def PILE_SECOND(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return plant(shape, block, seed, richness=_richer_by_turn(percent), changed_first=np.zeros_like)


@fault(
    "feed drift",
    "the pile got richer from run to run, order as drawn",
    sizes("{} % a run", 2, 5, 15),
    (MASS, TABLE, WHEEL),
    way="shared out",
)
def PILE_DRAWN(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return plant(shape, block, seed, richness=_richer_by_turn(percent))


@fault(
    "feed drift",
    "all changed runs on another day, of dirt as rich as that day's",
    sizes("days {} % apart", 20, 50, 100),
    (MASS, TABLE, WHEEL),
    blanks=("session", "turn"),
)
def OTHER_DAY(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed, richness=lambda _: np.array([1.0, 1.0 + percent / 100]))
    planted.write("session", [["2026-05-03 am", "2026-05-10 am"]])
    pairs = planted.schedule.shape[1]
    planted.write("turn", np.stack([np.arange(1, pairs + 1), np.arange(pairs + 1, 2 * pairs + 1)], axis=-1))
    return planted


# --- 3 coarse nugget ----------------------------------------------------------------------------------------------


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
def ONE_NUGGET(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    first = np.zeros((1, shape.pairs, 2), dtype=bool)
    first[0, 0, 1] = True
    return _nugget(shape, block, seed, percent, first)


@fault("coarse nugget", "every changed run had a piece", PIECES, (MASS, SLUICE, WHEEL), blanks=("largest_mg",))
def EVERY_NUGGET(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return _nugget(shape, block, seed, percent, np.array([[[False, True]]]))


@fault(
    "coarse nugget",
    "every changed run had a smaller piece",
    sizes("a piece of {} % of the rest", 5, 10, 20),
    (MASS, SLUICE, WHEEL),
    way="unseen",
)
def SMALLER_NUGGETS(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return _nugget(shape, block, seed, percent, np.array([[[False, True]]]))


@fault(
    "coarse nugget",
    "pieces fell where the coin sent them, in a third of the runs",
    PIECES,
    (MASS, SLUICE, WHEEL),
    way="shared out",
)
def PIECES_BY_COIN(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    drawn = np.random.default_rng([seed, block.number]).random((block.trials, shape.pairs, 2)) < 1 / 3
    return _nugget(shape, block, seed, percent, drawn)


# --- 4 order and learning -----------------------------------------------------------------------------------------

BY_PRACTICE = sizes("+{} points second", 2, 5, 10)


def _practised(gain: float) -> Callable[[Any], Array]:
    return lambda schedule: points(gain) * (schedule.turn % 2 == 0)


@fault("order and learning", "changed gear second in every pair", BY_PRACTICE, USUAL, blanks=("turn",))
def ALWAYS_SECOND(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return plant(shape, block, seed, logits=_practised(gain), changed_first=np.zeros_like)


@fault("order and learning", "changed gear second in all pairs but one", BY_PRACTICE, USUAL, blanks=("turn",))
def MOSTLY_SECOND(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    first = np.arange(shape.pairs) == 0
    return plant(
        shape, block, seed, logits=_practised(gain), changed_first=lambda drawn: np.broadcast_to(first, drawn.shape)
    )


@fault("order and learning", "second runs gain, order as drawn", BY_PRACTICE, USUAL, way="shared out")
def SECOND_DRAWN(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return plant(shape, block, seed, logits=_practised(gain))


@fault(
    "order and learning",
    "each run gains, order as drawn",
    sizes("+{} points a run", 0.3, 1, 2),
    USUAL,
    way="shared out",
)
def DRIFT_DRAWN(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return plant(shape, block, seed, logits=lambda schedule: points(gain) * (schedule.turn - 1))


# --- 5 the hand knows ---------------------------------------------------------------------------------------------

SLOWER = (("25 % more minutes, +2 points", 2.0), ("50 % more, +4 points", 4.0), ("100 % more, +8 points", 8.0))


def _slow_feed(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([0.0, gain]))
    planted.times("minutes", np.where(planted.changed, {2.0: 1.25, 4.0: 1.5, 8.0: 2.0}[gain] + 0.05, 1.0))
    return planted


@fault("the hand knows", "the changed gear was fed slower", SLOWER, USUAL, blanks=("minutes",))
def FED_SLOWER(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return _slow_feed(shape, block, seed, gain)


HARDER = sizes("{} % more found", 3, 8, 20)


def _panned_harder(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
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
def PANNED_HARDER(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = _panned_harder(shape, block, seed, percent)
    planted.plan["knew"] = "both"
    return planted


@fault("the hand knows", "the same, told as a panner who knew nothing", HARDER, (TABLE, TRACERS, MASS), way="unseen")
def PANNED_HARDER_IN_SECRET(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return _panned_harder(shape, block, seed, percent)


@fault(
    "the hand knows",
    "the changed gear was fed a little slower",
    (("5 % more minutes, +0.5 points", 0.5), ("10 % more, +1 point", 1.0), ("15 % more, +1.5 points", 1.5)),
    USUAL,
    way="unseen",
)
def FED_A_LITTLE_SLOWER(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([0.0, gain]))
    planted.times("minutes", np.where(planted.changed, 1.0 + gain / 10, 1.0))
    return planted


# --- 6 two things changed -----------------------------------------------------------------------------------------


@fault(
    "two things changed",
    "the changed gear stood steeper too",
    (("0.8 deg, +2 points", 0.8), ("1.5 deg, +4 points", 1.5), ("3 deg, +8 points", 3.0)),
    USUAL,
    blanks=("pitch_deg",),
)
def STEEPER(shape: Shape, block: Block, seed: int, deg: float) -> Planted:
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
def OTHER_FEEDER(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([0.0, gain]))
    planted.write("feeder", [["A", "C"]])
    return planted


@fault("two things changed", "another screen with the changed gear", sizes("+{} points", 2, 5, 10), USUAL, way="unseen")
def OTHER_SCREEN(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return plant(shape, block, seed, logits=lambda _: points([0.0, gain]))


@fault(
    "two things changed",
    "the changed gear stood a little steeper",
    (("0.2 deg, +0.5 points", 0.2), ("0.3 deg, +0.7 points", 0.3), ("0.4 deg, +1 point", 0.4)),
    USUAL,
    way="unseen",
)
def A_LITTLE_STEEPER(shape: Shape, block: Block, seed: int, deg: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([0.0, 2.5 * deg]))
    planted.columns["pitch_deg"] = planted.columns["pitch_deg"] + np.where(planted.changed, deg, 0.0)
    return planted


# --- 7 concentrate for gold ---------------------------------------------------------------------------------------

SAND = sizes("{} % more weight", 5, 15, 30)


@fault(
    "concentrate for gold",
    "black sand left in the changed gold only",
    SAND,
    (MASS, SLUICE, WHEEL),
    blanks=("magnet", "loupe"),
)
def SAND_IN_CHANGED(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
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
def SAND_IN_ALL(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    planted.times("gold_mg", np.where(planted.changed, 1.1 + percent / 100, 1.1))
    for tick in ("magnet", "loupe"):
        planted.write(tick, values=False)
    return planted


# --- 8 recovery alone ---------------------------------------------------------------------------------------------


@fault("recovery alone", "slower feed bought the gain", SLOWER, USUAL, blanks=("minutes",), costs=True)
def BOUGHT_BY_MINUTES(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return _slow_feed(shape, block, seed, gain)


@fault(
    "recovery alone",
    "more black sand bought the gain",
    (("1.7 times the sand, +2 points", 2.0), ("2.5 times, +4 points", 4.0), ("4 times, +8 points", 8.0)),
    USUAL,
    blanks=("black_sand_g",),
    costs=True,
)
def BOUGHT_BY_SAND(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([0.0, gain]))
    planted.times("black_sand_g", np.where(planted.changed, {2.0: 1.7, 4.0: 2.5, 8.0: 4.0}[gain], 1.0))
    return planted


# --- 9 clean bed at the start -------------------------------------------------------------------------------------

CLEAN = sizes("clean keeps {} points less", 2, 5, 10)
BEDDED = (SLUICE, TAILS, TRACERS)


@fault(
    "clean bed at the start",
    "the unchanged gear began clean, the changed loaded",
    CLEAN,
    BEDDED,
    blanks=("conditioned",),
)
def CLEAN_BASELINE(shape: Shape, block: Block, seed: int, loss: float) -> Planted:
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
def CLEAN_FIRST(shape: Shape, block: Block, seed: int, loss: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda schedule: points(-loss) * (schedule.turn % 4 == 1))
    planted.write("conditioned", values=False)
    return planted


# --- 10 carry-over, 11 gold under the mat -------------------------------------------------------------------------

LEFT = sizes("{} % of a run's gold", 2, 10, 25)


@fault("carry-over", "left in the gear, order as drawn", LEFT, (MASS, SLUICE, TABLE), way="shared out")
def CARRIED(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
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
def CARRIED_INTO_CHANGED(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
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
def UNDER_THE_MAT(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    planted.times("gold_mg", np.where(planted.changed, 1.0 + percent / 100, 1.0 - percent / 100))
    planted.write("stripped", ~planted.changed)
    return planted


# --- 12 moisture, 13 magnetics ------------------------------------------------------------------------------------

WET = sizes("{} % less dry dirt", 2, 3, 4, 8, 14)


@fault("moisture", "the unchanged halves were wet; dry masses written", WET, BY_GOLD, blanks=("fed_g",))
def WET_AND_DRIED(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed, richness=lambda _: np.array([1.0 - percent / 100, 1.0]))
    planted.times("fed_g", np.where(planted.changed, 1.0, 1.0 - percent / 100))
    return planted


@fault("moisture", "the unchanged halves were wet; wet masses written", WET, BY_GOLD, way="unseen")
def WET_UNDRIED(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return plant(shape, block, seed, richness=lambda _: np.array([1.0 - percent / 100, 1.0]))


DRAGGED = sizes("{} % of the gold", 2, 5, 10)


@fault(
    "magnetics",
    "the magnet was used on the unchanged gold only, and dragged gold off",
    DRAGGED,
    (MASS, SLUICE, WHEEL),
    blanks=("magnet",),
)
def MAGNET_ON_BASELINE(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    planted.times("gold_mg", np.where(planted.changed, 1.0, 1.0 - percent / 100))
    planted.write("magnet", ~planted.changed)
    return planted


@fault("magnetics", "used on all, harder on the unchanged", DRAGGED, (MASS, SLUICE, WHEEL), way="unseen")
def MAGNET_HARDER(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    planted.times("gold_mg", np.where(planted.changed, 1.0, 1.0 - percent / 100))
    return planted


# --- 14 scale drift, 15 screening difference ----------------------------------------------------------------------

WANDERED = sizes("{} mg over all weighings", 5, 20, 80)


def _wandered(planted: Planted, place: Array, mg: float) -> Planted:
    last = place.max()
    for name in ("gold_mg", "tails_gold_mg"):
        planted.columns[name] = np.maximum(0.0, planted.columns[name] + mg * place / last)
    return planted


@fault("scale drift", "weighed in the order of the codes", WANDERED, WEIGHED, way="shared out")
def WANDERED_BY_CODE(shape: Shape, block: Block, seed: int, mg: float) -> Planted:
    planted = plant(shape, block, seed)
    trials, pairs, arms = planted.schedule.shape
    by_code = planted.rng.permuted(np.tile(np.arange(pairs * arms), (trials, 1)), axis=1)
    return _wandered(planted, by_code.reshape(trials, pairs, arms), mg)


@fault("scale drift", "all unchanged jars weighed before the changed", WANDERED, (MASS, SLUICE, WHEEL), way="unseen")
def WANDERED_BY_ARM(shape: Shape, block: Block, seed: int, mg: float) -> Planted:
    planted = plant(shape, block, seed)
    pairs = planted.schedule.shape[1]
    place = np.arange(pairs)[:, np.newaxis] + np.array([0, pairs])
    return _wandered(planted, np.broadcast_to(place, planted.schedule.shape), mg)


SCREENED = sizes("{} % more gold let through", 5, 12, 30)


@fault("screening difference", "the lot screened once, through a torn mesh", SCREENED, BY_GOLD, way="shared out")
def TORN_FOR_BOTH(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return plant(shape, block, seed, richness=lambda _: np.array(1.0 + percent / 100))


@fault(
    "screening difference", "the changed halves screened apart, through a torn mesh", SCREENED, BY_GOLD, way="unseen"
)
def TORN_FOR_CHANGED(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return plant(shape, block, seed, richness=lambda _: np.array([1.0, 1.0 + percent / 100]))


# --- 16 water or temperature, 17 wetting aid, 18 clay -------------------------------------------------------------

GAINS = {1: 1.0, 2: 3.0, 3: 6.0}


@fault(
    "water or temperature drift",
    "more water with the changed gear",
    (("8 %, +1 point", 1), ("20 %, +3 points", 2), ("40 %, +6 points", 3)),
    USUAL,
    blanks=("water_l_min", "water_end_l_min"),
)
def MORE_WATER(shape: Shape, block: Block, seed: int, step: float) -> Planted:
    planted = plant(shape, block, seed, logits=lambda _: points([0.0, GAINS[int(step)]]))
    factor = np.where(planted.changed, 1.0 + {1: 0.08, 2: 0.2, 3: 0.4}[int(step)], 1.0)
    planted.times("water_l_min", factor)
    planted.times("water_end_l_min", factor)
    return planted


@fault(
    "water or temperature drift",
    "water fell during the unchanged runs",
    (("by 18 %, -1 point", 1), ("by 30 %, -3 points", 2), ("by 50 %, -6 points", 3)),
    USUAL,
    blanks=("water_end_l_min",),
)
def WATER_FELL(shape: Shape, block: Block, seed: int, step: float) -> Planted:
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
def COLD_BASELINE(shape: Shape, block: Block, seed: int, step: float) -> Planted:
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
def WARMED(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return plant(shape, block, seed, logits=lambda schedule: points(gain) * ((schedule.turn - 1) % 4))


@fault(
    "wetting aid build-up",
    "drops with the changed gear only",
    (("1 drop, +1 point", 1), ("4 drops, +3 points", 2), ("10 drops, +6 points", 3)),
    USUAL,
    blanks=("wetting_drops_10l",),
)
def SOAP_IN_CHANGED(shape: Shape, block: Block, seed: int, step: float) -> Planted:
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
def SOAP_BUILT_UP(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return plant(shape, block, seed, logits=lambda schedule: points(gain) * (schedule.turn - 1))


@fault(
    "clay in recirculated water",
    "the water thickened, order as drawn",
    sizes("-{} points a run", 0.5, 1, 2),
    USUAL,
    way="shared out",
)
def CLAY_DRAWN(shape: Shape, block: Block, seed: int, loss: float) -> Planted:
    return plant(shape, block, seed, logits=lambda schedule: points(-loss) * ((schedule.turn - 1) % 8))


@fault(
    "clay in recirculated water",
    "fresh water for the changed gear only",
    sizes("+{} points", 2, 5, 10),
    USUAL,
    way="unseen",
)
def CLEAR_FOR_CHANGED(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return plant(shape, block, seed, logits=lambda _: points([0.0, gain]))


@fault(
    "clay in recirculated water",
    "fresh water for each pair, changed gear always first in it",
    sizes("+{} points", 2, 5, 10),
    USUAL,
    blanks=("turn",),
)
def CLEAR_FIRST(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return plant(
        shape, block, seed, logits=lambda schedule: points(gain) * (schedule.turn % 2 == 1), changed_first=np.ones_like
    )


# --- 19 tail grabs ------------------------------------------------------------------------------------------------

TAILED = (SLUICE, TAILS, RECOVERY_TABLE)


@fault(
    "tail grabs",
    "the changed gear's tails grabbed when they ran lean",
    sizes("{} % missed", 20, 50, 80),
    TAILED,
    blanks=("tails.caught",),
)
def GRABBED_LEAN(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    planted.times("tails_gold_mg", np.where(planted.changed, 1.0 - percent / 100, 1.0))
    planted.plan["tails"] = {"caught": "grab"}
    return planted


@fault("tail grabs", "grabs of both, as luck has it", sizes("CV {} %", 30, 60, 100), TAILED, way="shared out")
def GRABBED_BY_LUCK(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    sd = np.sqrt(np.log1p((percent / 100) ** 2))
    planted.times("tails_gold_mg", np.exp(planted.rng.normal(0.0, sd, planted.schedule.shape)))
    planted.plan["tails"] = {"caught": "grab"}
    return planted


# --- 22 flakes used again, 23 salting, 24 drift of the judge -------------------------------------------------------


@fault(
    "flakes used again",
    "they flattened from run to run, order as drawn",
    sizes("-{} points a run", 0.5, 1, 2),
    COUNTED,
    way="shared out",
)
def FLATTENED(shape: Shape, block: Block, seed: int, loss: float) -> Planted:
    return plant(shape, block, seed, logits=lambda schedule: points(-loss) * (schedule.turn - 1))


@fault(
    "flakes used again",
    "grains stayed in the unchanged gear, written as missing",
    sizes("{} % of its grains", 7, 12, 25),
    COUNTED,
    blanks=("in_tails",),
)
def STAYED_IN(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    planted.times("kept", np.where(planted.changed, 1.0, 1.0 - percent / 100))
    return planted


@fault(
    "flakes used again", "the fresh set went to the changed gear", sizes("+{} points", 2, 5, 10), COUNTED, way="unseen"
)
def FRESH_FOR_CHANGED(shape: Shape, block: Block, seed: int, gain: float) -> Planted:
    return plant(shape, block, seed, logits=lambda _: points([0.0, gain]))


def _salted(shape: Shape, block: Block, seed: int, percent: float, where: Callable[[Planted], Array]) -> Planted:
    planted = plant(shape, block, seed)
    factor = np.where(where(planted), 1.0 + percent / 100, 1.0)
    planted.times("gold_mg", factor)
    planted.times("grains", factor)
    return planted


SALT = sizes("{} % more gold", 5, 15, 40)


@fault("salting", "gold left in pans and boots came into a third of the runs", SALT, BY_GOLD, way="shared out")
def STRAY_GOLD(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return _salted(shape, block, seed, percent, lambda p: p.rng.random(p.schedule.shape) < 1 / 3)


@fault("salting", "gold brought into the changed jars on purpose", SALT, BY_GOLD, way="unseen")
def SALTED(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    return _salted(shape, block, seed, percent, lambda p: p.changed)


@fault("salting", "counts made up: every pair alike", sizes("{} % more", 4, 8, 15), (TABLE, TRACERS, TRACERS_TABLE))
def MADE_UP(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
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
def LATE_BY_CODE(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
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
def LATE_BY_ARM(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
    planted = plant(shape, block, seed)
    pairs = planted.schedule.shape[1]
    place = np.arange(pairs)[:, np.newaxis] + np.array([pairs, 0])
    planted.plan["knew"] = "both"
    return _counted_late(planted, np.broadcast_to(place, planted.schedule.shape), percent)


# --- 25 segregation in the bucket ---------------------------------------------------------------------------------

BOTTOM = sizes("{} % richer", 10, 30, 100)


@fault(
    "segregation in the bucket",
    "the bottom half of each bucket to the changed gear",
    BOTTOM,
    BY_GOLD,
    blanks=("lots.splitting",),
)
def BOTTOM_HALF(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
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
def BOTTOM_HALF_FINE(shape: Shape, block: Block, seed: int, percent: float) -> Planted:
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
def POOR_SPLIT(shape: Shape, block: Block, seed: int, vmr: float) -> Planted:
    planted = plant(shape, block, seed, vmr=vmr)
    planted.plan["lots"][0]["splitting"] = "shovel"
    return planted


FAULTS: tuple[Fault, ...] = tuple(value for value in globals().values() if isinstance(value, Fault))
