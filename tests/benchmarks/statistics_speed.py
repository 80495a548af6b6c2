"""How fast are the paired t and the sign flips beside scipy's?

Run as `python tests/benchmarks/statistics_speed.py`. Prints the best of several runs and the ratio to scipy; exits 1
if an aim is missed.
"""

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from scipy import stats

sys.path.insert(0, str(Path(__file__).parents[2]))

from trials.statistics.paired_t import paired_t
from trials.statistics.pairs_needed import pairs_needed
from trials.statistics.sign_flip import sign_flip


def milliseconds(work: Callable[[], object], repeats: int) -> float:
    """Time the best of several runs: the one least disturbed."""
    best = float("inf")
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return 1000 * best


def say(what: str, ours: float, theirs: float, aim: float | None) -> bool:
    """Print one line; whether the aim holds (None: no aim)."""
    ratio = theirs / ours
    holds = aim is None or ratio >= aim
    wanted = "" if aim is None else f", aim {aim:,.0f}: {'holds' if holds else 'MISSED'}"
    print(f"{what}: {ours:.3f} ms, scipy {theirs:.3f} ms, {ratio:,.1f} times as fast{wanted}")  # noqa: T201
    return holds


def main() -> int:
    """Time all and compare with the aims."""
    random = np.random.default_rng(1)
    baseline, changed = random.normal(size=(2, 100_000, 8))
    ours = milliseconds(lambda: paired_t(changed - baseline), 10)
    theirs = milliseconds(lambda: stats.ttest_rel(changed, baseline, axis=-1), 10)
    holds = [say("paired t, 100,000 trials of 8 pairs, limits included", ours, theirs, 1)]

    differences = random.normal(0.3, 1.0, 16)
    theirs = milliseconds(
        lambda: stats.permutation_test(
            (differences,), np.sum, permutation_type="samples", alternative="two-sided", n_resamples=np.inf
        ),
        3,
    )
    ours = milliseconds(lambda: sign_flip(differences), 50)
    holds.append(say("sign flips, p and limits of 16 pairs (scipy: p alone)", ours, theirs, 100))

    print(f"pairs needed at half an SD: {milliseconds(lambda: pairs_needed(0.5), 20):.3f} ms")  # noqa: T201
    return 0 if all(holds) else 1


if __name__ == "__main__":
    sys.exit(main())
