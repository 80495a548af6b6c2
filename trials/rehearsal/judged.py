"""How do thousands of simulated trials end? The verdict's own functions and rule, on arrays."""

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
import numpy.typing as npt

from trials.fairness.stops import (
    has_a_slip,
    has_one_order,
    has_too_coarse_a_scale,
    has_too_many_zeros,
    has_unlike_halves,
)
from trials.measures.measure import Measure, root_mean_square
from trials.rehearsal.simulated_trials import Readings
from trials.statistics.arrays import Numbers
from trials.verdicts.analysis import LEVEL, LEVEL_AFTER_LOOK, LOOK_LEVEL
from trials.verdicts.outcome import BETTER, OUTCOMES, WORSE, Outcome, bounds, outcome
from trials.verdicts.reach import FEWEST_PAIRS

Ending = Outcome | Literal["too_few", "blocked"]
ENDINGS: Final[tuple[Ending, ...]] = (*OUTCOMES, "too_few", "blocked")
TOO_FEW: Final = ENDINGS.index("too_few")
BLOCKED: Final = ENDINGS.index("blocked")

Codes = npt.NDArray[np.int8]
Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Judged:
    """How each of many trials ended; every array has shape (trials,).

    codes: Index into `ENDINGS`.
    means: Mean difference on the measure's scale when it ended, more gold positive; NaN for too_few and blocked.
    """

    codes: Codes
    means: Numbers
    at_look: Flags


def judge_trials(
    measure: Measure, readings: Readings, *, division: float | None, line: float | None, look_after: int | None = None
) -> Judged:
    """How does each trial end, judged as `reach_verdict` would judge its runs?

    `readings` are of all planned pairs, none void; `division` is one of the gold scale in mg, None where there is none
    or it is not known; `line` and `look_after` are as in a scenario. Without a look the level is 95 %. With one, a
    trial stops at it where the 99 % limits leave 0 out, whatever the line; where it does not, or is blocked or has too
    few pairs there, it goes on and ends at 96 %.

    Three pairs of like masses, then three that all gain a half:

    >>> from trials.measures.gold_mass import GOLD_MASS
    >>> baseline = np.full((2, 3, 1), 40.0)
    >>> changed = np.array([[40.0, 42, 38], [60, 61, 59]])[..., np.newaxis]
    >>> turns = np.array([[True, False, True], [False, True, False]])
    >>> seen = Readings(baseline, changed, turns, np.full((2, 3, 2), 350.0))
    >>> [ENDINGS[code] for code in judge_trials(GOLD_MASS, seen, division=1.0, line=0.18).codes]
    ['no_difference', 'better']
    """
    if look_after is None:
        return judged_at(measure, readings, division, line, level=LEVEL)
    look = judged_at(measure, readings.first(look_after), division, None, level=LOOK_LEVEL)
    end = judged_at(measure, readings, division, line, level=LEVEL_AFTER_LOOK)
    stops = (look.codes == BETTER) | (look.codes == WORSE)
    return Judged(np.where(stops, look.codes, end.codes), np.where(stops, look.means, end.means), stops)


def is_stopped_by_readings(measure: Measure, readings: Readings, division: float | None) -> Flags:
    """Which trials would a fairness check stop that simulated runs can set off, and that does not look at their order?

    They are too-many-zeros (over 20 % of the runs of a ratio measure, or any where masses have no division),
    scale-fine-enough (the middle run weighs under 10 divisions), like-halves (a pair of a measure it stops, fed over 15
    % apart) and slip (a reading over 50 times from the middle of the others of its arm).
    """
    return (
        has_too_many_zeros(measure, readings.baseline, readings.changed, division)
        | has_too_coarse_a_scale(measure, readings.baseline, readings.changed, division)
        | has_unlike_halves(measure, readings.fed_g)
        | has_a_slip(readings.baseline, readings.changed)
    )


def judged_at(
    measure: Measure, readings: Readings, division: float | None, line: float | None, *, level: float
) -> Judged:
    """Judge all pairs there are at one level; trials with like many informative pairs are judged together."""
    trials, pairs = readings.changed_first.shape
    # First-turn (3 pairs or more of one order) stops at an early look alone, for the whole draw is balanced.
    blocked = is_stopped_by_readings(measure, readings, division) | has_one_order(readings.changed_first)
    speaks = ~measure.is_empty(readings.baseline, readings.changed)
    informative = speaks.sum(axis=-1)
    codes = np.where(blocked, BLOCKED, TOO_FEW).astype(np.int8)
    means = np.full(trials, np.nan)
    for count in range(FEWEST_PAIRS, pairs + 1):
        rows = np.flatnonzero((informative == count) & ~blocked)
        if rows.size == 0:
            continue
        halves = [half[rows] for half in (readings.baseline, readings.changed)]
        if count < pairs:
            of_rows = speaks[rows]
            halves = [half[of_rows].reshape(rows.size, count, half.shape[-1]) for half in halves]
        codes[rows], means[rows] = _ruled(measure, halves[0], halves[1], division, line, level)
    return Judged(codes, means, np.zeros(trials, dtype=np.bool_))


def _ruled(
    measure: Measure, baseline: Numbers, changed: Numbers, division: float | None, line: float | None, level: float
) -> tuple[Codes, Numbers]:
    """The engine and the rule, on informative pairs alone; the floor is the root mean square over the pairs."""
    differences = measure.difference(baseline, changed, division)
    floors = measure.floor(baseline, changed, division)
    floor = None if floors is None else root_mean_square(floors)
    limits = bounds(differences, floor, level=level)
    return outcome(limits.low, limits.high, limits.floored_low, limits.floored_high, line), limits.mean
