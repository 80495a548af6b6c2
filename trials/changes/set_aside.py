"""A whole trial set aside, with its reason; and taken back. It stays on record, and says so first."""

from datetime import datetime

from schemas import Correction, Record
from trials.errors import Problem, Refused

ASIDE = "set_aside"
"""The field of a correction that tells of a trial set aside."""


def set_trial_aside(record: Record, why: str, now: datetime) -> Record:
    """Set a whole trial aside; refused where it was already.

    >>> from schemas import Gear, Lot, Trial
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"))
    >>> aside = set_trial_aside(Record(trial=trial), "frozen dirt", datetime(2026, 5, 9))
    >>> aside.trial.set_aside, take_trial_back(aside, "thawed", datetime(2026, 5, 10)).trial.set_aside
    ('frozen dirt', None)
    """
    was = record.trial.set_aside
    if was is not None:
        raise Refused([Problem(record.trial.name, f"was set aside already: {was}")])
    return _with_aside(record, why, Correction(when=now, field=ASIDE, old=None, new=why, why=why))


def take_trial_back(record: Record, why: str, now: datetime) -> Record:
    """Let a trial count again that was set aside by mistake; that it was stays on record. Refused where it is not."""
    was = record.trial.set_aside
    if was is None:
        says = "to take back the strike of a run, write its tag"
        raise Refused([Problem(record.trial.name, "is not set aside", says)])
    return _with_aside(record, None, Correction(when=now, field=ASIDE, old=was, new=None, why=why))


def _with_aside(record: Record, why: str | None, note: Correction) -> Record:
    trial = record.trial.model_copy(update={ASIDE: why})
    return record.model_copy(update={"trial": trial, "corrections": (*record.corrections, note)})
