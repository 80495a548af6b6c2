"""A run replaced in its record, and the line of the history that tells what it was."""

from collections.abc import Sequence
from datetime import datetime

from schemas import Correction, Record, Run


def correction_of(run: Run, field: str, old: str | None, new: str | None, *, why: str, now: datetime) -> Correction:
    """A correction of one field of a run.

    >>> one = correction_of(Run(pair=1, arm=""), "gold_mg", "31", "13", why="digits swapped", now=datetime(2026, 5, 9))
    >>> one.pair, one.arm, one.old, one.new
    (1, None, '31', '13')
    """
    return Correction(when=now, pair=run.pair, arm=run.arm or None, field=field, old=old, new=new, why=why)


def with_run(record: Record, run: Run, corrections: Sequence[Correction] = ()) -> Record:
    """The record with one of its runs replaced, and corrections added.

    >>> from schemas import Gear, Lot, Trial
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"))
    >>> record = Record(trial=trial, runs=(Run(pair=1, arm="baseline"), Run(pair=1, arm="repeat")))
    >>> [run.gold_mg for run in with_run(record, Run(pair=1, arm="repeat", gold_mg=3.0)).runs]
    [None, 3.0]
    """
    runs = tuple(run if one.key == run.key else one for one in record.runs)
    return record.model_copy(update={"runs": runs, "corrections": (*record.corrections, *corrections)})
