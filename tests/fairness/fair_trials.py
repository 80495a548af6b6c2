"""Fair trials of the assumed noise model: nothing changed in truth, everything written down. Assumed, not measured."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np
import numpy.typing as npt

from schemas import Lot, Run, Scales, Trial
from tests.verdicts.cases import trial
from trials.simulation.dirt import Dirt
from trials.simulation.noise_model import Noise
from trials.simulation.runs import SimulatedRuns, simulate_runs
from trials.simulation.schedule import paired_schedule
from trials.simulation.tracers import SeededTracers
from trials.statistics.balanced_draw import draw_places

DIRT = Dirt(gold_mg=900.0, size_set="fine", fed_cv=0.01)
TRACERS = SeededTracers(fed=50, size_classes=(4, 6))
FEED_CV = 0.05
WATER_CV = 0.03
TAILS_TRACERS_FOUND = 0.95
RUNS_A_SESSION = 4


@dataclass(frozen=True, eq=False)
class Bench:
    """What is drawn for many trials beyond the gold: shape (trials, pairs, arms)."""

    runs: SimulatedRuns
    water_end: npt.NDArray[np.float64]
    temp: npt.NDArray[np.float64]
    pitch: npt.NDArray[np.float64]
    in_tails: npt.NDArray[np.int64]


def _bench(
    noise: Noise, pairs: int, count: int, seed: int, dirt: Dirt, tracers: SeededTracers
) -> tuple[Bench, list[int]]:
    seeds = [1000 * seed + i for i in range(count)]
    changed_first = np.array([draw_places(pairs, 2, s)[:, 0] == 1 for s in seeds])
    turn = paired_schedule(changed_first).turn
    schedule = paired_schedule(changed_first, sessions=(turn - 1) // RUNS_A_SESSION)
    habits = replace(noise, feed_cv=FEED_CV, water_cv=WATER_CV)
    runs = simulate_runs(seed, schedule=schedule, dirt=dirt, noise=habits, tracers=tracers)
    rng = np.random.default_rng([seed, pairs])
    spread = np.exp(rng.normal(0.0, WATER_CV, turn.shape))
    bench = Bench(
        runs=runs,
        water_end=20.0 * spread,
        temp=10.0 + 0.3 * (turn - 1) + rng.normal(0.0, 0.3, turn.shape),
        pitch=4.0 + rng.normal(0.0, 0.1, turn.shape),
        in_tails=rng.binomial(runs.tracers_fed - runs.tracers_kept, TAILS_TRACERS_FOUND),
    )
    return bench, seeds


def fair_trials(
    measure: str,
    noise: Noise,
    pairs: int,
    count: int,
    seed: int,
    *,
    dirt: Dirt = DIRT,
    tracers: SeededTracers = TRACERS,
) -> Iterator[tuple[Trial, list[Run]]]:
    """So many finished trials of a change that does nothing, on gold enough for the scale."""
    bench, seeds = _bench(noise, pairs, count, seed, dirt, tracers)
    for at, drawn in enumerate(seeds):
        plan = trial(
            measure,
            pairs,
            seed=drawn,
            locked=date(2026, 5, 1),
            lots=(Lot(kind="natural", splitting="riffle splitter"),),
            scales=Scales(gold_g=0.001, sand_g=0.1),
        )
        yield plan, [_run(bench, at, pair, arm) for pair in range(pairs) for arm in (0, 1)]


def _run(bench: Bench, at: int, pair: int, arm: int) -> Run:
    runs, place = bench.runs, (at, pair, arm)
    turn = int(runs.schedule.turn[place])
    values: dict[str, Any] = {
        "turn": turn,
        "session": f"2026-05-{3 + (turn - 1) // RUNS_A_SESSION:02d} am",
        "minutes": float(runs.minutes[place]),
        "fed_g": float(runs.fed_g[place]),
        "gold_mg": float(runs.gold_kept_mg[place]),
        "tails_gold_mg": float(runs.gold_tails_mg[place]),
        "largest_mg": min(2.0, float(runs.gold_kept_mg[place])),
        "grains": min(100_000, int(runs.grains_kept[place])),
        "seeded": int(runs.tracers_fed[place]),
        "kept": int(runs.tracers_kept[place]),
        "in_tails": int(bench.in_tails[place]),
        "water_l_min": float(runs.water_l_min[place]),
        "water_end_l_min": float(bench.water_end[place]),
        "temp_c": float(bench.temp[place]),
        "pitch_deg": float(bench.pitch[place]),
        "wetting_drops_10l": 2.0,
        "feeder": "A",
        "panner": "B",
    }
    ticks = dict.fromkeys(("stripped", "conditioned", "dry", "magnet", "loupe"), True)
    return Run(pair=pair + 1, arm=("baseline", "changed")[arm], **values, **ticks)
