"""How long do 20,000 rehearsals of a plan of 8 pairs take? Run it: ``python tests/benchmarks/rehearsal_speed.py``.

Prints the best of several runs for each measure; the aim is about a second on two processors.
"""

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from trials.measures.catalogue import MEASURES
from trials.noise.situation import Situation
from trials.rehearsal.rehearsal import rehearse
from trials.rehearsal.typical_trial import typical_trial
from trials.simulation.dirt import Dirt
from trials.simulation.tracers import SeededTracers

TIMES, PAIRS, REPEATS = 20_000, 8, 4
SITUATION = Situation(dirt=Dirt(90, "medium"), tracers=SeededTracers(fed=100))


def main() -> None:
    """Print one line for each measure, and one for the early look and the typical trial."""
    for measure in MEASURES:
        rehearsing, choosing = [], []
        for seed in range(REPEATS):
            start = time.perf_counter()
            tried = rehearse(
                measure.name, pairs=PAIRS, situation=SITUATION, line=None, look_after=4, times=TIMES, seed=seed
            )
            rehearsed = time.perf_counter()
            typical_trial(tried)
            rehearsing.append(rehearsed - start)
            choosing.append(time.perf_counter() - rehearsed)
        print(  # noqa: T201 - a script prints
            f"{min(rehearsing):5.2f} s  {TIMES:,} x {PAIRS} pairs, look after 4  {measure.name}; "
            f"its typical trial {min(choosing):.2f} s"
        )


if __name__ == "__main__":
    main()
