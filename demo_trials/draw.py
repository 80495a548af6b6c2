"""The runs of the demo trials, drawn from the assumed noise model, no source.

`python -m demo_trials.draw` writes every `runs.csv` anew, byte for byte the same each time. Order and tags are those
the plan asks for, drawn from the seed in its `trial.toml`; the recipes say what the runs came to, and `Recipe.luck`
was chosen so that each story ends as it is told.
"""

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from demo_trials.recipe import Recipe
from demo_trials.recipes import RECIPES
from schemas import Run, Trial
from trials.errors import Refused
from trials.files.trial_file import read_trial
from trials.plans.draw import planned_runs
from trials.records.keys import TRIAL_FILE
from trials.simulation.arrays import IntArray
from trials.simulation.runs import SimulatedRuns, simulate_runs
from trials.simulation.schedule import Schedule
from trials.simulation.streams import lognormal
from trials.simulation.tracers import simulate_tracers
from trials.statistics.arrays import Numbers

LOST_TRACERS_FOUND = 0.95
WATER_END_CV = 0.01
CLEANUP_CV = 0.05
WARMING_PER_RUN_C = 0.3
TEMP_STEP_C = 0.5
MINUTES_STEP = 0.5
SAND_STEP_G = 0.1
COLUMNS_AT_END = ("void", "void_gold_known", "note")


@dataclass(frozen=True, eq=False)
class Drawn:
    """What the runs of one trial showed; arrays of shape (pairs, arms).

    Attributes
    ----------
    turn
        Place of each run in the whole trial.
    sitting
        Which sitting it was made in, counted from 0.
    runs
        What the noise model gives, with a first axis of one trial.
    kept, in_tails
        Tracers by size, one more axis.
    cleanup_minutes, water_end_l_min, temp_c
        What the noise model does not draw; assumed, no source.
    readings
        Settings read, by column.
    """

    turn: IntArray
    sitting: IntArray
    runs: SimulatedRuns
    kept: IntArray
    in_tails: IntArray
    cleanup_minutes: Numbers
    water_end_l_min: Numbers
    temp_c: Numbers
    readings: dict[str, Numbers]


def plan_of(recipe: Recipe) -> Trial:
    """Read the plan of a demo trial: its `trial.toml`, beside this file.

    Raises
    ------
    Refused
        The plan does not read.

    Examples
    --------
    >>> trial = plan_of(RECIPES[0])
    >>> trial.name, trial.pairs, trial.arms
    ('rough-bed', 8, ('baseline', 'changed'))
    """
    path = Path(__file__).parent / recipe.name / TRIAL_FILE
    trial, problems = read_trial(path.read_text(encoding="utf-8"), str(path))
    if trial is None:
        raise Refused(problems)
    return trial


def schedule_of(recipe: Recipe, trial: Trial) -> Schedule:
    """Lay out the runs of a trial: the turns its seed gives, and the sitting of each.

    Parameters
    ----------
    recipe : Recipe
        Its sittings must hold all runs of the plan.
    trial : Trial
        The plan, with a seed.

    Returns
    -------
    Schedule
        Of one trial.
    """
    turn: IntArray = np.zeros((1, trial.pairs + trial.spares, len(trial.arms)), dtype=np.int64)
    for place, run in enumerate(planned_runs(trial), start=1):  # in order of turn
        turn[0, run.pair - 1, trial.arms.index(run.arm)] = place
    sittings = np.repeat(np.arange(len(recipe.sittings)), [sitting.runs for sitting in recipe.sittings])
    return Schedule(turn=turn, session=sittings[turn - 1], feeder=np.zeros_like(turn))


def draw(recipe: Recipe, trial: Trial) -> Drawn:
    """Draw one trial.

    Parameters
    ----------
    recipe : Recipe
        What it is drawn from.
    trial : Trial
        Its plan.

    Returns
    -------
    Drawn
        The same recipe always gives the same.

    References
    ----------
    Assumed noise model, no source.
    """
    schedule = schedule_of(recipe, trial)
    changes = recipe.change if isinstance(recipe.change, tuple) else (recipe.change,) * (len(trial.arms) - 1)
    runs = simulate_runs(
        recipe.luck,
        schedule=schedule,
        dirt=recipe.dirt,
        noise=recipe.noise,
        gear=recipe.gear,
        change=changes,
        tracers=recipe.tracers,
    )
    kept = simulate_tracers(
        recipe.luck,
        schedule=schedule,
        noise=recipe.noise,
        tracers=recipe.tracers,
        gear=recipe.gear,
        change=changes,
    )[0]
    rng = np.random.default_rng([recipe.luck, 1])
    turn, sitting = schedule.turn[0], schedule.session[0]
    cleanup = np.asarray(recipe.cleanup_minutes or (0.0,)) * lognormal(rng, CLEANUP_CV, turn.shape)
    water_end = runs.water_l_min[0] * lognormal(rng, WATER_END_CV, turn.shape)
    begun = np.asarray([turn[sitting == place].min() for place in range(len(recipe.sittings))])
    began_c = np.asarray([one.temp_c for one in recipe.sittings])
    return Drawn(
        turn=turn,
        sitting=sitting,
        runs=runs,
        kept=kept,
        in_tails=rng.binomial(recipe.tracers.fed - kept, LOST_TRACERS_FOUND),
        cleanup_minutes=cleanup,
        water_end_l_min=water_end,
        temp_c=began_c[sitting] + WARMING_PER_RUN_C * (turn - begun[sitting]),
        readings={one.column: rng.normal(one.by_arm, one.sd, turn.shape) for one in recipe.readings},
    )


