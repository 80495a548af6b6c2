"""The words of the trade as data: what a lot, a gear, a change, a trial, a run and a verdict IS.

Models and nothing more: no files, no database, no statistics, no printing. Stored units only (g, mg, mm, L,
min, deg, C); a field carries its unit in its name.
"""

from schemas.answer import (
    Answer,
    AuditAnswer,
    ClassResult,
    Compared,
    DrawCheck,
    Gate,
    Interval,
    LevelResult,
    LevelsAnswer,
    OneSizeMix,
    PairsAnswer,
    ScatterAnswer,
    Shown,
    SizeKept,
    Trend,
)
from schemas.base import MeasureName, Scale, Typed, Word
from schemas.change import Change
from schemas.cost import Cost
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
from schemas.verdict import FedLot, Finding, PairResult, PairTally, Verdict, VoidRun
from schemas.worth import WorthBase

__all__ = [
    "Amendment",
    "Answer",
    "AuditAnswer",
    "Change",
    "ClassResult",
    "Compared",
    "Correction",
    "Cost",
    "DrawCheck",
    "FedLot",
    "Finding",
    "Gate",
    "Gear",
    "Grains",
    "Guess",
    "Held",
    "Interval",
    "LevelResult",
    "LevelsAnswer",
    "Limits",
    "Lot",
    "MeasureName",
    "OneSizeMix",
    "PairResult",
    "PairTally",
    "PairsAnswer",
    "Photo",
    "Record",
    "Run",
    "Scale",
    "Scales",
    "ScatterAnswer",
    "Settings",
    "Shown",
    "SizeCatch",
    "SizeKept",
    "Sizes",
    "Tails",
    "Trend",
    "Trial",
    "Typed",
    "Verdict",
    "VoidRun",
    "Word",
    "WorthBase",
    "is_made",
]
