"""Common habits of comparing, on simulated dirt with nothing changed: how often would each cry gain?"""

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from schemas import MeasureName
from trials.measures.catalogue import measure_named
from trials.measures.measure import Measure, Numbers
from trials.planning.rehearsal import rehearse
from trials.planning.simulated_trials import SIMULATED_AS, division_mg, draw_orders
from trials.planning.situation import Situation
from trials.simulation.runs import SimulatedRuns, simulate_runs
from trials.simulation.schedule import Schedule, paired_schedule
from trials.statistics.limits import critical_t
from trials.statistics.paired_t import paired_t

Habit = Literal["one each", "no unchanged half", "two days", "looking", "dropping the worst", "best of the measures"]
AT_ONCE: Final = 2_000
LEVEL: Final = 0.95
FIRST_LOOK: Final = 3
FULLER_PERCENT: Final = 10.0
"""One run each: how much fuller the vial must look to be called a gain, where no line is set; our default."""
BARE_TRACERS: Final = 100


@dataclass(frozen=True, slots=True)
class HabitRate:
    """How often one habit would have cried gain with nothing changed.

    Attributes
    ----------
    habit
        Which one.
    cried_gain
        Share of the simulated trials, 0 to 1.
    does
        What is done, in one line.
    times
        How many trials.
    """

    habit: Habit
    cried_gain: float
    does: str
    times: int

    @property
    def standard_error(self) -> float:
        """How far the luck of the simulation itself takes the share: one SD."""
        return float(np.sqrt(self.cried_gain * (1.0 - self.cried_gain) / self.times))


@dataclass(frozen=True, slots=True)
class HabitPlan:
    """What is simulated, whatever the habit.

    Attributes
    ----------
    measure, pairs, situation
        The plan's own.
    line
        The worth-having line on the measure's scale; None without one.
    times, seed
        How many trials, and their seed.
    """

    measure: MeasureName
    pairs: int
    situation: Situation
    line: float | None
    times: int
    seed: int


def habit_rate(habit: Habit, plan: HabitPlan) -> HabitRate:
    """How often would this habit have cried gain, had nothing been changed?

    Parameters
    ----------
    habit
        One of `HABITS`.
    plan
        What is simulated.

    Returns
    -------
    HabitRate

    Raises
    ------
    ValueError
        Not a habit that is known; neither gold nor tracers in the situation.

    Notes
    -----
    What each does is said in `HABITS`. The noise is assumed, not measured.

    Source of the questions: repeated looks, Armitage, McPherson and Rowe, JRSS A 132, 1969; the others are common
    practice, no source.

    Examples
    --------
    >>> from trials.simulation.dirt import Dirt
    >>> plan = HabitPlan("gold_mass", 6, Situation(dirt=Dirt(90, "medium")), None, times=400, seed=1)
    >>> 0.1 < habit_rate("one each", plan).cried_gain < 0.5
    True
    """
    if habit not in HABITS:
        raise ValueError(f"{habit} is not a habit that is known; one of: {', '.join(HABITS)}")
    does, cries = HABITS[habit]
    cried = 0
    parts = range(0, plan.times, AT_ONCE)
    for number, begun in enumerate(parts):
        part = dataclasses.replace(plan, times=min(AT_ONCE, plan.times - begun))
        seed = np.random.SeedSequence(plan.seed, spawn_key=(list(HABITS).index(habit), number))
        cried += int(np.count_nonzero(cries(part, seed)))
    return HabitRate(habit, cried / plan.times, does, plan.times)


def fair_rate(plan: HabitPlan) -> HabitRate:
    """How often the fair trial itself would say better with nothing changed: every pair in, no line, looked at once."""
    fair = rehearse(
        plan.measure, pairs=plan.pairs, situation=plan.situation, line=None, times=plan.times, seed=plan.seed
    )
    return HabitRate("looking", fair.share("better"), "the plan as it stands", plan.times)


