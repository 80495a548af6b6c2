"""The rules by which a value is asked about: how little and how much a field may be, as far as plan and runs tell."""

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache, partial
from typing import Literal

from schemas import Held, Run, Trial, is_made
from schemas.run import COUNTED
from trials.records.columns import BY_CLASS, MEASURED
from trials.wording.numbers import figures, mass_words

Odd = Literal[
    "under one step",
    "more than fed",
    "more than the lot",
    "no charge",
    "long clean-up",
    "unlike the runs",
    "unlike the plan",
    "unlike the guess",
    "other half of the day",
    "weighed wet",
]
"""Why a value is asked about."""
IMPOSSIBLE: frozenset[Odd] = frozenset({"more than fed", "more than the lot"})
"""What can't be, whatever the dirt."""

# Our defaults, wide enough that no change of gear, and hardly any dirt, is held odd.
FAR = 10.0  # times either way
FAR_FROM_GUESS = 30.0  # half way, in logs, between right and g for mg: a guess of the gold may well be ten times off
FEWEST_RUNS = 2
LEAST_CHARGE_G = 10.0
LONGEST_CLEANUP_MIN = 240.0
LOT_SLACK = 1.1  # dirt weighed wet, or with a spring scale
SHARE_KEPT = 0.5  # where the plan makes no guess of it
LIMIT_DUST = 1e-9

COMPARED: Mapping[str, str] = {
    "minutes": "minutes",
    "cleanup_minutes": "clean-up",
    "fed_g": "fed",
    "water_l_min": "water",
    "water_end_l_min": "water at end",
    "black_sand_g": "sand",
    "concentrate_g": "concentrate",
    "gold_mg": "gold",
    "tails_gold_mg": "tails gold",
    "grains": "grains",
}
"""What is held against the other runs, as it is called."""
HELD_AS: Mapping[str, str] = {
    "fed_g": "charge_g",
    **{name: name for name in Held.model_fields if name in Run.model_fields},
}
"""Fields of a run, and what the plan calls them among the settings it holds."""
LIKE_THE_REST = tuple({**HELD_AS, **COMPARED})
"""What may be far from the plan, from the other runs or from a guess."""
ON_THE_GOLD_SCALE = ("gold_mg", "tails_gold_mg", "pickers_mg", "largest_mg")
ON_THE_SAND_SCALE = ("black_sand_g", "concentrate_g")
_LARGER: Mapping[str, str] = {"mg": "g", "g": "kg"}


@dataclass(frozen=True, slots=True)
class Bound:
    """Where a field may lie, and what is said of a value outside, as "is under one step of your scale (1 mg)".

    says: puts it into words, which most values need not.
    """

    odd: Odd
    says: Callable[[], str]
    low: float = 0.0
    high: float = math.inf

    def holds(self, value: float) -> bool:
        """Whether a value lies within, the limits themselves too."""
        return self.low * (1.0 - LIMIT_DUST) <= value <= self.high * (1.0 + LIMIT_DUST)


@dataclass(frozen=True, slots=True)
class Others:
    """What other runs have, to hold one against; of all set-ups alike, so that nothing is told of any.

    values: by field, what they have over 0, in order.
    fed_g: what was fed of each lot before, struck runs too.
    """

    values: Mapping[str, Sequence[float]] = field(default_factory=dict)
    fed_g: Mapping[str, float] = field(default_factory=dict)

    @classmethod
    def of(cls, trial: Trial, runs: Iterable[Run]) -> "Others":
        """Gather what these runs have."""
        runs = [run for run in runs if is_made(run)]
        standing = [run for run in runs if not run.is_void]
        values = {name: sorted(v for run in standing if (v := getattr(run, name))) for name in COMPARED}
        fed: dict[str, float] = {}
        for run in runs:
            add_fed(fed, trial, run)
        return cls(values, fed)

    def range_of(self, name: str, fewest: int, own: float | None = None) -> tuple[float, float] | None:
        """The least and the most of a field; `own` is left out once, where it is of a run among these."""
        found = self.values.get(name, ())
        if len(found) - (own is not None) < fewest:
            return None
        return found[own == found[0]], found[-1 - (own == found[-1])]


def add_fed(fed_g: dict[str, float], trial: Trial, run: Run) -> None:
    """Add what a run was fed to what was fed of its lot."""
    if (lot := _lot_of(trial, run)) is not None and run.fed_g:
        fed_g[lot] = fed_g.get(lot, 0.0) + run.fed_g


