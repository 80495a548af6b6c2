"""One simulated trial out of a rehearsal, as runs that a verdict can be reached on and a chart drawn of."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from pydantic import ValidationError

from schemas import Run, Trial
from schemas.run import COUNTED
from trials.measures.catalogue import measure_named
from trials.rehearsal.judged import ENDINGS, Ending
from trials.rehearsal.rehearsal import Rehearsal, Scenario, part_size
from trials.rehearsal.simulated_trials import BlockReadings


@dataclass(frozen=True, slots=True, eq=False)
class SimulatedTrial:
    """One trial of a rehearsal, as far as it was run.

    number: Which of the rehearsal, the first being 0.
    at_look: Whether it stopped at the early look; then it has no pairs after it.
    seen: What the measure reads of it; its arrays lack the axis of trials.
    """

    number: int
    ending: Ending
    at_look: bool
    seen: BlockReadings


def simulated_trial(rehearsal: Rehearsal, number: int) -> SimulatedTrial:
    """Draw one trial of a rehearsal again, 0 to times - 1: its part is drawn from the part's own seed."""
    scenario = rehearsal.scenario
    if not 0 <= number < scenario.times:
        raise ValueError(
            f"trial {number} is not one of the {scenario.times} rehearsed; give 0 to {scenario.times - 1}."
        )
    part, row = divmod(number, part_size(scenario.drawn_as_pairs))
    at_look = bool(rehearsal.at_look[number])
    seen = _drawn(scenario, part).of_one(row, scenario.look_after if at_look else None)
    return SimulatedTrial(number, ENDINGS[int(rehearsal.codes[number])], at_look, seen)


@lru_cache(maxsize=1)
def _drawn(scenario: Scenario, part: int) -> BlockReadings:
    return scenario.blocks_of_part(part)


def typical_trial(rehearsal: Rehearsal) -> SimulatedTrial:
    """Which trial shows what to expect of the plan?

    The one whose mean difference is the median of all that have one; of two in the middle the lower, of equal ones the
    first drawn. Of a graded plan it is the difference of the level that each verdict speaks of. Where no trial has one
    (all blocked, or too few pairs), the first.

    >>> from trials.rehearsal.rehearsal import rehearse
    >>> from trials.noise.situation import Situation
    >>> tried = rehearse("recovery", pairs=4, situation=Situation(), line=None, times=101, seed=41)
    >>> bool(tried.means[typical_trial(tried).number] == np.median(tried.means))
    True
    """
    with_mean = np.flatnonzero(np.isfinite(rehearsal.means))
    if with_mean.size == 0:
        return simulated_trial(rehearsal, 0)
    by_mean = np.argsort(rehearsal.means[with_mean], kind="stable")
    return simulated_trial(rehearsal, int(with_mean[by_mean[(with_mean.size - 1) // 2]]))


def typical_runs(trial: Trial, rehearsal: Rehearsal) -> tuple[Run, ...]:
    """Give the typical trial of a rehearsal as runs of a plan; see `runs_of`."""
    return runs_of(trial, rehearsal, typical_trial(rehearsal))


def runs_of(trial: Trial, rehearsal: Rehearsal, simulated: SimulatedTrial) -> tuple[Run, ...]:
    """Give a simulated trial of a rehearsal as runs of the plan that was rehearsed, in the order they were made.

    Each has pair, arm, turn, mass fed and what the measure reads. Where the trial also has the line of the rehearsal
    and the scale of its noise, `reach_verdict` gives them the ending of the rehearsal (a nothing-changed check has its
    own).

    Raises ValueError at a plan of other arms, measure, pairs or look than were rehearsed; a count or mass that no
    run may hold (over 100,000 grains).

    >>> from schemas import Gear, Lot
    >>> from trials.rehearsal.rehearsal import rehearse
    >>> from trials.noise.situation import Situation
    >>> trial = Trial(name="t", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"))
    >>> tried = rehearse("gold_mass", pairs=3, situation=Situation(), line=None, times=50, seed=41)
    >>> runs = typical_runs(trial, tried)
    >>> [run.turn for run in runs], {run.arm for run in runs} == {"baseline", "repeat"}
    ([1, 2, 3, 4, 5, 6], True)
    """
    _require_same_plan(trial, rehearsal)
    inputs, seen = measure_named(trial.measure).inputs, simulated.seen
    runs: list[Run] = []
    for at, arm in zip(*np.unravel_index(np.argsort(seen.turn, axis=None), seen.turn.shape), strict=True):
        read = dict(zip(inputs, seen.runs[at, arm].tolist(), strict=True))
        place: dict[str, int | str] = {"pair": int(at) + 1, "arm": trial.arms[arm], "turn": int(seen.turn[at, arm])}
        runs.append(_run(place, float(seen.fed_g[at, arm]), read))
    return tuple(runs)


def _run(place: dict[str, int | str], fed_g: float, read: dict[str, float]) -> Run:
    found = {name: int(value) if name in COUNTED else value for name, value in read.items()}
    try:
        return Run.model_validate({**place, "fed_g": fed_g, **found})
    except ValidationError as error:
        fault = error.errors()[0]
        field = fault["loc"][0] if fault["loc"] else "run"
        message = f"{field} {fault['input']} in pair {place['pair']}: {fault['msg']}; rehearse with less of it fed."
        raise ValueError(message) from None


def _require_same_plan(trial: Trial, rehearsal: Rehearsal) -> None:
    scenario = rehearsal.scenario
    asked = (len(trial.arms), trial.measure, trial.pairs, trial.look_after)
    rehearsed = (scenario.arms, scenario.measure, scenario.pairs, scenario.look_after)
    names = ("arms", "measure", "pairs", "look_after")
    for name, one, other in zip(names, asked, rehearsed, strict=True):
        if one != other:
            raise ValueError(f"trial {trial.name}: {name} is {one}, rehearsed with {other}; rehearse this plan.")
