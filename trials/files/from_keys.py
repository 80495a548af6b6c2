"""A plan made in a program, from the keys of a trial file."""

from collections.abc import Mapping
from typing import Any

from schemas import Trial
from trials.errors import Refused
from trials.files.trial_file import read_keys


def plan_from_keys(keys: Mapping[str, Any]) -> Trial:
    """Which plan do these keys make? The keys, units and rules of `trial.toml`; Refused with every problem.

    A section is a mapping of its own, or its keys are written with a point, as "lot.kind". Quantities are texts with
    their unit, as "7.5 kg"; counts are numbers.

    >>> trial = plan_from_keys({"name": "mat", "measure": "gold_mass", "pairs": 6, "worth_having": "20 %",
    ...     "lot": {"kind": "natural", "mass": "120 kg"}, "gear.kind": "sluice",
    ...     "change": {"variable": "mat", "baseline": "ribbed", "changed": "looped"}})
    >>> trial.kind, trial.lots[0].mass_g, trial.gear.kind
    ('pairs', 120000.0, 'sluice')
    """
    data: dict[str, Any] = {}
    for key, value in keys.items():
        section, dot, name = key.partition(".")
        if dot:
            data[section] = {**data.get(section, {}), name: _as_typed(value)}
        else:
            told = _as_typed(value)
            data[key] = {**data.get(key, {}), **told} if isinstance(told, dict) else told
    trial, problems = read_keys(data, "plan")
    if trial is None or problems:
        raise Refused(problems)
    return trial


def _as_typed(value: Any) -> Any:  # noqa: ANN401 - whatever a trial file can hold
    """A value as a trial file would give it: a list for a tuple, a plain number for one out of an array."""
    if isinstance(value, Mapping):
        return {name: _as_typed(one) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [_as_typed(one) for one in value]
    return value.item() if hasattr(value, "dtype") and getattr(value, "ndim", None) == 0 else value
