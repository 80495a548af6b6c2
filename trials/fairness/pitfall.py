"""What a pitfall is: a way to see a gain that is none, with what stands against it."""

from dataclasses import dataclass
from typing import Literal

Where = Literal["plan", "paper", "entry", "check", "verdict"]


@dataclass(frozen=True, slots=True)
class Stand:
    """One thing that stands against a pitfall.

    Attributes
    ----------
    where
        Where in the round it stands.
    what
        What it does, in a few words.
    checks
        The fair-run checks that do it, by name; only where that is how.
    printed
        The words on the paper that do it; only where that is how.
    """

    where: Where
    what: str
    checks: tuple[str, ...] = ()
    printed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Pitfall:
    """One way to see a gain that is none.

    Attributes
    ----------
    name
        What it is called.
    fakes
        How it fakes a gain.
    stands
        What stands against it.
    unseen
        What of it no number of the record can show, and what stands against that instead; blank where the data shows
        all of it.
    """

    name: str
    fakes: str
    stands: tuple[Stand, ...]
    unseen: str = ""
