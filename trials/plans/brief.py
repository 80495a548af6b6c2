"""A plan's own words -> what is in hand for it, and the line that a design has to find."""

import dataclasses
import math
from dataclasses import dataclass

from schemas import MeasureName, Trial
from trials.measures.catalogue import measure_named
from trials.noise.effect import shift_reaching
from trials.noise.situation import ASSUMED_CLEANUP_MINUTES, ASSUMED_RUN_MINUTES, Situation, situation_of
from trials.simulation.gear import TrueEffect

NO_GOLD_SAID = (
    'says nothing of the gold in the dirt; guess it in the plan ([guess] gold = "5 mg/kg", sizes = "fine"), or seed '
    "tracers ([grains] seeded = 100)"
)


@dataclass(frozen=True, slots=True)
class TypedLine:
    """The smallest gain worth having, as typed: for which measure, and how much (points or %)."""

    measure: MeasureName
    typed: float

    @property
    def on_scale(self) -> float:
        """The line on the measure's scale."""
        return measure_named(self.measure).line(self.typed)

    @property
    def words(self) -> str:
        """Say it as people do.

        >>> TypedLine("recovery", 3.0).words, TypedLine("grain_counts", 20.0).words
        ('3 points more recovery', '20 % more grains')
        """
        return measure_named(self.measure).gain_text(self.on_scale)


@dataclass(frozen=True, slots=True)
class DesignBrief:
    """What a person has in hand, and what they want to know.

    situation: What one run of the charge is fed, with which habits, on which gear.
    change: The change that would be just worth having.
    lot_g: Dirt there is.
    run_minutes, cleanup_minutes: Of one run of the charge.
    time_minutes: For the whole trial; None: as long as it takes.
    tails_kept: The tails of every run can be caught and gone over again.
    tracers: Tracer grains in hand for one run, told apart from the dirt's own; 0: none; None: they could be had.
    is_split: Each pair is two halves of one lot; without it only what closes on itself can be compared.
    arms: Runs of a block: 2, or more in a graded trial.
    has_own_charge: The charge of one run was typed, and not assumed.
    """

    situation: Situation
    change: TrueEffect
    lot_g: float
    run_minutes: float
    cleanup_minutes: float
    time_minutes: float | None = None
    tails_kept: bool = True
    tracers: int | None = None
    is_split: bool = True
    arms: int = 2
    has_own_charge: bool = False

    @property
    def what(self) -> str:
        """What a trial is run in: pairs, or blocks of more set-ups."""
        return "pair" if self.arms == 2 else "block"


def brief_for(
    trial: Trial, line: TypedLine, *, tails_kept: bool = True, tracers: int | None = None
) -> DesignBrief | None:
    """What is in hand for this plan, and which change is it to find?

    `tails_kept` and `tracers` are as in `DesignBrief`. None where nothing could bring such a gain: what is kept already
    leaves less than that to win.

    >>> from schemas import Gear, Guess, Lot
    >>> trial = Trial(name="t", measure="recovery", pairs=6, lots=(Lot(kind="natural", mass_g=4e5),),
    ...               gear=Gear(kind="sluice"), guess=Guess(gold_mg_kg=5.0))
    >>> brief_for(trial, TypedLine("gold_mass", 50.0)) is None
    True
    """
    situation = situation_of(trial)
    change = change_reaching(line, situation)
    if change is None:
        return None
    masses = [lot.mass_g for lot in trial.lots]
    whole = [mass for mass in masses if mass is not None]
    guess = trial.guess
    return DesignBrief(
        situation=situation,
        change=change,
        lot_g=sum(whole) if len(whole) == len(masses) else math.inf,
        run_minutes=guess.run_minutes or ASSUMED_RUN_MINUTES,
        cleanup_minutes=ASSUMED_CLEANUP_MINUTES if guess.cleanup_minutes is None else guess.cleanup_minutes,
        time_minutes=guess.time_minutes,
        tails_kept=tails_kept,
        tracers=tracers,
        is_split=any(lot.splitting != "none" for lot in trial.lots),
        arms=max(2, len(trial.arms)),
        has_own_charge=trial.held.charge_g is not None,
    )


def change_reaching(line: TypedLine, situation: Situation) -> TrueEffect | None:
    """Which change truly brings this line? None where nothing can, as 100 % less gold lost, or more than that.

    Where no gold was guessed, or no tracers seeded, as if there were some: shares are the same.
    """
    if not math.isfinite(line.on_scale):
        return None
    return shift_reaching(line.measure, line.on_scale, with_something_to_find(line.measure, situation))


def with_something_to_find(measure: MeasureName, situation: Situation) -> Situation:
    """The situation itself; where no gold was guessed, or no tracers seeded, as if there were some."""
    if measure_named(measure).is_seeded:
        if situation.tracers.fed:
            return situation
        return dataclasses.replace(situation, tracers=dataclasses.replace(situation.tracers, fed=100))
    if situation.dirt.gold_mg:
        return situation
    return dataclasses.replace(situation, dirt=dataclasses.replace(situation.dirt, gold_mg=100.0))
