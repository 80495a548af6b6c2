"""How long do 20,000 simulated trials of 8 pairs take? Run it: ``python tests/benchmarks/simulation_speed.py``."""

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from trials.simulation.dirt import Dirt
from trials.simulation.noise_model import TYPICAL, Noise
from trials.simulation.runs import simulate_runs
from trials.simulation.schedule import paired_schedule
from trials.simulation.tracers import SeededTracers, simulate_tracers

TRIALS, PAIRS = 20_000, 8


def best_seconds(work: Callable[[], object], repeats: int = 3) -> float:
    """Return the shortest of a few timings, s."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> None:
    """Print one line for each kind of simulation."""
    first = np.random.default_rng(1).random((TRIALS, PAIRS)) < 0.5
    schedule = paired_schedule(first)
    medium, fine = Dirt(90, "medium"), Dirt(900, "fine")
    works: dict[str, Callable[[], object]] = {
        "order of the runs": lambda: paired_schedule(first),
        "tracers alone": lambda: simulate_tracers(1, schedule=schedule, noise=TYPICAL, tracers=SeededTracers(100)),
        "whole runs, medium 90 mg, luck alone": lambda: simulate_runs(1, schedule=schedule, dirt=medium, noise=Noise()),
        "whole runs, medium 90 mg, typical": lambda: simulate_runs(1, schedule=schedule, dirt=medium, noise=TYPICAL),
        "whole runs, fine 900 mg, typical": lambda: simulate_runs(1, schedule=schedule, dirt=fine, noise=TYPICAL),
        "whole runs, medium 90 mg, typical, shovel split": lambda: simulate_runs(
            1, schedule=schedule, dirt=Dirt(90, "medium", split_vmr=2.0), noise=TYPICAL
        ),
    }
    for name, work in works.items():
        print(f"{best_seconds(work):6.2f} s  {TRIALS:,} x {PAIRS} pairs  {name}")  # noqa: T201 - a script prints


if __name__ == "__main__":
    main()
