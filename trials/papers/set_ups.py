"""What the feeder is told of each run, short enough for a row: the set-up to fit, the share of the lot to feed."""

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass

from schemas import Trial

LONGEST_IN_A_ROW = 40
CUT_TO = 26
BIG_TO, MIDDLE_TO = 8, 18
ORDINALS = ("first", "second")


@dataclass(frozen=True, slots=True)
class SetUp:
    """What is fitted for one arm, in full and short for a row: with its number where the full words are too long.

    size: how large the short words may be printed, big, middle or small; the same for all set-ups of a trial.
    """

    arm: str
    words: str
    short: str
    size: str


def set_ups(trial: Trial) -> Mapping[str, SetUp]:
    """What is to be fitted for each arm of a trial?

    >>> from schemas import Change, Gear, Lot
    >>> trial = Trial(name="bed", measure="grain_counts", pairs=6, lots=(Lot(kind="natural"),),
    ...     gear=Gear(kind="sluice"), change=Change(variable="mat", baseline="ribbed", changed=("looped",)))
    >>> [(arm, one.short) for arm, one in set_ups(trial).items()]
    [('baseline', 'ribbed'), ('changed', 'looped')]
    >>> [one.words for one in set_ups(trial.model_copy(update={"change": None})).values()]
    ['first piece', 'second piece']
    """
    words = dict(zip(trial.arms, _words(trial), strict=True))
    numbered = max(map(display_width, words.values())) > LONGEST_IN_A_ROW
    shorts = {
        arm: f"set-up {number}: {cut(text, CUT_TO)}" if numbered else text
        for number, (arm, text) in enumerate(words.items(), start=1)
    }
    widest = max(map(display_width, shorts.values()))
    size = "big" if widest <= BIG_TO else "middle" if widest <= MIDDLE_TO else "small"
    return {arm: SetUp(arm, " ".join(words[arm].split()), " ".join(shorts[arm].split()), size) for arm in words}


def _words(trial: Trial) -> tuple[str, ...]:
    if trial.kind == "audit":
        return ("as it stands",)
    if trial.change is None:
        return ("first piece", "second piece")
    return (trial.change.baseline, *trial.change.changed)


def display_width(text: str) -> int:
    """How many columns does a text take, wide letters taking two?

    >>> display_width("mat"), display_width("粗い")
    (3, 4)
    """
    return sum(2 if unicodedata.east_asian_width(letter) in "WF" else 1 for letter in text)


def cut(text: str, columns: int) -> str:
    """Cut a text to so many columns, with dots where something is left out.

    >>> cut("expanded mesh, flattened", 14), cut("looped", 14)
    ('expanded mesh…', 'looped')
    """
    if display_width(text) <= columns:
        return text
    kept = text
    while display_width(kept) > columns - 1:
        kept = kept[:-1]
    return kept.rstrip(" ,.;:") + "…"


def share_label(share: int | None, arms: int) -> str:
    """Name the share of the split lot that a run is fed.

    >>> share_label(2, 2), share_label(2, 5), share_label(None, 1)
    ('second', '2 of 5', '')
    """
    if share is None:
        return ""
    return ORDINALS[share - 1] if arms == len(ORDINALS) else f"{share} of {arms}"
