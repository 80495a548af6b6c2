"""Two times of the clock, as on a creek sheet: when it began, and how many minutes it took."""

import re
from dataclasses import dataclass
from datetime import timedelta

from trials.units.unit_error import UnitError

HALF_A_DAY = timedelta(hours=12)
LONGEST_OVER_NOON = timedelta(hours=6)
_BETWEEN = re.compile(r"\s+(?:to|and|then|until)\s+", re.IGNORECASE)
_CLOCK = r"[0-9]{1,2}:[0-9]{2}(?::[0-9]{2})?"
_CLOCKS = re.compile(rf"(?P<start>{_CLOCK})\s*[-,;\s]\s*(?P<end>{_CLOCK})")


@dataclass(frozen=True, slots=True)
class Clocks:
    """When something began, as it was written and since midnight, and how long it took."""

    began: str
    since_midnight: timedelta
    took: timedelta

    @property
    def minutes(self) -> float:
        """How long it took, min."""
        return self.took.total_seconds() / 60.0


def read_clocks(text: str) -> Clocks | None:
    """Read two times of the clock, over noon or midnight where the end is a few hours on; None for any other text.

    UnitError: there is no such time, or it ended before it began.

    >>> read_clocks("9:12 9:21").minutes, read_clocks("11:50 - 12:05").minutes, read_clocks("9.5")
    (9.0, 15.0, None)
    """
    found = _CLOCKS.fullmatch(_BETWEEN.sub(" ", text.strip()))
    if found is None:
        return None
    start, end = _time(found["start"]), _time(found["end"])
    taken = end - start
    while taken <= timedelta(0):
        taken += HALF_A_DAY
    if end <= start and taken > LONGEST_OVER_NOON:
        raise UnitError(f"ended at {found['end']}, before it began at {found['start']}; swapped? Or write the minutes")
    return Clocks(found["start"], start, taken)


def _time(text: str) -> timedelta:
    hours, minutes, *seconds = (int(part) for part in text.split(":"))
    if hours > 24 or minutes > 59 or any(part > 59 for part in seconds):
        raise UnitError(f"{text} is no time of the clock; write it as 9:12, or write the minutes")
    return timedelta(hours=hours, minutes=minutes, seconds=sum(seconds))