def _lot_of(trial: Trial, run: Run) -> str | None:
    """The lot that a run uses up; None where it can't be told, or the dirt is used again, as with seeded grains."""
    if run.seeded is not None:
        return None
    return run.fed_lot or (trial.lots[0].name if len(trial.lots) == 1 else None)


def bounds_of(
    trial: Trial, run: Run, others: Others, *, is_among: bool, like: Iterable[str] = LIKE_THE_REST
) -> Mapping[str, Sequence[Bound]]:
    """Within which bounds may each field that a run has lie? By column; what can't be stands before what is unlikely.

    `is_among`: the others are all runs of a record, this one among them. `like`: the fields that are held against plan,
    runs and guess.
    """
    found: defaultdict[str, list[Bound]] = defaultdict(list)
    for rules in (_scales(trial, run), _sums(trial, run), _lot(trial, run, others)):
        for name, bound in rules:
            found[name].append(bound)
    for name in like:
        if value := getattr(run, name):
            range_of_runs = others.range_of(name, FEWEST_RUNS, value if is_among else None)
            if (near := like_the_rest(trial, run, name, range_of_runs)) is not None:
                found[name].append(near)
    return found


def may_be_unlike(trial: Trial, of_all: Mapping[str, Sequence[float]]) -> tuple[str, ...]:
    """In which fields can a run of a record lie far from plan, runs or guess? By what all of them have, in order."""
    return tuple(name for name in LIKE_THE_REST if not _is_alike(trial, name, of_all.get(name, ())))


def _is_alike(trial: Trial, name: str, found: Sequence[float]) -> bool:
    """Whether all runs surely have alike of a field: both ends near the plan, else near each other."""
    planned = getattr(trial.held, HELD_AS[name]) if name in HELD_AS else None
    if planned and planned > 0:
        near = _like_plan(name, planned, FAR)
        return bool(found) and near.holds(found[0]) and near.holds(found[-1])
    return len(found) > FEWEST_RUNS and found[-1] <= FAR * found[0]


def like_the_rest(
    trial: Trial,
    run: Run,
    name: str,
    range_of_runs: tuple[float, float] | None,
    *,
    of_plan: float = FAR,
    of_runs: float = FAR,
) -> Bound | None:
    """Where a field lies that is like the plan, like the other runs, or like what was guessed where there are few.

    `of_plan`, `of_runs`: so many times either way is still like it. None where nothing is known of it.
    """
    planned = getattr(trial.held, HELD_AS[name]) if name in HELD_AS else None
    if planned and planned > 0:
        return _like_plan(name, planned, of_plan)
    if range_of_runs is not None:
        return _like_runs(name, *range_of_runs, of_runs)
    if (guess := _guess(trial, run, name)) is not None:
        return _like_guess(name, guess, FAR_FROM_GUESS if name in ON_THE_GOLD_SCALE else of_plan)
    return None


# The runs of a record share most of their bounds.
_kept = lru_cache(maxsize=4_096)


@_kept
def _like_plan(name: str, planned: float, times: float) -> Bound:
    return Bound("unlike the plan", partial(_far_from_plan, name, planned), planned / times, planned * times)


@_kept
def _like_runs(name: str, least: float, most: float, times: float) -> Bound:
    return Bound("unlike the runs", partial(_far_from_runs, name, least, most), least / times, most * times)


@_kept
def _like_guess(name: str, guess: float, times: float) -> Bound:
    return Bound("unlike the guess", partial(_far_from_guess, name, guess), guess / times, guess * times)


@_kept
def _one_step(name: str, step: float) -> Bound:
    return Bound("under one step", partial(_under_one_step, name, step), low=step)


@_kept
def _out_of(fed_g: float, whose: str, of_a_gram: float) -> Bound:
    return Bound("more than fed", partial(_more_than_fed, fed_g, whose), high=fed_g * of_a_gram)


def _far_from_plan(name: str, planned: float) -> str:
    return f"is far from the {quantity_text(name, planned)} that was planned"


def _far_from_runs(name: str, least: float, most: float) -> str:
    both = quantity_text(name, most)
    return f"is far from the other runs, which have {both if least == most else f'{figures(least, 4)} to {both}'}"


def _far_from_guess(name: str, guess: float) -> str:
    return f"is far from the {quantity_text(name, guess, 2)} or so that the plan guesses"


