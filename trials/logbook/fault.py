"""One thing found wrong with a logbook."""

from dataclasses import dataclass

from trials.errors import one_line

BACK = "keep the file, and go back to a copy: samedirt logbook --restore"


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing found wrong with a logbook.

    Attributes
    ----------
    place
        Where: the file, and the table, trial or run in it.
    what
        What is wrong.
    next_step
        What to do about it.
    """

    place: str
    what: str
    next_step: str

    def __str__(self) -> str:
        """Write the fault as the one line a person reads."""
        return one_line(f"{self.place}: {self.what}; {self.next_step}")
