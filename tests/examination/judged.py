"""What becomes of trials with a fault planted in them: who would be told of it, and who would not."""

from collections import Counter
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from math import comb
from typing import Literal

import numpy as np

from schemas import Run, Trial, Verdict
from tests.examination.planted import Array, Planted
from trials.measures.catalogue import measure_named
from trials.report.pitfalls import PITFALLS
from trials.statistics.paired_t import paired_t
from trials.verdicts.reach import reach_verdict

End = Literal["bare", "told", "leaning", "stopped", "none"]
ENDS: tuple[End, ...] = ("bare", "told", "leaning", "stopped")
GATES = ("blocked", "incomplete", "too_few")
LUCK = 0.025
"""What a fair trial may call better by luck alone."""
Hands = Callable[[int, int], Sequence[tuple[Trial, list[Run]]]]


@dataclass(frozen=True)
class Told:
    """What counts as being told: findings of these checks, a cost over its limit, a mark on the verdict itself."""

    checks: frozenset[str]
    costs: bool = False
    marks: bool = False


def told_of(pitfall: str, *, costs: bool = False, marks: bool = False) -> Told:
    """The checks that the map names for a pitfall."""
    (one,) = [p for p in PITFALLS if p.name == pitfall]
    return Told(frozenset(name for stand in one.stands for name in stand.checks), costs, marks)


def end_of(verdict: Verdict, told: Told, *, blank: bool) -> End:
    """How a trial ended whose person hoped for better: bare is better with nobody told.

    With the tell-tale column blank, hearing that it is not recorded is being told.
    """
    if verdict.code in GATES:
        return "stopped"
    if verdict.code != "better":
        return "none"
    return "leaning" if verdict.leaning else "told" if is_told(verdict, told, blank=blank) else "bare"


def is_told(verdict: Verdict, told: Told, *, blank: bool) -> bool:
    """Whether anything of a verdict names the fault."""
    speaks = {"STOP", "WEAKENS", "NOTE", *(("not recorded",) if blank else ())}
    named = set(told.checks) | ({"thin-record"} if blank else set())
    found = any(finding.check in named and finding.severity in speaks for finding in verdict.checks)
    statuses = {"over", "not shown", *(("not recorded",) if blank else ())}
    cost = told.costs and any(cost.status in statuses for cost in verdict.costs)
    mark = told.marks and bool(verdict.amendments or verdict.corrections or verdict.voids)
    return found or cost or mark


def looks_better(planted: Planted) -> Array:
    """Which trials could be called better at all: those whose interval lies over zero, whatever the checks say.

    A pair that tells nothing, or a run left out, keeps the whole trial in.
    """
    measure = measure_named(planted.shape.measure)
    trials = len(planted.seeds)
    if planted.left_out is not None or not set(measure.inputs) <= planted.columns.keys():
        return np.full(trials, fill_value=True)
    read = np.stack([planted.columns[name] for name in measure.inputs], axis=-1).astype(float)
    with np.errstate(divide="ignore", invalid="ignore"):
        differences = measure.difference(read[:, :, 0], read[:, :, 1], 1.0)
    whole = np.isfinite(differences).all(axis=-1)
    low = np.asarray(paired_t(np.where(np.isfinite(differences), differences, 0.0)).low)
    return ~whole | (low > 0)


def false_alarms(planted: Planted) -> tuple[int, int]:
    """How many trials have an interval over zero, and how many under it."""
    measure = measure_named(planted.shape.measure)
    read = np.stack([planted.columns[name] for name in measure.inputs], axis=-1).astype(float)
    fit = paired_t(measure.difference(read[:, :, 0], read[:, :, 1], 1.0))
    return int((np.asarray(fit.low) > 0).sum()), int((np.asarray(fit.high) < 0).sum())


def ends_of(planted: Planted, told: Told, *, blank: bool) -> Counter[str]:
    """How the trials of a block ended; those that could not be better are none."""
    among = looks_better(planted)
    ended: Counter[str] = Counter()
    ended["none"] = int((~among).sum())
    ended.update(end_of(reach_verdict(trial, runs), told, blank=blank) for trial, runs in planted.cases(among))
    return ended


def more_than_luck(found: int, times: int, luck: float = LUCK) -> bool:
    """Whether so many of so many are more than a rate of `luck` gives, at three standard errors (1 in 741)."""
    tail = sum(comb(times, k) * luck**k * (1 - luck) ** (times - k) for k in range(found, times + 1))
    return found > 0 and tail < 0.00135


def shares(ended: Counter[str], names: Collection[str] = ENDS) -> tuple[int, ...]:
    """How many ended each way."""
    return tuple(ended[name] for name in names)
