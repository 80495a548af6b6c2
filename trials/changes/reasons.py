"""The reason of a change: never blank, and in one spelling where it is one of those we know."""

from pydantic import TypeAdapter, ValidationError

from schemas.base import Line
from trials.errors import Refused
from trials.records.faults import problems_of
from trials.wording.steps import reason_place

VOID_REASONS = ("spill", "wrong setting", "pump failed", "mixed tags", "lost jar", "interrupted", "scale fault")
"""Reasons for which a run is struck; others may be written in words of one's own."""


def refuse_no_reason(why: str) -> None:
    """Refuse a reason that can't stand beside a correction: blank, too long, or with a control character."""
    try:
        TypeAdapter(Line).validate_python(why)
    except ValidationError as error:
        raise Refused(problems_of(error, lambda _: reason_place())) from error


def void_reason(why: str) -> str:
    """The reason of a strike as it is kept: one of those we know in its one spelling, or the person's own words.

    >>> void_reason(" Pump_Failed "), void_reason("Frost in the pump")
    ('pump failed', 'Frost in the pump')
    """
    text = why.strip()
    refuse_no_reason(text)
    plain = text.casefold().replace("_", " ").replace("-", " ")
    return plain if plain in VOID_REASONS else text
