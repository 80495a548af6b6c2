"""A value changed after it was stored, as it is kept."""

from datetime import datetime

from schemas import Correction, Run


def correction_of(
    run: Run | None, field: str, old: str | None, new: str | None, *, why: str, now: datetime
) -> Correction:
    """A correction of one field of a run, or of the trial."""
    pair, arm = (None, None) if run is None else (run.pair, run.arm or None)
    return Correction(when=now, pair=pair, arm=arm, field=field, old=old, new=new, why=why)
