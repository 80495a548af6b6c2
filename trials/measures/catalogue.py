"""All measures. A new one is a file in this room and a line of the same name in `schemas.base.MEASURE_WORDS`."""

from collections.abc import Mapping
from importlib import import_module
from types import MappingProxyType

from schemas import MeasureName
from schemas.base import MEASURE_WORDS
from trials.measures.measure import Measure


def _in_its_file(name: MeasureName) -> Measure:
    """The measure that `trials/measures/<name>.py` holds, under its name in capitals."""
    found: Measure = getattr(import_module(f"trials.measures.{name}"), name.upper())
    return found


_BY_NAME: Mapping[MeasureName, Measure] = MappingProxyType({name: _in_its_file(name) for name in MEASURE_WORDS})
MEASURES: tuple[Measure, ...] = tuple(_BY_NAME.values())


def measure_named(name: MeasureName) -> Measure:
    """Find the measure of that name; KeyError where there is none.

    >>> measure_named("tails_gold").words.axis
    'gold lost to the tails, mg'
    """
    return _BY_NAME[name]
