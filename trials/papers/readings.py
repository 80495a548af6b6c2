"""The settings to hold and the units to write in, as they were typed in the plan."""

from collections.abc import Mapping

from schemas import Held, Trial
from trials.fairness.one_change import CHANGED_WITH
from trials.records.own_units import BARE, told, typed_as, unit_words
from trials.units.kinds import Kind
from trials.units.typed_number import split_number
from trials.units.unit_error import UnitError
from trials.wording.numbers import figures, mass_words

HELD: Mapping[str, str] = {
    "pitch_deg": "pitch",
    "cross_tilt_deg": "cross tilt",
    "water_l_min": "water",
    "depth_mm": "depth of flow",
    "feed_kg_h": "feed rate",
    "rpm": "speed",
    "stroke_mm": "stroke",
    "wetting_drops_10l": "wetting aid",
    "temp_c": "water temp.",
    "charge_g": "charge",
}
"""What each held setting is called."""
CHARGE = HELD["charge_g"]


def to_hold(trial: Trial) -> list[tuple[str, str]]:
    """Which settings are held the same, each with its value and unit?

    >>> from schemas import Gear, Held, Lot
    >>> to_hold(Trial(name="mat", measure="gold_mass", pairs=6, lots=(Lot(kind="natural"),),
    ...     gear=Gear(kind="sluice"), held=Held(pitch_deg=6.5, charge_g=40_000.0)))
    [('pitch', '6.5 deg'), ('charge', '40 kg')]
    """
    return [(HELD[field], held_value(trial, field) or "") for field in held_same(trial)]


def held_same(trial: Trial) -> list[str]:
    """Which settings are held the same: those that the plan gives and its change does not move."""
    changed = CHANGED_WITH.get(trial.change.variable, ("",))[0] if trial.change is not None else ""
    return [field for field in HELD if field != changed and getattr(trial.held, field) is not None]


def held_value(trial: Trial, field: str) -> str | None:
    """A held setting as it was typed, or with its stored unit; None where it is not given."""
    stored = getattr(trial.held, field)
    if stored is None:
        return None
    how = typed_as(Held, field)
    kind = Kind(how.kind)
    typed = trial.typed.get(f"[held] {how.key}")
    if typed and kind not in BARE:
        return " ".join(typed.split())
    return mass_words(stored, 6) if kind is Kind.FEED_MASS else f"{figures(stored, 6)} {unit_words(field, kind)}"


def held_settings(trial: Trial) -> tuple[tuple[str, str], ...]:
    """The settings held the same in all arms, as they were typed, with the stored value behind."""
    return tuple((name, value) for field, name in HELD.items() if (value := told(trial, "held", field)) is not None)


def unit_of(trial: Trial, field: str) -> str:
    """In which unit is a reading written? The one its held value was typed in.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=6, lots=(Lot(kind="natural"),),
    ...     gear=Gear(kind="sluice"), typed={"[held] charge": "40 kg"})
    >>> unit_of(trial, "charge_g"), unit_of(trial, "temp_c")
    ('kg', '°C')
    """
    how = typed_as(Held, field)
    stored = unit_words(field, Kind(how.kind))
    value = held_value(trial, field) or trial.typed.get(f"[held] {how.key}", "")
    try:
        return split_number(value)[2].strip() or stored
    except UnitError:
        return stored
