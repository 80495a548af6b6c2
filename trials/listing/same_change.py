"""Which trials are of the same change, on which lots; and which of them do not count, with the reason."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import compress
from typing import Final

from trials.listing.lines import CODE_WORDS
from trials.logbook.pages import ListedTrial

DECIDES: Final = ("better", "worse", "no_difference", "not_settled")
TAILINGS: Final = ("table tailings", "sluice tailings")
NO_NAME: Final = "lot"
"""What a lot is called that nobody named."""
Key = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OnLot:
    """The trials on one lot, the newest first; those that share any of several lots are on one.

    name: as typed; blank where nobody named it.
    """

    name: str
    trials: tuple[ListedTrial, ...]


@dataclass(frozen=True, slots=True)
class SameChange:
    """One change on one kind of gear by one measure, on whatever lots; there is one trial at least.

    newest: its newest trial, in whose words it is told.
    lots: the lots it was tried on, the newest first; only trials that ended with an outcome count.
    left_out: the other trials of the same change, with the reason.
    """

    newest: ListedTrial
    lots: tuple[OnLot, ...]
    left_out: tuple[tuple[ListedTrial, str], ...]

    @property
    def trials(self) -> tuple[ListedTrial, ...]:
        """All trials that count."""
        return tuple(trial for lot in self.lots for trial in lot.trials)

    @property
    def feeds_tails(self) -> bool:
        """Whether stored tailings were fed."""
        return is_of_tails(self.newest)


def is_of_tails(line: ListedTrial) -> bool:
    """Whether stored tailings were fed."""
    return any(kind in TAILINGS for kind in line.lot_kinds)


def same_changes(lines: Sequence[ListedTrial]) -> list[SameChange]:
    """Sort trials, the newest first, by their change: what, from what to what, on which gear and by which measure.

    Words are held against one another without their case and spaces. Tails and fresh dirt are told apart, and so are
    all sizes and one. A graded trial is left out of each change whose two set-ups it holds. None is left out for what
    it found.
    """
    pairs: dict[Key, list[ListedTrial]] = {}
    graded = []
    for line in lines:
        match line.changed or ():
            case (changed,):
                pairs.setdefault(_key_of(line, changed), []).append(line)
            case (_, *_):
                graded.append(line)
    return [
        _sorted_out(own, [one for one in graded if key in {_key_of(one, level) for level in one.changed or ()}])
        for key, own in pairs.items()
    ]


def _key_of(line: ListedTrial, changed: str) -> Key:
    words = (line.variable or "", line.baseline or "", changed, line.measure, line.gear)
    return (*("".join(word.split()).casefold() for word in words), str(is_of_tails(line)))


def _sorted_out(own: Sequence[ListedTrial], graded: Sequence[ListedTrial]) -> SameChange:
    words = [line.word if line.code in DECIDES else None for line in own]
    of_size = next((word.size_class for word in words if word), None)
    counts = [bool(word and word.size_class == of_size) for word in words]
    counted = list(compress(own, counts))
    left = [(line, _why_out(line)) for line, is_in in zip(own, counts, strict=True) if not is_in]
    return SameChange(
        newest=(counted or own)[0],
        lots=_by_lot(counted),
        left_out=(*left, *((line, "graded: its limits hold for all levels at once") for line in graded)),
    )


def _why_out(line: ListedTrial) -> str:
    if line.code in DECIDES:
        size = None if line.word is None else line.word.size_class
        return "of all sizes" if size is None else f"of {size} alone"
    return CODE_WORDS[line.code or "incomplete"]


def _by_lot(lines: Iterable[ListedTrial]) -> tuple[OnLot, ...]:
    """Put together the trials that share a lot somebody named; all others are each on a lot of its own."""
    found: list[tuple[set[str], list[ListedTrial]]] = []
    for line in lines:
        names = {"".join(name.split()).casefold() for name in line.lots} - {NO_NAME}
        sharing = [one for one in found if names & one[0]]
        found = [one for one in found if one not in sharing]
        together = [trial for one in sharing for trial in one[1]]
        found.append((names.union(*(one[0] for one in sharing)), [*together, line]))
    lots = [OnLot(name_of_lots(trials[0]), tuple(trials)) for _, trials in found]
    return tuple(sorted(lots, key=lambda lot: lot.trials[0].last_session or "", reverse=True))


def name_of_lots(line: ListedTrial) -> str:
    """The names of a trial's lots as typed; blank where nobody named any."""
    return ", ".join(name for name in line.lots if name != NO_NAME)