def _runs(plan: HabitPlan, schedule: Schedule, seed: np.random.SeedSequence, situation: Situation) -> SimulatedRuns:
    tracers = situation.tracers
    if plan.measure != "tracers" and tracers.fed == 0:
        tracers = dataclasses.replace(tracers, fed=BARE_TRACERS)
    return simulate_runs(
        np.random.default_rng(seed),
        schedule=schedule,
        dirt=situation.dirt,
        noise=situation.noise,
        gear=situation.gear,
        tracers=tracers,
    )


def _fair_schedule(plan: HabitPlan, seed: np.random.SeedSequence, pairs: int) -> Schedule:
    orders = draw_orders(np.random.default_rng(seed.spawn(1)[0]), plan.times, pairs)
    return paired_schedule(orders)


def _read(measure: Measure, runs: SimulatedRuns) -> tuple[Numbers, Numbers]:
    """What a measure reads of both halves, shape (trials, pairs, readings)."""
    both = np.stack([getattr(runs, SIMULATED_AS[name]) for name in measure.inputs], axis=-1).astype(float)
    return both[:, :, 0], both[:, :, 1]


def _differences(measure: Measure, runs: SimulatedRuns, situation: Situation) -> Numbers:
    """One difference a pair, shape (trials, pairs); 0 for a pair in which nothing was found, which tells nothing."""
    baseline, changed = _read(measure, runs)
    with np.errstate(divide="ignore", invalid="ignore"):
        found = measure.difference(baseline, changed, division_mg(measure, situation.noise))
    return np.where(np.isfinite(found), found, 0.0)


def _is_better(differences: Numbers) -> NDArray[np.bool_]:
    """Whether the paired t interval of each trial lies over 0."""
    fit = paired_t(differences, level=LEVEL)
    return np.asarray(fit.low) > 0


def _one_each(plan: HabitPlan, seed: np.random.SeedSequence) -> NDArray[np.bool_]:
    measure = measure_named(plan.measure)
    runs = _runs(plan, _fair_schedule(plan, seed, 1), seed, plan.situation)
    least = plan.line if plan.line is not None else measure.line(FULLER_PERCENT) if measure.is_ratio else 0.0
    return _differences(measure, runs, plan.situation)[:, 0] > least


def _no_unchanged_half(plan: HabitPlan, seed: np.random.SeedSequence) -> NDArray[np.bool_]:
    """The tails of one run fed once more, over the same gear: a gain is cried if anything is found."""
    runs = _runs(plan, paired_schedule(np.zeros((plan.times, 1), dtype=bool)), seed, plan.situation)
    second = second_pass_share(plan.situation)
    found = np.random.default_rng(seed.spawn(2)[1]).poisson(second * runs.gold_tails_true_mg[:, 0, 0] / _middle(plan))
    return found > 0


def _middle(plan: HabitPlan) -> float:
    """Mean mass of a grain of the dirt, mg."""
    dirt = plan.situation.dirt
    grains = dirt.expected_grains()
    return float((grains * dirt.grain_masses_mg()).sum() / grains.sum()) if grains.sum() > 0 else 1.0


def second_pass_share(situation: Situation) -> float:
    """Which share of the gold in the tails does the same gear take out of them at a second pass?

    Derived: sum s (1 - p) p / sum s (1 - p) over the size classes, s gold by class, p kept.

    >>> round(second_pass_share(Situation()), 2)
    0.82
    """
    gold = situation.dirt.expected_grains() * situation.dirt.grain_masses_mg()
    kept = np.asarray(situation.gear.recovery)
    lost = gold * (1.0 - kept)
    return float((lost * kept).sum() / lost.sum()) if lost.sum() > 0 else 0.0


