"""What of a record is nobody else's: the one list, field by field, by which every copy to show is made."""

from collections.abc import Mapping
from typing import Literal

from schemas.base import Word
from schemas.change import Change
from schemas.lot import Lot
from schemas.run import Run
from schemas.trial import SECTIONS, Amendment, Correction, Guess, Tails, Trial

Private = Literal["left out", "numbered", "day alone", "own words"]
"""How a field stands in a copy to show.

left out: blank.
numbered: a number in place of the name.
day alone: the day, of a session the part of it too.
own words: as typed, but for places that are named elsewhere in the record, and what looks like coordinates.
"""

PRIVATE: Mapping[type[Word], Mapping[str, Private]] = {
    Lot: {"name": "numbered", "place_label": "left out"},
    Run: {
        "session": "day alone",
        "fed_lot": "numbered",
        "note": "left out",
        "arm": "own words",
        "void": "own words",
    },
    Change: {"baseline": "own words", "changed": "own words", "twin": "own words"},
    Tails: {"by": "own words"},
    Guess: {"scatter_from": "own words"},
    Trial: {"name": "own words", "question": "own words", "set_aside": "own words", "photos": "left out"},
    Amendment: {"was": "own words", "now": "own words", "why": "own words"},
    Correction: {"when": "day alone", "arm": "own words", "old": "own words", "new": "own words", "why": "own words"},
}

PICTURE = "photo"
"""What a correction names that attached a picture."""


def privacy_of(path: str, *, of_run: bool) -> Private | None:
    """How the field that a correction or an amendment names stands in a copy to show; None: it holds no words.

    >>> privacy_of("lot 2.place_label", of_run=False), privacy_of("session", of_run=True)
    ('left out', 'day alone')
    """
    section, _, field = path.rpartition(".")
    if path == PICTURE or field == "place_label":  # which a person may write without its section
        return "left out"
    if section:
        model: type[Word] | None = Lot if section.startswith("lot") else SECTIONS.get(section)
    else:
        model = Run if of_run else Trial
    return None if model is None else PRIVATE.get(model, {}).get(field)
