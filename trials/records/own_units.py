"""What a plan tells of dirt, gear, scales and settings: in the units that the person who made it thinks in."""

from collections.abc import Mapping

from schemas import Run, Trial
from schemas.base import Typed, Word
from trials.records.columns import MEASURED
from trials.records.keys import ONE_LOT_SECTIONS, file_keys
from trials.units.kinds import Kind, Unit, plain_spelling, spellings
from trials.units.typed_number import split_number
from trials.units.unit_error import UnitError
from trials.wording.numbers import figures, mass_words

CALLED: Mapping[str, str] = {"temp_c": "°C", "wetting_drops_10l": "drops in 10 L"}
"""Stored units of settings that are called otherwise than their kind's."""
SHIFTED: Mapping[Kind, frozenset[str]] = {
    Kind.FEED_MASS: frozenset({"g", "mg", "kg", "t"}),
    Kind.GOLD_MASS: frozenset({"mg", "g"}),
    Kind.LENGTH: frozenset({"mm", "cm", "m", "um"}),
}
"""Units that differ from the stored one by their point alone: nothing is told behind them."""
BARE = (Kind.SPEED, Kind.COUNT)
"""Kinds that are typed as a number alone."""


def told(trial: Trial, section: str, field: str, lot: int = 0) -> str | None:
    """A quantity of a plan as it was typed, the stored one behind where its unit is another; None where not given.

    section, field: as "gear" and "width_mm"; of the section "lot", that of the lot so numbered from 0.

    >>> from schemas import Gear, Held, Lot
    >>> plan = Trial(name="mat", measure="gold_mass", pairs=6, lots=(Lot(kind="natural", mass_g=7_500.0),),
    ...     gear=Gear(kind="sluice", width_mm=254.0), held=Held(pitch_deg=4.764),
    ...     typed={"[held] pitch": "1 in/ft", "[gear] width": "10 in", "[lot] mass": "7.5 kg"})
    >>> told(plan, "held", "pitch_deg"), told(plan, "gear", "width_mm"), told(plan, "lot", "mass_g")
    ('1 in/ft (4.764 deg)', '10 in (254 mm)', '7.5 kg')
    """
    stored = getattr(trial.lots[lot] if section == "lot" else getattr(trial, section), field)
    if stored is None:
        return None
    how = typed_as(ONE_LOT_SECTIONS[section], field)
    kind = Kind(how.kind)
    ours = mass_words(stored, 4) if kind is Kind.FEED_MASS else f"{figures(stored, 4)} {unit_words(field, kind)}"
    place = f"[[lot]] {lot + 1}" if section == "lot" and len(trial.lots) > 1 else f"[{section}]"
    typed = " ".join(trial.typed.get(f"{place} {how.key}", "").split())
    if not typed or kind in BARE:
        return ours
    return f"{typed} ({ours})" if is_foreign(typed, kind) else typed


def typed_as(section: type[Word], field: str) -> Typed:
    """How a quantity of a section is typed: its key and its kind."""
    return next(how for name, how in file_keys(section).values() if name == field and how is not None)


def unit_words(field: str, kind: Kind) -> str:
    """The stored unit of a field as it is said: "°C", "L/min"."""
    return CALLED.get(field, kind.stored.name)


def is_foreign(typed: str, kind: Kind) -> bool:
    """Whether a typed quantity has a unit that is neither the stored one nor off it by its point alone."""
    unit = _unit(typed, kind)
    return unit is None or unit.name not in SHIFTED.get(kind, {kind.stored.name})


def _unit(typed: str, kind: Kind) -> Unit | None:
    try:
        ending = split_number(typed)[2]
    except UnitError:
        return None
    of_column = next((unit for unit in kind.units if unit.ending == ending), None)
    return spellings(kind).get(plain_spelling(ending), of_column)


def mass_told(trial: Trial, mass_g: float) -> str:
    """A mass of dirt in the unit that charge or lot were typed in, the stored one behind where it is another.

    >>> from schemas import Gear, Lot
    >>> plan = Trial(name="mat", measure="gold_mass", pairs=6, lots=(Lot(kind="natural", mass_g=408_233.133),),
    ...     gear=Gear(kind="sluice"), typed={"[lot] mass": "900 lb"})
    >>> mass_told(plan, 204_116.5665), mass_told(plan.model_copy(update={"typed": {}}), 204_116.5665)
    ('450 lb (204 kg)', '204 kg')
    """
    ours = mass_words(mass_g)
    for place, stored in (("[held] charge", trial.held.charge_g), ("[lot] mass", trial.lots[0].mass_g)):
        typed = trial.typed.get(place)
        unit = None if typed is None or not stored else _unit(typed, Kind.FEED_MASS)
        if typed is not None and stored and unit is not None:
            own = mass_g * float(split_number(typed)[0]) / stored
            return f"{figures(own)} {unit.name} ({ours})" if is_foreign(typed, Kind.FEED_MASS) else ours
    return ours


def value_told(run: Run, name: str, ours: str) -> str:
    """A value measured in a run, as it was typed where its unit is another, with ours behind.

    >>> run = Run(pair=1, arm="baseline", fed_g=22_679.6, typed={"fed_g": "50 lb"})
    >>> value_told(run, "fed_g", "22679.6"), value_told(run, "minutes", "12")
    ('50 lb (22679.6)', '12')
    """
    typed = run.typed.get(name)
    if typed is None or name not in MEASURED:
        return ours
    kind = MEASURED[name][1]
    unit = _unit(typed, kind)
    return ours if unit is None or not is_foreign(typed, kind) else f"{split_number(typed)[1]} {unit.name} ({ours})"
