"""What was read of one run, cell by cell, before it is laid over the run as it is stored."""

from dataclasses import dataclass, field
from decimal import Decimal

from trials.errors import Problem

Key = tuple[str, str | None]
"""A field of a run; or of a size class of it, with the label of the class."""


def column_key(name: str) -> Key:
    """The key of a column by its name, as "grains 20/30"."""
    field, _, label = name.partition(" ")
    return field, label or None


@dataclass(frozen=True, slots=True)
class Taken:
    """What a cell, or an answer, holds.

    value: as it is kept.
    typed: what was typed, where that is not the stored value as it is written; None otherwise.
    exact: a quantity in its stored unit with every digit.
    """

    value: object
    typed: str | None = None
    exact: Decimal | None = None


@dataclass(slots=True)
class RunRow:
    """What one row of a sheet, or the answers to one run, say; filled while it is read.

    line, spot: its number, and its place in problems.
    taken: what its cells hold, by field and size class.
    emptied: what a correction takes out.
    headers, addresses: the heading of every column, and the address of its cell in a spreadsheet, by the same.
    """

    line: int
    spot: str
    taken: dict[Key, Taken] = field(default_factory=dict)
    emptied: list[Key] = field(default_factory=list)
    headers: dict[Key, str] = field(default_factory=dict)
    addresses: dict[Key, str] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def value(self, name: str) -> object:
        """What it says of a field, or None."""
        found = self.taken.get((name, None))
        return None if found is None else found.value

    def place(self, key: Key) -> str:
        """Where one of its cells stands."""
        return f"{self.spot}, {self.headers.get(key, key[0])}{self.addresses.get(key, '')}"
