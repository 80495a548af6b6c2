"""What was read of one row -> a run: net masses, totals of size classes, and what does not fit."""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from pydantic import ValidationError

from schemas import Run, SizeCatch, Trial
from schemas.run import COUNTED, WEIGHED
from trials.errors import Problem
from trials.records.columns import BY_CLASS, MEASURED, Column
from trials.records.faults import problems_of
from trials.units.quantity import UnitError
from trials.units.sieves import coarse_first, read_size_class

NET_FIELD = {
    "gold": "gold_mg",
    "tails_gold": "tails_gold_mg",
    "black_sand": "black_sand_g",
    "concentrate": "concentrate_g",
}
# Of these every digit is kept, since one is taken from the other.
GROSS_OR_TARE = frozenset(f"{base}_{side}_g" for base in WEIGHED for side in ("gross", "tare"))
UNITS = {field: kind.stored.name for field, (_, kind) in MEASURED.items()}
Classes = Mapping[str, dict[str, Any]]


def coarse_to_fine(labels: Iterable[str], trial: Trial) -> list[str]:
    """Size classes by their labels, coarse to fine; as they stand where one can't be read."""
    labels = list(labels)
    try:
        return sorted(labels, key=lambda label: coarse_first(read_size_class(label, trial.sizes.series)))
    except UnitError:
        return labels


def labels_by_field(columns: Sequence[Column]) -> Mapping[str, Sequence[str]]:
    """Which size classes a table has of each field that is told by class."""
    found: dict[str, list[str]] = {}
    for column in columns:
        if column.label is not None and column.field in BY_CLASS:
            found.setdefault(column.field, []).append(column.label)
    return found


def total_up(values: dict[str, Any], classes: Classes, labels: Mapping[str, Sequence[str]]) -> None:
    """Where only classes were measured, the total is their sum; unknown if one is blank."""
    for field, told in labels.items():
        if values.get(field) is not None:
            continue
        found = [classes.get(label, {}).get(field) for label in told]
        if None not in found:
            values[field] = sum(found) if field in COUNTED else float(sum(Decimal(repr(value)) for value in found))


def net_masses(values: dict[str, Any], numbers: Mapping[str, Decimal], spot: str) -> list[Problem]:
    """Add gross less tare, g and exact, to the values read where both were weighed; else what is wrong with them."""
    if not numbers:
        return []
    problems = []
    tag = values.get("tag")
    spot = spot if tag is None or spot == tag or f"({tag})" in spot else f"{spot} ({tag})"
    for base in WEIGHED:
        gross, tare = (numbers.get(f"{base}_{side}_g") for side in ("gross", "tare"))
        field = NET_FIELD[base]
        if (gross is None) != (tare is None):
            has, lacks = ("gross", "tare") if tare is None else ("tare", "gross")
            says = f"{base} has a {has} mass and no {lacks}; write both, or {field} alone"
            problems.append(Problem(spot, says))
        elif gross is not None and tare is not None:
            problems += _net_mass(values, base, gross, tare, spot)
    return problems


def _net_mass(values: dict[str, Any], base: str, gross: Decimal, tare: Decimal, spot: str) -> list[Problem]:
    field = NET_FIELD[base]
    if gross < tare:
        return [Problem(spot, f"{base} gross {gross} is under tare {tare}; swapped?")]
    net = float((gross - tare) * (1000 if field.endswith("_mg") else 1))
    given = values.get(field)
    if given is None:
        values[field] = net
    elif abs(given - net) > 1e-9 * max(given, net):
        return [Problem(spot, f"{field} {given:g} is not gross less tare, {net:g}; leave one of them out")]
    return []


def built(
    values: Mapping[str, Any], typed: Mapping[str, str], classes: Classes, headers: Mapping[str, str], spot: str
) -> tuple[Run | None, list[Problem]]:
    """Make a run of what was read, or say what does not fit.

    values, classes: stored values by field, and by size class and field
    typed: what was typed for a field, or for "field label" of a class
    headers: the name of the column of a field, for problems
    """
    parts: list[SizeCatch] = []
    problems: list[Problem] = []
    for label, found in classes.items():
        try:
            parts.append(SizeCatch(label=label, **found))
        except ValidationError as error:
            class_typed = {field: typed[key] for field in found if (key := f"{field} {label}") in typed}
            problems += problems_of(
                error,
                lambda loc, label=label: f"{spot}, {loc[0] if loc else 'class'} {label}",  # type: ignore[misc]
                class_typed,
                UNITS,
            )
    try:
        run = Run(**values, classes=tuple(parts), typed=dict(typed)) if parts or typed else Run(**values)
    except ValidationError as error:
        problems += problems_of(
            error, lambda loc: f"{spot}, {headers.get(str(loc[0]), loc[0])}" if loc else spot, typed, UNITS
        )
        return None, problems
    return (None, problems) if problems else (run, [])
