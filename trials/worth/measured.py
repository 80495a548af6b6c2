"""What the change cost in minutes and black sand over the pairs of its trial, a run and a kg of dirt."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from schemas import Run, Trial, WorthBase
from trials.measures.blocks import block_up
from trials.measures.pairing import Pair, pair_up


@dataclass(frozen=True, slots=True)
class Extra:
    """How much more of something the changed set-up took: mean of the pair differences.

    a_run: for a run; a_kg: for a kg of dirt fed, None where not every run's dirt was weighed.
    pairs: with both halves recorded.
    """

    a_run: float
    a_kg: float | None
    pairs: int

    def a_year(self, base: WorthBase) -> float | None:
        """In a year: by the dirt where that is known, else by clean-ups, a run for each; None where neither is known.

        >>> from datetime import date
        >>> sold = {"price": 2400, "price_date": date(2026, 5, 3), "fineness": 850, "payout_percent": 85, "wage_h": 12}
        >>> Extra(1.5, None, 6).a_year(WorthBase(cleanups=250, **sold))
        375.0
        """
        if self.a_kg is not None and base.dirt_kg is not None:
            return self.a_kg * base.dirt_kg
        return None if base.cleanups is None else self.a_run * base.cleanups


@dataclass(frozen=True, slots=True)
class Extras:
    """What a trial's counted pairs tell of the price of the change; None where it was not recorded.

    run_minutes, cleanup_minutes: minutes more; black_sand_kg: kg more.
    """

    run_minutes: Extra | None = None
    cleanup_minutes: Extra | None = None
    black_sand_kg: Extra | None = None

    @property
    def has_minutes(self) -> bool:
        """Whether minutes were recorded, of running or of cleaning up."""
        return self.run_minutes is not None or self.cleanup_minutes is not None


def extras_of(trial: Trial, runs: Sequence[Run], level: str | None = None) -> Extras:
    """How many more minutes and how much more black sand did the changed set-up take, over the pairs that count?

    Of a graded trial it is the `level` beside the baseline, block by block. Raises ValueError: it is not one of the
    arms, or the trial does not have two arms and no level is named.
    """
    pairing = pair_up(trial, runs) if level is None else block_up(trial, runs).against_baseline(trial.arms.index(level))
    pairs = pairing.informative if pairing.counted else ()
    return Extras(
        run_minutes=_extra(pairs, lambda run: run.minutes),
        cleanup_minutes=_extra(pairs, lambda run: run.cleanup_minutes),
        black_sand_kg=_extra(pairs, lambda run: None if run.black_sand_g is None else run.black_sand_g / 1000.0),
    )


def _extra(pairs: Sequence[Pair], of_run: Callable[[Run], float | None]) -> Extra | None:
    told = [pair.halves for pair in pairs if all(of_run(run) is not None for run in pair.halves)]
    if not told:
        return None
    amounts = np.array([[of_run(run) for run in halves] for halves in told], dtype=float)
    dirt = np.array([[run.fed_g for run in halves] for halves in told], dtype=float) / 1000.0
    each = amounts[:, 1] - amounts[:, 0]
    is_weighed = bool(np.isfinite(dirt).all())
    a_kg = amounts[:, 1] / dirt[:, 1] - amounts[:, 0] / dirt[:, 0] if is_weighed else None
    return Extra(float(each.mean()), None if a_kg is None else float(a_kg.mean()), len(told))