def _two_days(plan: HabitPlan, seed: np.random.SeedSequence) -> NDArray[np.bool_]:
    """All unchanged runs on one day, all changed ones on another, compared as two groups (Student's t, equal SDs)."""
    measure = measure_named(plan.measure)
    pairs = plan.pairs
    turn = np.stack([np.arange(1, pairs + 1), np.arange(pairs + 1, 2 * pairs + 1)], axis=-1)
    days = np.broadcast_to(np.array([0, 1]), (pairs, 2))
    shape = (plan.times, pairs, 2)
    schedule = Schedule(
        turn=np.broadcast_to(turn, shape).copy(),
        session=np.broadcast_to(days, shape).copy(),
        feeder=np.zeros(shape, dtype=np.int64),
    )
    runs = _runs(plan, schedule, seed, plan.situation)
    baseline, changed = _read(measure, runs)
    one, other = (_numbers(measure, half, plan) for half in (baseline, changed))
    gap = other.mean(axis=-1) - one.mean(axis=-1)
    sd = np.sqrt((one.var(axis=-1, ddof=1) + other.var(axis=-1, ddof=1)) / pairs)
    sign = -1.0 if plan.measure == "tails_gold" else 1.0
    return np.asarray(sign * gap > critical_t(np.asarray(2 * pairs - 2), LEVEL) * sd)


def _numbers(measure: Measure, readings: Numbers, plan: HabitPlan) -> Numbers:
    """One number a run on the scale on which it scatters alike: logs for ratios."""
    values = np.nan_to_num(measure.value(readings))
    if not measure.is_ratio:
        return values
    least = (division_mg(measure, plan.situation.noise) or 1.0) / 2.0
    return np.log(np.maximum(values, least))


def _looking(plan: HabitPlan, seed: np.random.SeedSequence) -> NDArray[np.bool_]:
    measure = measure_named(plan.measure)
    runs = _runs(plan, _fair_schedule(plan, seed, plan.pairs), seed, plan.situation)
    differences = _differences(measure, runs, plan.situation)
    looks = [_is_better(differences[:, :pairs]) for pairs in range(min(FIRST_LOOK, plan.pairs), plan.pairs + 1)]
    return np.asarray(np.any(looks, axis=0))


def _dropping_the_worst(plan: HabitPlan, seed: np.random.SeedSequence) -> NDArray[np.bool_]:
    measure = measure_named(plan.measure)
    runs = _runs(plan, _fair_schedule(plan, seed, plan.pairs), seed, plan.situation)
    differences = np.sort(_differences(measure, runs, plan.situation), axis=-1)
    return _is_better(differences[:, 1:]) if plan.pairs > FIRST_LOOK - 1 else _is_better(differences)


def _best_of(plan: HabitPlan, seed: np.random.SeedSequence) -> NDArray[np.bool_]:
    runs = _runs(plan, _fair_schedule(plan, seed, plan.pairs), seed, plan.situation)
    found = [_is_better(_differences(measure_named(name), runs, plan.situation)) for name in MEASURED_TOGETHER]
    return np.asarray(np.any(found, axis=0))


MEASURED_TOGETHER: Final[tuple[MeasureName, ...]] = ("recovery", "gold_mass", "tails_gold", "grain_counts", "tracers")

Cries = Callable[[HabitPlan, np.random.SeedSequence], NDArray[np.bool_]]
HABITS: Final[Mapping[Habit, tuple[str, Cries]]] = MappingProxyType(
    {
        "one each": ("one run of each, and the one that shows more by your line (or 10 %) wins", _one_each),
        "no unchanged half": (
            "only the tails re-run over the changed gear, and anything found is its gain",
            _no_unchanged_half,
        ),
        "two days": ("all unchanged runs on one day, all changed ones on another", _two_days),
        "looking": ("a look after every pair from the third on, stopping when ahead", _looking),
        "dropping the worst": ("the least favourable pair dropped afterwards", _dropping_the_worst),
        "best of the measures": ("five measures taken, and the best of them quoted", _best_of),
    }
)
