"""The settings to hold and the units to write in, as they were typed in the plan."""

from collections.abc import Mapping

from schemas import Trial
from trials.units.typed_number import split_number
from trials.units.unit_error import UnitError
from trials.wording.numbers import figures

# Each held setting: what it is called, its key in the plan, and the unit it is stored in.
HELD: Mapping[str, tuple[str, str, str]] = {
    "pitch_deg": ("pitch", "pitch", "deg"),
    "cross_tilt_deg": ("cross tilt", "cross_tilt", "deg"),
    "water_l_min": ("water", "water", "L/min"),
    "depth_mm": ("depth of flow", "depth", "mm"),
    "feed_kg_h": ("feed rate", "feed", "kg/h"),
    "rpm": ("speed", "rpm", "rpm"),
    "stroke_mm": ("stroke", "stroke", "mm"),
    "wetting_drops_10l": ("wetting aid", "wetting_drops", "drops in 10 L"),
    "temp_c": ("water temp.", "temp", "°C"),
    "charge_g": ("charge", "charge", "g"),
}
CHARGE = HELD["charge_g"][0]
CHANGED = {
    "pitch": "pitch_deg",
    "water": "water_l_min",
    "feed rate": "feed_kg_h",
    "wetting aid": "wetting_drops_10l",
    "rpm": "rpm",
    "stroke": "stroke_mm",
}
"""What a change of each variable changes, and so can't be held."""
BARE = ("rpm", "wetting_drops_10l")
"""Settings typed as a bare number."""


def to_hold(trial: Trial) -> list[tuple[str, str]]:
    """Which settings are held the same, each with its value and unit?

    >>> from schemas import Gear, Held, Lot
    >>> to_hold(Trial(name="mat", measure="gold_mass", pairs=6, lots=(Lot(kind="natural"),),
    ...     gear=Gear(kind="sluice"), held=Held(pitch_deg=6.5, charge_g=40_000.0)))
    [('pitch', '6.5 deg'), ('charge', '40 kg')]
    """
    changed = CHANGED.get(trial.change.variable) if trial.change is not None else None
    return [
        (HELD[field][0], value)
        for field in HELD
        if field != changed and (value := held_value(trial, field)) is not None
    ]


def held_value(trial: Trial, field: str) -> str | None:
    """A held setting as it was typed, or with its stored unit; None where it is not given."""
    stored = getattr(trial.held, field)
    if stored is None:
        return None
    _, key, unit = HELD[field]
    typed = trial.typed.get(f"[held] {key}")
    if typed and field not in BARE:
        return " ".join(typed.split())
    if field == "charge_g" and stored >= 1000:
        return f"{figures(stored / 1000, 6)} kg"
    return f"{figures(stored, 6)} {unit}"


def held_both_ways(trial: Trial, field: str) -> str | None:
    """A held setting as it was typed with the stored value behind; alone where they are alike; None where not given.

    >>> from schemas import Gear, Held, Lot
    >>> plan = Trial(name="mat", measure="gold_mass", pairs=6, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"),
    ...     held=Held(pitch_deg=4.764, water_l_min=11.36),
    ...     typed={"[held] pitch": "1 in/ft", "[held] water": "11.36 L/min"})
    >>> held_both_ways(plan, "pitch_deg"), held_both_ways(plan, "water_l_min")
    ('1 in/ft (4.764 deg)', '11.36 L/min')
    """
    typed, stored = held_value(trial, field), getattr(trial.held, field)
    if typed is None:
        return None
    ours = f"{figures(stored, 4)} {HELD[field][2]}"
    return typed if field in BARE or unit_of(trial, field) == HELD[field][2] else f"{typed} ({ours})"


def unit_of(trial: Trial, field: str) -> str:
    """In which unit is a reading written? The one its held value was typed in.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=6, lots=(Lot(kind="natural"),),
    ...     gear=Gear(kind="sluice"), typed={"[held] charge": "40 kg"})
    >>> unit_of(trial, "charge_g"), unit_of(trial, "temp_c")
    ('kg', '°C')
    """
    value = held_value(trial, field) or trial.typed.get(f"[held] {HELD[field][1]}", "")
    try:
        return split_number(value)[2].strip() or HELD[field][2]
    except UnitError:
        return HELD[field][2]
