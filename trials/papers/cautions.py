"""The usual cautions, each where it applies. They inform; they give no recipe."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from schemas import Run, Trial
from trials.measures.catalogue import measure_named

Paper = Literal["creek", "panner"]
CREEK: tuple[Paper, ...] = ("creek",)
PANNER: tuple[Paper, ...] = ("panner",)
BOTH: tuple[Paper, ...] = ("creek", "panner")
ENDING = "Local rules and licensed practice come first."
HEAVY_LOT_G = 15_000.0
MUCH_BLACK_SAND_G = 5_000.0


@dataclass(frozen=True, slots=True)
class Caution:
    """A hazard, what is usual to say of it, when it applies, and which sheets print it; the report prints all."""

    about: str
    says: str
    applies: Callable[[Trial, Sequence[Run]], bool]
    papers: tuple[Paper, ...] = ()


OLD_GROUND = ("natural", "table tailings", "sluice tailings", "concentrate")
"""Dirt in which mercury of earlier work may lie; what was made up holds none."""
CUT_OR_SANDED = ("texture", "screen", "mat", "riffle", "length")
"""Changes that are sanded, cut, drilled or screened."""


def _may_hold_mercury(trial: Trial, runs: Sequence[Run]) -> bool:
    return any(lot.kind in OLD_GROUND for lot in trial.lots) or any(run.silvery for run in runs)


def _makes_dust(trial: Trial, runs: Sequence[Run]) -> bool:
    change = trial.change
    made = change is not None and (change.variable in CUT_OR_SANDED or change.twin is not None)
    return made or any(run.classes for run in runs)  # a catch told by size class was screened


def _at_the_creek(trial: Trial, _: Sequence[Run]) -> bool:
    return any(lot.kind == "natural" for lot in trial.lots)


def _is_spiked(trial: Trial, runs: Sequence[Run]) -> bool:
    wetted = any((run.wetting_drops_10l or 0) > 0 for run in runs) or (trial.held.wetting_drops_10l or 0) > 0
    soaped = trial.change is not None and trial.change.variable == "wetting aid"
    return measure_named(trial.measure).is_seeded or wetted or soaped


def _has_moving_parts(trial: Trial, runs: Sequence[Run]) -> bool:
    moving = trial.gear.kind in ("wheel", "jig", "shaking table", "spinning bowl")
    return moving or any(run.magnet for run in runs)


CAUTIONS: tuple[Caution, ...] = (
    Caution(
        "Mercury",
        "Silvery gold may carry mercury. Do not heat, burn or acid it. Bag, label, ask the hazardous-waste service.",
        _may_hold_mercury,
        BOTH,
    ),
    Caution(
        "Heat",
        "Never dry or heat concentrate in a kitchen or a closed room; air-dry it.",
        lambda *_: True,  # what is weighed is dried, and so is most of what is counted
        PANNER,
    ),
    Caution(
        "Dust",
        "Sand, cut, drill, crush and screen wet. Silica and old lead-paint dust harm. Fitted P100/N95 at least; no "
        "blowing indoors.",
        _makes_dust,
        BOTH,
    ),
    Caution(
        "Electricity",
        "Mains near water: RCD/GFCI, dry hands. 12 V: fuse it. Petrol pumps outdoors only.",
        lambda trial, _: trial.gear.kind != "pan",
        CREEK,
    ),
    Caution(
        "Lifting",
        "A full bucket is 30-40 kg. Half-fill; two people.",
        lambda trial, _: any(lot.mass_g is not None and lot.mass_g > HEAVY_LOT_G for lot in trial.lots),
        CREEK,
    ),
    Caution("Water", "Not alone, not in spate; cold water takes your breath.", _at_the_creek, CREEK),
    Caution(
        "Permits",
        "Owner's consent, claim, water and heritage rules apply. This is not legal advice.",
        _at_the_creek,
        CREEK,
    ),
    Caution(
        "Radioactive heavies",
        "Heavy sand can hold thorium minerals. Keep it damp, outside living space; do not grind dry.",
        lambda _, runs: sum(run.black_sand_g or 0.0 for run in runs) > MUCH_BLACK_SAND_G,
        CREEK,
    ),
    Caution(
        "Lead",
        "Count shot in and out, closed tub only, gloves, wash, away from children and food.",
        lambda trial, _: measure_named(trial.measure).is_seeded and trial.grains.stuff == "lead",
        BOTH,
    ),
    Caution("Tracers and soap", "Closed tub only; nothing spiked goes to the creek.", _is_spiked, BOTH),
    Caution("Magnets and moving parts", "Pinch points; keep strong magnets from pacemakers.", _has_moving_parts, BOTH),
    Caution(
        "Selling on results", "Show every run, void ones too. One lot does not describe other ground.", lambda *_: True
    ),
)


def cautions_for(trial: Trial, runs: Sequence[Run], paper: Paper | None = None) -> tuple[Caution, ...]:
    """Which cautions does this trial, as recorded so far, call for? Without a paper all of them.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="pan", measure="grain_counts", pairs=3, lots=(Lot(kind="concentrate"),),
    ...               gear=Gear(kind="pan"))
    >>> [caution.about for caution in cautions_for(trial, ())]
    ['Mercury', 'Heat', 'Selling on results']
    >>> [caution.about for caution in cautions_for(trial, (), "creek")]
    ['Mercury']
    """
    due = (caution for caution in CAUTIONS if caution.applies(trial, runs))
    return tuple(caution for caution in due if paper is None or paper in caution.papers)
