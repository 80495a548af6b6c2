"""Thousands of trials of one plan judged at once: the verdict's own rule on arrays, no model made for any of them."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from schemas import Trial
from trials.errors import Problem, Refused
from trials.measures.catalogue import measure_named
from trials.rehearsal.judged import ENDINGS, judged_at
from trials.rehearsal.simulated_trials import Readings
from trials.statistics.arrays import Numbers
from trials.verdicts.analysis import LEVEL, LEVEL_AFTER_LOOK
from trials.verdicts.outcome import OUTCOMES

PLACE = "reach_verdicts"


@dataclass(frozen=True, slots=True, eq=False)
class ManyVerdicts:
    """How each of many trials ended; both arrays have shape (trials,).

    codes: As `Verdict.code`: better, worse, no_difference, not_settled, scatter, too_few or blocked.
    estimates: Mean difference on the measure's scale, more gold positive; NaN for too_few and blocked.
    """

    codes: npt.NDArray[np.str_]
    estimates: Numbers


def reach_verdicts(
    trial: Trial,
    baseline: npt.ArrayLike,
    changed: npt.ArrayLike,
    *,
    changed_first: npt.ArrayLike | None = None,
    fed_g: npt.ArrayLike | None = None,
) -> ManyVerdicts:
    """Did the change beat luck, in each of many trials of one plan? What `reach_verdict` says of them one by one.

    `baseline` and `changed` are what the measure reads of every run, in mg or counts: (trials, pairs), or (trials,
    pairs, readings) where it reads several (recovery: gold kept, gold in the tails; tracers: kept, seeded); all planned
    pairs, none void. `changed_first`, (trials, pairs), says whether the changed half of a pair ran first; not given: in
    every second pair. `fed_g`, (trials, pairs, 2), is dirt fed to the two halves, the baseline's first, g; not given:
    alike.

    Refused: a trial that is none of pairs; arrays of another shape, or with a number that is negative or not finite.

    >>> from schemas import Change, Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),),
    ...     gear=Gear(kind="sluice"), change=Change(variable="mat", baseline="ribbed", changed=("looped",)))
    >>> reach_verdicts(trial, [[40, 42, 38], [40, 42, 38]], [[60, 61, 59], [44, 39, 40]]).codes.tolist()
    ['better', 'not_settled']
    """
    if len(trial.arms) != 2 or trial.sizes.main is not None:
        what = "is not a trial of pairs judged on their total, and only such are judged by the thousand"
        raise Refused([Problem(trial.name, what, "reach_verdict judges one trial of any kind")])
    measure = measure_named(trial.measure)
    width = len(measure.inputs)
    halves = [
        _numbers(half, (trial.pairs, width), name) for half, name in ((baseline, "baseline"), (changed, "changed"))
    ]
    count = len(halves[0])
    first = np.arange(trial.pairs) % 2 == 1 if changed_first is None else np.asarray(changed_first, dtype=np.bool_)
    fed = np.ones((trial.pairs, 2)) if fed_g is None else np.asarray(fed_g, dtype=float)
    try:
        before, after = np.broadcast_arrays(*halves)
        readings = Readings(
            before, after, np.broadcast_to(first, (count, trial.pairs)), np.broadcast_to(fed, (count, trial.pairs, 2))
        )
    except ValueError as error:
        says = "baseline, changed, changed_first and fed_g are not of the same trials and pairs"
        raise Refused([Problem(PLACE, says, f"give each for all {trial.pairs} pairs of every trial")]) from error
    line = None if trial.worth_having is None else measure.line(trial.worth_having)
    level = LEVEL if trial.look_after is None else LEVEL_AFTER_LOOK
    judged = judged_at(measure, readings, measure.division(trial), line, level=level)
    codes = np.array(ENDINGS)[judged.codes]
    if trial.kind == "nothing-changed check":
        codes = np.where(np.isin(codes, OUTCOMES), "scatter", codes)
    return ManyVerdicts(codes, judged.means)


def _numbers(given: npt.ArrayLike, shape: tuple[int, int], name: str) -> Numbers:
    """Readings with the shape (trials, pairs, readings of a run)."""
    values = np.asarray(given, dtype=float)
    values = values[..., np.newaxis] if shape[1] == 1 and values.ndim == 2 else values
    if values.ndim != 3 or values.shape[1:] != shape:
        says = f"has the shape {values.shape}"
        raise Refused([Problem(f"{PLACE}, {name}", says, f"give (trials, {shape[0]} pairs, {shape[1]} readings)")])
    if not np.isfinite(values).all() or (values < 0).any():
        raise Refused([Problem(f"{PLACE}, {name}", "holds a number that is negative or not finite", "leave it out")])
    return values
