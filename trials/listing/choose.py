"""Which trials are listed, and in which order."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING

from trials.errors import Problem, Refused
from trials.wording.steps import step

if TYPE_CHECKING:  # heavy, and needed for its name alone
    from trials.logbook.pages import ListedTrial


class Sort(StrEnum):
    """By what trials are listed: the last day run first, or the largest gain first, points and % apart."""

    DATE = "date"
    GAIN = "gain"


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which trials are listed: all that nothing here leaves out. Words are looked for in any case, as parts too."""

    since: str | None = None
    gear: str | None = None
    change: str | None = None
    measure: str | None = None

    def fits(self, line: ListedTrial) -> bool:
        """Whether a trial is listed; one never run is on no day."""
        changed = " ".join(filter(None, (line.variable, line.baseline, *(line.changed or ()))))
        return (
            (self.since is None or (line.last_session or "") >= self.since)
            and _holds(line.gear, self.gear)
            and _holds(changed, self.change)
            and _holds(line.measure.replace("_", " "), self.measure and self.measure.replace("_", " "))
        )


def _holds(text: str, part: str | None) -> bool:
    return part is None or part.strip().casefold() in text.casefold()


def chosen(lines: Iterable[ListedTrial], wanted: Wanted, sort: Sort) -> list[ListedTrial]:
    """The trials that are wanted, in order.

    Raises Refused: `since` is no day.
    """
    if wanted.since is not None:
        try:
            date.fromisoformat(wanted.since)
        except ValueError as error:
            says = f"{wanted.since} is not a day; write it as 2026-05-02, and check day and month"
            raise Refused([Problem(step("--since", "Run since"), says)]) from error
    found = [line for line in lines if wanted.fits(line)]
    return sorted(found, key=_by_gain) if sort is Sort.GAIN else found


def _by_gain(line: ListedTrial) -> tuple[int, float]:
    """Points, then %, then what has no gain; set-ups that nothing was changed between have none."""
    word = line.word
    if word is None or word.shown is None or word.code == "scatter":
        return (2, 0.0)
    return (0 if word.unit == "points" else 1, -word.shown)
