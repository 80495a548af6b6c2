"""The words of the trade as data: what a lot, a gear, a change, a trial, a run and a verdict IS.

Models and nothing more: no files, no database, no statistics, no printing. Stored units only (g, mg, mm, L,
min, deg, C); a field carries its unit in its name.
"""

from schemas.base import MeasureName, Scale, Typed, Word
from schemas.change import Change
from schemas.gear import Gear, Held, Settings
from schemas.lot import Lot
from schemas.run import Run, SizeCatch, is_made
from schemas.trial import (
    Amendment,
    Correction,
    Grains,
    Guess,
    Limits,
    Photo,
    Record,
    Scales,
    Sizes,
    Tails,
    Trial,
)
from schemas.verdict import (
    Cost,
    DrawCheck,
    Finding,
    Interval,
    PairResult,
    PairTally,
    Scatter,
    Shown,
    Verdict,
)

__all__ = [
    "Amendment",
    "Change",
    "Correction",
    "Cost",
    "DrawCheck",
    "Finding",
    "Gear",
    "Grains",
    "Guess",
    "Held",
    "Interval",
    "Limits",
    "Lot",
    "MeasureName",
    "PairResult",
    "PairTally",
    "Photo",
    "Record",
    "Run",
    "Scale",
    "Scales",
    "Scatter",
    "Settings",
    "Shown",
    "SizeCatch",
    "Sizes",
    "Tails",
    "Trial",
    "Typed",
    "Verdict",
    "Word",
    "is_made",
]
