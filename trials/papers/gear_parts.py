"""What a creek sheet asks by the gear: where it is stripped down, whether it loads, whether water runs through it."""

from collections.abc import Mapping

from schemas import Trial
from schemas.gear import GearKind
from trials.measures.catalogue import measure_named

# Where heavies hide between runs; common practice, no source.
STRIP_POINTS: Mapping[GearKind, tuple[str, ...]] = {
    "finishing table": ("bed", "lip", "hose"),
    "sluice": ("lip", "mat", "hose"),
    "cleanup sluice": ("lip", "mat", "hose"),
    "shaking table": ("deck", "lip", "hose"),
    "pan": ("pan", "tub"),
    "spinning bowl": ("bowl", "rings", "hose"),
    "vortex bowl": ("bowl", "cup", "hose"),
    "wheel": ("wheel", "cup", "hose"),
    "jig": ("bed", "hutch", "hose"),
    "rocker": ("apron", "riffles", "hopper"),
    "other": ("gear", "tub", "hose"),
}
LOADS: frozenset[GearKind] = frozenset({"sluice", "cleanup sluice", "rocker", "jig"})
"""Gear whose bed fills before it keeps as it will later; common practice, no source."""
HAND_POURED: frozenset[GearKind] = frozenset({"pan", "rocker"})


def takes_starter(trial: Trial) -> bool:
    """Whether a starter charge is fed before each run, so that every set-up starts loaded."""
    return trial.gear.kind in LOADS


def has_stream(trial: Trial) -> bool:
    """Whether water runs through the gear at a rate that can be timed."""
    asked = trial.held.water_l_min is not None or (trial.change is not None and trial.change.variable == "water")
    return asked or trial.gear.kind not in HAND_POURED


def searches_tails(trial: Trial) -> bool:
    """Whether gold or grains are looked for in the tails of each run."""
    return measure_named(trial.measure).searches_tails and trial.tails.caught != "none"


def tails_box(trial: Trial) -> str:
    """What the box for the tails is called; nothing where they are not kept."""
    match trial.tails.caught:
        case "lip cuts":
            return "lip cuts"
        case "grab":
            return "tails grab"
        case "all":
            return "tails tub"
        case _:
            return "tails tub" if searches_tails(trial) else ""
