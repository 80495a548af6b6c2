"""What every table is read by: yes and no, whole numbers, and how a cell is refused."""

from collections.abc import Set as AbstractSet

from schemas import Trial
from trials.records.cross_check import not_an_arm
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


def arm_named(text: str, trial: Trial) -> str:
    """The arm that a cell names, in any case, or by the plan's own words for it; a CellError where none is meant."""
    if text in trial.arms or (trial.audit and text in ("NA", "NaN")):
        return text if text in trial.arms else ""
    own = {}
    if trial.change is not None:
        own = dict(zip((trial.change.baseline, *trial.change.changed), trial.arms, strict=True))
    for names in ({arm: arm for arm in trial.arms}, own):
        found = {arm for name, arm in names.items() if name.casefold() == text.casefold()}
        if len(found) == 1:
            return found.pop()
    raise CellError("; ".join(not_an_arm(text, trial)))