def to_step(value: float, step: float) -> str:
    """Write a value to the nearest step of what it was read on.

    Examples
    --------
    >>> to_step(9.63, 0.5), to_step(349.7, 1), to_step(12.26, 0.1)
    ('9.5', '350', '12.3')
    """
    decimals = 0 if step >= 1 else 1 if step >= 0.1 else 2
    return f"{round(value / step) * step:.{decimals}f}"


def runs_text(recipe: Recipe) -> str:
    """Write the whole `runs.csv` of a trial, in the order the runs were made.

    Parameters
    ----------
    recipe : Recipe
        What it is drawn from.

    Returns
    -------
    str
        Values rounded as a person would write them; a column that no run fills is left out.
    """
    trial = plan_of(recipe)
    drawn = draw(recipe, trial)
    rows = [_row(recipe, drawn, run, trial.arms.index(run.arm)) for run in planned_runs(trial)]
    known = dict.fromkeys(column for row in rows for column in row if column not in COLUMNS_AT_END)
    last = [column for column in COLUMNS_AT_END if any(row.get(column) for row in rows)]
    out = io.StringIO()
    writer = csv.DictWriter(out, [*known, *last], restval="", extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def _row(recipe: Recipe, drawn: Drawn, run: Run, arm: int) -> dict[str, str]:
    """One row: what was done, what came of it, and what was noted."""
    pair = run.pair - 1
    sitting = recipe.sittings[drawn.sitting[pair, arm]]
    row = {
        "pair": str(run.pair),
        "arm": run.arm,
        "turn": str(run.turn),
        "tag": run.tag or "",
        "session": sitting.session,
    }
    if recipe.lots:
        row["fed_lot"] = recipe.lots[pair]
    per_unit = 1000.0 if recipe.fed_column == "fed_kg" else 1.0
    row[recipe.fed_column] = to_step(drawn.runs.fed_g[0, pair, arm] / per_unit, recipe.fed_step)
    for one in recipe.readings:
        row[one.column] = to_step(drawn.readings[one.column][pair, arm], one.step)
    struck = next((s for s in recipe.struck if (s.pair, s.arm) == run.key), None)
    row |= {column: "" if struck else text for column, text in _results(recipe, drawn, pair, arm)}
    row["water_l_min"] = to_step(drawn.runs.water_l_min[0, pair, arm], recipe.water_step)
    row["water_end_l_min"] = "" if struck else to_step(drawn.water_end_l_min[pair, arm], recipe.water_step)
    row["temp_c"] = to_step(drawn.temp_c[pair, arm], TEMP_STEP_C)
    row |= dict.fromkeys(recipe.ticks, "yes")
    row |= dict(zip(("feeder", "panner"), recipe.hands, strict=True))
    if struck:
        row |= {"void": struck.why, "void_gold_known": "no"}
    row["note"] = next((note for n, name, note in recipe.notes if (n, name) == run.key), "")
    return row


def _results(recipe: Recipe, drawn: Drawn, pair: int, arm: int) -> Iterator[tuple[str, str]]:
    """What a run cost and what it kept, column by column."""
    runs, at = drawn.runs, (0, pair, arm)
    yield "minutes", to_step(runs.minutes[at], MINUTES_STEP)
    if recipe.cleanup_minutes:
        yield "cleanup_minutes", to_step(drawn.cleanup_minutes[pair, arm], MINUTES_STEP)
    if "grains" in recipe.shows:
        yield "grains", str(runs.grains_kept[at])
    if "gold_mg" in recipe.shows:
        yield "gold_mg", to_step(runs.gold_kept_mg[at], 1)
    if "tails_gold_mg" in recipe.shows:
        yield "tails_gold_mg", to_step(runs.gold_tails_mg[at], 1)
    if "tracers" in recipe.shows:
        for size, label in enumerate(recipe.labels):
            yield f"seeded {label}", str(recipe.tracers.fed)
            yield f"kept {label}", str(drawn.kept[pair, arm, size])
            yield f"in_tails {label}", str(drawn.in_tails[pair, arm, size])
    yield "black_sand_g", to_step(runs.black_sand_g[at], SAND_STEP_G)


def write_all(parent: Path) -> tuple[Path, ...]:
    """Write the `runs.csv` of every demo trial into its folder under a parent.

    Parameters
    ----------
    parent : Path
        Folders in it that are missing are made.

    Returns
    -------
    tuple of Path
        The files written.
    """
    written = []
    for recipe in RECIPES:
        path = parent / recipe.name / "runs.csv"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(runs_text(recipe).encode())
        written.append(path)
    return tuple(written)


if __name__ == "__main__":
    write_all(Path(__file__).parent)
