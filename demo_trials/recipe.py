"""What one demo trial is drawn from, besides its plan."""

from dataclasses import dataclass

from trials.simulation.dirt import Dirt
from trials.simulation.gear import SimulatedGear, TrueEffect
from trials.simulation.noise_model import Noise
from trials.simulation.tracers import SeededTracers

NOTHING_CHANGED = TrueEffect()
NO_TRACERS = SeededTracers(fed=0)


@dataclass(frozen=True)
class Sitting:
    """Some runs made one after the other.

    Attributes
    ----------
    session : str
        As it stands in the file: the date and the part of the day.
    runs : int
        How many runs were made in it.
    temp_c : float
        Water temperature when it began.
    """

    session: str
    runs: int
    temp_c: float


@dataclass(frozen=True)
class Reading:
    """A setting that is read in every run.

    Attributes
    ----------
    column : str
        Its column, unit and all.
    by_arm : tuple of float
        What it is set to, arm by arm.
    sd : float
        SD of setting and reading it.
    step : float
        Smallest step of what it is read on.
    """

    column: str
    by_arm: tuple[float, ...]
    sd: float
    step: float


@dataclass(frozen=True)
class Struck:
    """A run that does not count; its gold was never looked at.

    Attributes
    ----------
    pair, arm : int, str
        Which run it is.
    why : str
        The reason, as it stands in the file.
    """

    pair: int
    arm: str
    why: str


@dataclass(frozen=True, kw_only=True)
class Recipe:
    """One demo trial: its dirt, habits, gear and change, and how it was written down.

    Pairs, arms and the seed of the order stand in its `trial.toml`.

    Attributes
    ----------
    name : str
        Its folder.
    luck : int
        Seed of the invented luck, chosen so that the story ends as it is told.
    dirt, noise, gear, change, tracers
        The noise model's words; assumed, no source. A graded trial has a change for each level.
    shows : tuple of str
        Which results were written down: "grains", "gold_mg", "tails_gold_mg", "tracers".
    sittings : tuple of Sitting
        All runs, in the order they were made.
    cleanup_minutes : tuple of float
        Minutes of cleaning up, arm by arm; empty where it was not timed apart.
    readings : tuple of Reading
        Settings read besides the water.
    labels : tuple of str
        Size class of each tracer size.
    lots : tuple of str
        Lot of each pair, where there are several.
    ticks : tuple of str
        Yes/no columns ticked in every run.
    hands : tuple of str
        Role letters of feeder and panner.
    fed_column, fed_step : str, float
        How the dirt was weighed.
    water_step : float
        Smallest step in which the water was read, L/min.
    struck : tuple of Struck
        Runs that do not count.
    notes : tuple of (int, str, str)
        Pair, arm and what was noted.
    """

    name: str
    luck: int
    dirt: Dirt
    noise: Noise
    gear: SimulatedGear
    shows: tuple[str, ...]
    sittings: tuple[Sitting, ...]
    change: TrueEffect | tuple[TrueEffect, ...] = NOTHING_CHANGED
    tracers: SeededTracers = NO_TRACERS
    cleanup_minutes: tuple[float, ...] = ()
    readings: tuple[Reading, ...] = ()
    labels: tuple[str, ...] = ()
    lots: tuple[str, ...] = ()
    ticks: tuple[str, ...] = ("stripped", "conditioned")
    hands: tuple[str, str] = ("A", "B")
    fed_column: str = "fed_g"
    fed_step: float = 1.0
    water_step: float = 0.1
    struck: tuple[Struck, ...] = ()
    notes: tuple[tuple[int, str, str], ...] = ()
