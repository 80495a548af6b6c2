"""Trials in which nothing was truly changed, drawn with a fault planted in them, and all of it written down.

As `tests.fairness.fair_trials` draws fair ones; here what happens to each run can be moved before it is drawn, and
what is written of it afterwards.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from schemas import Run, SizeCatch, Trial
from tests.examination.shapes import Shape
from tests.fairness.fair_trials import RUNS_A_SESSION, TAILS_TRACERS_FOUND, WATER_CV
from trials.rehearsal.simulated_trials import draw_orders
from trials.simulation.gear import SimulatedGear
from trials.simulation.grains import draw_grains
from trials.simulation.noise_model import POINTS_PER_LOGIT, TYPICAL, Noise
from trials.simulation.run_effects import draw_run_effects
from trials.simulation.runs import draw_costs, draw_feed
from trials.simulation.schedule import Schedule, block_schedule, paired_schedule
from trials.simulation.streams import Streams
from trials.simulation.work_up import work_up
from trials.statistics.balanced_draw import draw_places

MANY = 200
"""From so many trials a block draws its orders together, which is quicker than a seed for each."""
COUNTS = ("turn", "grains", "seeded", "kept", "in_tails")
# Ordinary habits, with a feed and water steady enough that a fair record is not weakened by them.
HABITS = replace(TYPICAL, feed_cv=0.05, water_cv=0.03)

Array = npt.NDArray[Any]
ByRun = Callable[[Schedule], Array]
Keeps = Callable[[Array], Array]


@dataclass(frozen=True)
class Block:
    """Trials drawn from one seed; more of them are more blocks, so that few are the first of many."""

    number: int
    trials: int = 10


@dataclass
class Planted:
    """A block of trials: what was written of every run, each column of shape (trials, pairs, 2).

    Attributes
    ----------
    shape, plan
        The shape of the trials, and their plan but for its seed.
    seeds
        Of the draw of each.
    columns
        What is written of each run, by field; None and NaN are blank.
    left_out
        Runs that were never made; None where all were.
    """

    shape: Shape
    plan: dict[str, Any]
    seeds: list[int]
    columns: dict[str, Array]
    schedule: Schedule
    rng: np.random.Generator
    left_out: Array | None = None

    @property
    def changed(self) -> Array:
        """Whether a run is of a changed arm, shape (1, 1, arms)."""
        return np.arange(len(self.shape.arms))[np.newaxis, np.newaxis] > 0

    @property
    def second(self) -> Array:
        """Whether a run is the second of its pair."""
        return self.schedule.turn % 2 == 0

    def times(self, name: str, factor: Array | float) -> None:
        """Multiply a column; counts stay whole."""
        values = self.columns[name] * factor
        self.columns[name] = np.rint(values).astype(np.int64) if name in COUNTS else values

    def write(self, name: str, values: Any) -> None:
        """Write a column, the same for all trials where it is smaller."""
        self.columns[name] = np.broadcast_to(_for_every_arm(np.asarray(values), self.shape), self.schedule.shape)

    def blank(self, *names: str) -> None:
        """Leave columns of the runs blank, or a place of the plan, as "knew" or "tails.caught"."""
        for name in names:
            if name in self.columns:
                del self.columns[name]
            else:
                *where, last = name.split(".")
                place: Any = self.plan
                for key in where:
                    place = place[key] if isinstance(place, dict) else place[0]
                for one in place if isinstance(place, list) else [place]:
                    one.pop(last, None)

    def cases(self, among: Array | None = None) -> Iterator[tuple[Trial, list[Run]]]:
        """Each trial as it is handed in, or those among them."""
        plan = Trial.model_validate(self.plan | {"lots": tuple(self.plan["lots"])})
        for at, seed in enumerate(self.seeds):
            if among is None or among[at]:
                yield plan.model_copy(update={"seed": seed}), self.runs_of(at)

    def runs_of(self, at: int) -> list[Run]:
        """The runs of one trial."""
        pairs, arms = self.schedule.shape[1:]
        columns = {name: values[at].tolist() for name, values in self.columns.items()}
        return [
            Run(pair=pair + 1, arm=self.shape.arms[arm], **_written(columns, pair, arm))
            for pair in range(pairs)
            for arm in range(arms)
            if self.left_out is None or not self.left_out[at, pair, arm]
        ]


def _written(columns: dict[str, list[list[Any]]], pair: int, arm: int) -> dict[str, Any]:
    """The fields of one run; a column of a size class has the class behind its name, and not a number is a blank."""
    plain: dict[str, Any] = {}
    by_class: dict[str, dict[str, Any]] = {}
    for name, values in columns.items():
        value = values[pair][arm]
        blank = value is None or value != value  # noqa: PLR0124 - not a number is not itself
        field, _, label = name.partition(" ")
        if label:
            by_class.setdefault(label, {"label": label})[field] = None if blank else value
        elif not blank:
            plain[name] = value
    return plain | {"classes": tuple(SizeCatch(**part) for part in by_class.values())}


def points(values: Array | float) -> Array:
    """Points of recovery at 90 % as logits."""
    return np.asarray(values) / POINTS_PER_LOGIT


def plant(
    shape: Shape,
    block: Block,
    seed: int,
    *,
    changed_first: Callable[[Array], Array] | None = None,
    logits: ByRun | None = None,
    richness: ByRun | None = None,
    keeps: Keeps | None = None,
    noise: Noise = HABITS,
    vmr: float = 1.0,
) -> Planted:
    """Draw a block of trials in which nothing was changed.

    Parameters
    ----------
    shape
        What sort of trial.
    block, seed
        Which block of which fault, and how many trials.
    changed_first
        Makes the order really run, (trials, pairs), of the one drawn; that one where it is not given. In a graded trial
        the unchanged set-up then leads every block.
    logits
        Added to the logit of recovery of each run.
    richness
        Gold fed over what a run would have been fed.
    keeps
        Turns the share of each size class that the changed gear keeps, (..., 10), into another.
    noise, vmr
        Habits, and how poor the split is.
    """
    draws = [(1_000_003 * (seed + 1) + 7_919 * block.number + i) % 2**31 for i in range(block.trials)]
    rng = np.random.default_rng([seed, block.number, shape.pairs])
    if shape.levels:
        orders = np.array([draw_places(shape.pairs, len(shape.arms), one) for one in draws])
        if changed_first is not None:  # the unchanged set-up leads each block, the levels as drawn
            orders = np.take_along_axis(orders, np.argsort(orders > 0, axis=-1, kind="stable"), axis=-1)
        schedule = block_schedule(orders)
        streams = Streams.from_seed(rng)
        columns = _drawn(shape, schedule, streams, rng, _Truth(logits, richness, keeps, noise, vmr))
        return Planted(shape, shape.plan(), draws, columns, schedule, rng)
    if block.trials < MANY:
        drawn = np.array([draw_places(shape.pairs, 2, one)[:, 0] == 1 for one in draws])
    else:
        drawn = draw_orders(rng, block.trials, shape.pairs)
    run = drawn if changed_first is None else changed_first(drawn)
    turn = paired_schedule(run).turn
    schedule = paired_schedule(run, sessions=(turn - 1) // RUNS_A_SESSION)
    streams = Streams.from_seed(rng)
    columns = _drawn(shape, schedule, streams, rng, _Truth(logits, richness, keeps, noise, vmr))
    return Planted(shape, shape.plan(), draws, columns, schedule, rng)


@dataclass(frozen=True)
class _Truth:
    logits: ByRun | None
    richness: ByRun | None
    keeps: Keeps | None
    noise: Noise
    vmr: float


def _drawn(
    shape: Shape, schedule: Schedule, streams: Streams, rng: np.random.Generator, truth: _Truth
) -> dict[str, Array]:
    noise, dirt = truth.noise, replace(shape.dirt, split_vmr=truth.vmr)
    effects = draw_run_effects(streams.effects, noise, schedule)
    if truth.logits is not None:
        effects = effects + np.broadcast_to(_for_every_arm(truth.logits(schedule), shape), schedule.shape)
    feed = draw_feed(streams.feed, dirt, schedule)
    rich = feed.richness * (1.0 if truth.richness is None else _for_every_arm(truth.richness(schedule), shape))
    share = np.asarray(SimulatedGear().recovery)
    kept = 1.0 / (1.0 + np.exp(-(np.log(share / (1.0 - share)) + effects[..., np.newaxis])))
    if truth.keeps is not None:
        kept[:, :, 1:] = truth.keeps(kept[:, :, 1:])
    fates = draw_grains(streams.grains, dirt, noise, np.log(kept / (1.0 - kept)), rich)
    gold = work_up(streams, schedule, noise, fates)
    costs = draw_costs(streams.costs, noise, schedule, SimulatedGear(), ())
    tracers = shape.tracers
    by_size = streams.tracers.binomial(tracers.fed, kept[..., list(tracers.size_classes)])
    counted, seeded = by_size.sum(axis=-1), np.full(schedule.shape, tracers.fed_in_all)
    turn = schedule.turn
    days = np.array([f"2026-05-{3 + s:02d} am" for s in range(int(schedule.session.max()) + 1)])
    ticks = {
        name: np.full(schedule.shape, fill_value=True) for name in ("stripped", "conditioned", "dry", "magnet", "loupe")
    }
    found = {"seeded": seeded, "kept": counted, "in_tails": rng.binomial(seeded - counted, TAILS_TRACERS_FOUND)}
    if shape.labels:
        found = _by_class(shape, by_size, rng)
    return {
        "turn": turn,
        "session": days[schedule.session],
        "minutes": costs.minutes,
        "cleanup_minutes": np.full(schedule.shape, 5.0),
        "fed_g": feed.fed_g,
        "gold_mg": gold.gold_kept_mg,
        "tails_gold_mg": gold.gold_tails_mg,
        "largest_mg": np.minimum(2.0, gold.gold_kept_mg),
        "grains": np.minimum(50_000, gold.grains_kept),
        **found,
        "black_sand_g": costs.black_sand_g,
        "water_l_min": costs.water_l_min,
        "water_end_l_min": costs.water_l_min * np.exp(rng.normal(0.0, WATER_CV, turn.shape)),
        "temp_c": 10.0 + 0.3 * (turn - 1) + rng.normal(0.0, 0.3, turn.shape),
        "pitch_deg": 4.0 + rng.normal(0.0, 0.1, turn.shape),
        "wetting_drops_10l": np.full(schedule.shape, 2.0),
        "feeder": np.full(schedule.shape, "A"),
        "panner": np.full(schedule.shape, "B"),
        **ticks,
    }


def _by_class(shape: Shape, kept: Array, rng: np.random.Generator) -> dict[str, Array]:
    """The tracers of each size class, and of all together."""
    fed = shape.tracers.fed
    found: dict[str, Array] = {}
    for at, label in enumerate(shape.labels):
        own = kept[..., at]
        found |= {f"seeded {label}": np.full(own.shape, fed), f"kept {label}": own}
        found[f"in_tails {label}"] = rng.binomial(fed - own, TAILS_TRACERS_FOUND)
    totals = {
        name: np.asarray(sum(found[f"{name} {label}"] for label in shape.labels))
        for name in ("seeded", "kept", "in_tails")
    }
    return totals | found


def _for_every_arm(values: Array, shape: Shape) -> Array:
    """What is given for the unchanged and the changed arm, for each level of a graded trial."""
    arms = len(shape.arms)
    return values[..., [0] + [1] * (arms - 1)] if np.ndim(values) and values.shape[-1] == 2 < arms else values
