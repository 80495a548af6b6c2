"""What every table is read by: yes and no, whole numbers, and how a cell is refused."""

from collections.abc import Set as AbstractSet

from trials.records.faults import shown_value

YES = frozenset({"yes", "y", "true"})
NO = frozenset({"no", "n", "false"})


class CellError(ValueError):
    """A cell can't be taken as it is; the text says why and what to write."""


def yes_or_no(text: str, yes: AbstractSet[str] = YES) -> bool:
    """Read a yes or no, in any case; `yes` are the words for yes.

    >>> yes_or_no("Y"), yes_or_no("false")
    (True, False)
    """
    word = text.casefold()
    if word not in yes and word not in NO:
        raise CellError(f"{shown_value(text)} is neither yes nor no; write one of them, or leave it blank")
    return word in yes


def not_whole(text: str) -> CellError:
    """What is said of a cell that should hold a whole number."""
    return CellError(f"{shown_value(text)} is not a whole number; write digits only, as 31")
