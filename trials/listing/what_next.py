"""What the record itself leaves open: at most three lines, each with its reason."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from trials.listing.same_change import DECIDES, SameChange
from trials.logbook.pages import ListedTrial, Remembered
from trials.wording.lists import and_list, count_of
from trials.wording.numbers import times
from trials.wording.steps import step

MOST_LINES: Final = 3
SETTLES: Final = ("better", "worse", "no_difference")
Why = Literal["not settled", "one lot alone", "losses start", "cost over"]


@dataclass(frozen=True, slots=True)
class OpenQuestion:
    """One thing a trial leaves open, why, and what is said of it behind its name."""

    trial: str
    why: Why
    says: str

    @property
    def said(self) -> str:
        """What it leaves open, in a sentence."""
        return f"{self.trial} {self.says}"


def what_next(listed: Sequence[ListedTrial], changes: Sequence[SameChange]) -> list[OpenQuestion]:
    """What do these trials, the newest first, leave open? The newest of each kind; `changes` are of the whole record.

    Nothing is left open by a trial that was given up or settled since.
    """
    of_trial = {line.trial: same for same in changes for line in same.trials}
    kinds = (_not_settled(listed, of_trial), _one_lot(listed, of_trial), _losses(listed), _cost_over(listed))
    firsts = [found for kind in kinds if (found := next(kind, None)) is not None]
    at = {line.trial: place for place, line in enumerate(listed)}
    return sorted(firsts, key=lambda found: at[found.trial])[:MOST_LINES]


def _told(listed: Sequence[ListedTrial], *codes: str) -> Iterator[tuple[ListedTrial, Remembered]]:
    return ((line, line.word) for line in listed if line.word is not None and line.word.code in codes)


def _not_settled(listed: Sequence[ListedTrial], of_trial: dict[str, SameChange]) -> Iterator[OpenQuestion]:
    """A trial that settled nothing, unless a later one of the same change did."""
    for line, word in _told(listed, "not_settled"):
        same = of_trial.get(line.trial)
        settled = same is not None and any(
            one.code in SETTLES for one in same.trials if (one.last_session or "") > (line.last_session or "")
        )
        if settled or word.decided not in (None, "retest"):
            continue
        needed, what = word.pairs_for_new_trial, "block" if len(line.changed or ()) > 1 else "pair"
        if needed is None or needed <= (word.pairs_planned or 0):
            verdict = step(f"samedirt verdict {line.trial}", "its verdict")
            says = f"is not settled; {verdict} says what a new trial needs."
        else:
            says = f"is not settled: a new trial would need about {count_of(needed, what)} at its scatter."
        yield OpenQuestion(line.trial, "not settled", says)


def _one_lot(listed: Sequence[ListedTrial], of_trial: dict[str, SameChange]) -> Iterator[OpenQuestion]:
    """A change that was better and has been tried on one lot alone."""
    for line, word in _told(listed, "better"):
        same = of_trial.get(line.trial)
        if same is None or len(same.lots) > 1 or word.leaning or word.decided == "revert":
            continue
        if same.newest.trial == line.trial:
            says = "was better on one lot alone; a trial on other ground tells whether it holds there."
            yield OpenQuestion(line.trial, "one lot alone", says)


def _losses(listed: Sequence[ListedTrial]) -> Iterator[OpenQuestion]:
    """Where the newest audit of some gear saw losses start."""
    seen: set[str] = set()
    for line, word in _told(listed, "audit"):
        if line.gear in seen:
            continue
        seen.add(line.gear)
        if word.losses_start is not None:
            at = f"at {word.losses_start}" if word.losses_start else "among its grains"
            says = f"saw losses start {at}; a change that aims there is the one to plan."
            yield OpenQuestion(line.trial, "losses start", says)


def _cost_over(listed: Sequence[ListedTrial]) -> Iterator[OpenQuestion]:
    """A change that costs more than its limit, on which nothing was decided."""
    for line, word in _told(listed, *DECIDES):
        if not word.costs_over or word.decided is not None or word.code == "worse":
            continue
        costs = and_list([_cost_words(word, name) for name in word.costs_over])
        limits = "its limit" if len(word.costs_over) == 1 else "their limits"
        decide = step(f"samedirt decide {line.trial}", "Decide, at its page,")
        says = f"has {costs}, over {limits}: weigh that; {decide} records what you do."
        yield OpenQuestion(line.trial, "cost over", says)


def _cost_words(word: Remembered, name: str) -> str:
    ratio = {"black sand": word.black_sand, "minutes": word.minutes}.get(name)
    return f"too much {name}" if ratio is None else f"{times(ratio)} the {name}"