def _guess(trial: Trial, run: Run, name: str) -> float | None:
    """What the plan was reckoned with for a field of a run, in its stored unit."""
    guess, fed_g = trial.guess, run.fed_g or trial.held.charge_g
    if name == "minutes":
        return guess.run_minutes
    if name == "cleanup_minutes":
        return guess.cleanup_minutes or None
    if name not in ("gold_mg", "tails_gold_mg") or guess.gold_mg_kg is None or fed_g is None:
        return None
    kept = SHARE_KEPT if guess.keeps_percent is None else guess.keeps_percent / 100.0
    return guess.gold_mg_kg * fed_g / 1000.0 * (kept if name == "gold_mg" else 1.0 - kept)


def _scales(trial: Trial, run: Run) -> Iterator[tuple[str, Bound]]:
    """A mass that was weighed is no step of its scale, or one or more."""
    gold_mg = None if trial.scales.gold_g is None else 1000.0 * trial.scales.gold_g
    for names, step in ((ON_THE_GOLD_SCALE, gold_mg), (ON_THE_SAND_SCALE, trial.scales.sand_g)):
        if step is None:
            continue
        for name in names:
            # The largest piece is often judged by its size, and not weighed.
            if name != "largest_mg" and getattr(run, name):
                yield name, _one_step(name, step)
        for part in run.classes:
            for name in names:
                if name in BY_CLASS and getattr(part, name):
                    yield f"{name} {part.label}", _one_step(f"{name} {part.label}", step)


def _under_one_step(name: str, step: float) -> str:
    return f"is under one step of your scale ({quantity_text(name.partition(' ')[0], step)})"


def _sums(trial: Trial, run: Run) -> Iterator[tuple[str, Bound]]:
    """What comes out of the dirt is no more than the dirt; and a charge, and a clean-up, have their usual ends."""
    fed = run.fed_g or trial.held.charge_g
    if fed is not None:
        whose = "fed" if run.fed_g else "of a charge"
        for names, of_a_gram in ((ON_THE_SAND_SCALE, 1.0), (ON_THE_GOLD_SCALE, 1000.0)):
            for name in names:
                if getattr(run, name):
                    yield name, _out_of(fed, whose, of_a_gram)
    yield "fed_g", A_CHARGE
    yield "cleanup_minutes", ONE_CLEANUP


def _more_than_fed(fed: float, whose: str) -> str:
    return f"is more than the {mass_words(fed)} of dirt {whose}"


A_CHARGE = Bound("no charge", lambda: f"is less than any charge, {LEAST_CHARGE_G:g} g or more", low=LEAST_CHARGE_G)
ONE_CLEANUP = Bound(
    "long clean-up", lambda: f"is over {LONGEST_CLEANUP_MIN / 60:g} hours for one clean-up", high=LONGEST_CLEANUP_MIN
)


def _lot(trial: Trial, run: Run, others: Others) -> Iterator[tuple[str, Bound]]:
    """All that was fed of a lot is no more than the lot; asked at the run that passes it."""
    name = _lot_of(trial, run)
    mass = next((lot.mass_g for lot in trial.lots if lot.name == name), None)
    before = others.fed_g.get(name or "", 0.0)
    if mass is not None and run.fed_g and before <= mass * LOT_SLACK:
        says = partial(_more_than_the_lot, before + run.fed_g, mass)
        yield "fed_g", Bound("more than the lot", says, high=mass * LOT_SLACK - before)


def _more_than_the_lot(fed: float, mass: float) -> str:
    return f"makes {mass_words(fed)} fed of a lot of {mass_words(mass)}"


def quantity_text(name: str, value: float, count: int = 4) -> str:
    """A stored value of a field with its unit, large masses in kg."""
    unit = MEASURED[name][1].stored.name if name in MEASURED else "grains" if name in COUNTED else ""
    if unit == "g" and value >= 1000.0:
        return f"{figures(value / 1000.0, count)} kg"
    return f"{figures(value, count)} {unit}".rstrip()


def likely_meant(name: str, value: float, bounds: Sequence[Bound], *, is_bare: bool) -> str:
    """What was probably meant by a value out of bounds: another unit, a point that slipped; blank where nothing fits.

    `is_bare`: it was typed as a bare number of the stored unit.
    """
    unit = MEASURED[name][1].stored.name if name in MEASURED else ""
    factors = (1000.0, 0.001, 10.0, 0.1) if unit in _LARGER else (10.0, 0.1)
    factor = next((one for one in factors if all(bound.holds(value * one) for bound in bounds)), None)
    if factor is None or (name in COUNTED and not (value * factor).is_integer()):
        return ""
    if factor == 1000.0 and is_bare:
        return f"{figures(value, 6)} {_LARGER[unit]}"
    return quantity_text(name, value * factor, 6).replace(",", "")  # as it may be typed
