"""A row laid over the run it is of: what the row says is new, what it leaves blank stays."""

from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from typing import Any

from schemas import Run, Trial
from schemas.run import COUNTED, columns_named
from trials.changes.merge import AS_TYPED, differs, is_planned_again
from trials.changes.run_row import Key, RunRow, column_key
from trials.errors import Problem
from trials.records.assemble import GROSS_OR_TARE, built, coarse_to_fine, net_masses, total_up
from trials.records.columns import BY_CLASS
from trials.records.cross_check import run_problems
from trials.records.flat import flat_run

APART = frozenset({"classes", "typed"})


def lay_over(
    row: RunRow, key: tuple[int, str], stored: Run | None, trial: Trial, *, correcting: bool
) -> tuple[Run | None, list[Problem]]:
    """The run of a pair and arm as it is stored, or a new one, with what a row says; or all that does not fit.

    With `correcting` a value that is stored may become another.
    """
    values = {} if stored is None else _filled(stored, [name for name in Run.model_fields if name not in APART])
    values |= {"pair": key[0], "arm": key[1]}
    classes = {} if stored is None else {part.label: _filled(part, BY_CLASS) for part in stored.classes}
    _forget_totals(row, values, classes)
    typed = {} if stored is None else dict(stored.typed)
    numbers = {name: Decimal(repr(values[name])) for name in GROSS_OR_TARE if name in values}
    fresh: list[str] = []
    for (name, label), taken in row.taken.items():
        if name in ("pair", "arm") or (name == "tag" and "tag" in values):
            continue
        at = values if label is None else classes.setdefault(label, {})
        is_new = at.get(name) != taken.value
        _note_typed(typed, (name, label), taken.typed, is_new=is_new)
        fresh += [name if label is None else f"{name} {label}"] if is_new else []
        at[name] = taken.value
        if name in GROSS_OR_TARE and taken.exact is not None:
            numbers[name] = taken.exact
    problems = net_masses(values, numbers, row.spot)
    if problems:
        return None, problems
    if stored is not None:
        stand = (stored.stands - {*fresh}) | columns_named(str(row.value(AS_TYPED) or ""))
        values[AS_TYPED] = ", ".join(sorted(stand)) or None
    labels = coarse_to_fine(classes, trial)
    total_up(values, classes, _by_field(row, classes))
    headers = {
        name: f"{header}{row.addresses[name, None]}" for (name, label), header in row.headers.items() if not label
    }
    run, problems = built(values, typed, {label: classes[label] for label in labels}, headers, row.spot)
    if run is None:
        return None, problems
    problems += run_problems(trial, run, row.spot)
    if stored is not None and not correcting:
        problems += _changed(stored, run, row)
    return (None, problems) if problems else (run, [])


def _filled(part: object, names: Iterable[str]) -> dict[str, Any]:
    return {name: value for name in names if (value := getattr(part, name)) is not None}


def _forget_totals(row: RunRow, values: dict[str, Any], classes: Mapping[str, Mapping[str, Any]]) -> None:
    """Let a total that was the sum of its classes be summed anew, where the row says something of them."""
    for name in {name for name, label in row.taken if label is not None}:
        parts = [part.get(name) for part in classes.values()]
        known = [part for part in parts if part is not None]
        if (name, None) in row.taken or not known or len(known) < len(parts):
            continue
        whole = sum(known) if name in COUNTED else float(sum(Decimal(repr(part)) for part in known))
        if values.get(name) == whole:
            del values[name]


def _by_field(row: RunRow, classes: Mapping[str, Mapping[str, Any]]) -> dict[str, list[str]]:
    """The classes whose sum is the total of a field: those the sheet has a column for, and those stored."""
    found: dict[str, list[str]] = {}
    for name in {name for name, label in row.headers if label is not None}:
        own = [label for one, label in row.headers if one == name and label is not None]
        stored = [label for label, part in classes.items() if name in part]
        found[name] = list(dict.fromkeys([*own, *stored]))
    return found


def _note_typed(typed: dict[str, str], key: Key, text: str | None, *, is_new: bool) -> None:
    """Keep what was typed beside a value that is new; what was typed of the old one goes with it."""
    name = key[0] if key[1] is None else f"{key[0]} {key[1]}"
    if is_new:
        typed.pop(name, None)
        if text is not None:
            typed[name] = text


def _changed(stored: Run, run: Run, row: RunRow) -> Iterator[Problem]:
    """Each value that is stored as another, which needs a reason."""
    old, new = flat_run(stored), flat_run(run)
    for what in old:
        if old[what] in (None, new.get(what)) or what == AS_TYPED:
            continue
        if not is_planned_again(what, stored):
            yield differs(row.place(column_key(what)), old[what], new.get(what))
