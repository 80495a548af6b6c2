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
    results_alone: bool = False,
) -> Iterator[tuple[Trial, list[Run]]]:
    """So many finished trials of a change that does nothing, on gold enough for the scale.

    `results_alone`: of their runs turn, session and what a measure reads, for checks that look at nothing else.
    """
    bench, seeds = _bench(noise, pairs, count, seed, dirt, tracers)
    drawn_of_all = {name: values for name, values in _columns(bench).items() if not results_alone or name in RESULTS}
    plan = trial(
        measure,
        pairs,
        locked=date(2026, 5, 1),
        lots=(Lot(kind="natural", splitting="riffle splitter"),),
        scales=Scales(gold_g=0.001, sand_g=0.1),
    )
    blank = [_blank_run(pair, arm, {} if results_alone else ALIKE) for pair in range(pairs) for arm in (0, 1)]
    for at, drawn in enumerate(seeds):
        columns = {name: values[at].reshape(-1).tolist() for name, values in drawn_of_all.items()}
        runs = [
            _with_numbers(run, {name: of_all[n] for name, of_all in columns.items()}) for n, run in enumerate(blank)
        ]
        # The schema looks at the first trial; the others are that one with numbers of their own.
        yield plan.model_copy(update={"seed": drawn}), [Run(**vars(run)) for run in runs] if at == 0 else runs


def _columns(bench: Bench) -> dict[str, npt.NDArray[Any]]:
    """What is written down of every run, field by field; shape (trials, pairs, arms)."""
    runs = bench.runs
    return {
        "turn": runs.schedule.turn,
        "minutes": runs.minutes,
        "fed_g": runs.fed_g,
        "gold_mg": runs.gold_kept_mg,
        "tails_gold_mg": runs.gold_tails_mg,
        "largest_mg": np.minimum(2.0, runs.gold_kept_mg),
        "grains": np.minimum(100_000, runs.grains_kept),
        "seeded": runs.tracers_fed,
        "kept": runs.tracers_kept,
        "in_tails": bench.in_tails,
        "water_l_min": runs.water_l_min,
        "water_end_l_min": bench.water_end,
        "temp_c": bench.temp,
        "pitch_deg": bench.pitch,
    }


ALIKE: dict[str, Any] = {
    "wetting_drops_10l": 2.0,
    "feeder": "A",
    "panner": "B",
    **dict.fromkeys(("stripped", "conditioned", "dry", "magnet", "loupe"), True),
}
"""What is the same of every run."""
RESULTS = ("turn", "gold_mg", "tails_gold_mg", "grains", "seeded", "kept")


def _blank_run(pair: int, arm: int, alike: dict[str, Any]) -> Run:
    return Run(pair=pair + 1, arm=("baseline", "changed")[arm], **alike)


def _with_numbers(run: Run, numbers: dict[str, Any]) -> Run:
    session = f"2026-05-{3 + (numbers['turn'] - 1) // RUNS_A_SESSION:02d} am"
    return run.model_copy(update={"session": session, **numbers})
