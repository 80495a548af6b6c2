"""The questions about a plan on a few screens: those that can be answered in one go, in the order of the talk."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from trials.plans.advice.advise import advise
from trials.plans.plan_power import power_of_plan
from trials.talk.plan_answers import (
    A_CHANGE,
    HELD,
    PAIRS,
    RUN,
    SORT,
    TAILS_TOO,
    WAY,
    measure_is_open,
    pairs_wanted,
    trial_so_far,
)
from trials.talk.plan_talk import QUESTIONS
from trials.talk.plan_words import LABELS, noise_words, runs_words
from trials.talk.question import Given, Question
from trials.wording.lists import count_of


@dataclass(frozen=True, slots=True)
class PlanScreen:
    """Questions that stand together.

    title: what they are about.
    keys: the keys of all that may stand there.
    """

    title: str
    keys: tuple[str, ...]

    def questions(self, given: Given, asked: Sequence[Question]) -> Iterator[Question]:
        """Those that these answers make needed, what is not answered yet taken as it is offered."""
        assumed = dict(given)
        for question in asked:
            if question.key in self.keys and question.needed(assumed):
                assumed.setdefault(question.key, question.default_of(assumed))
                yield question


IF_WEIGHED = "What is measured is still open. If the gold that is kept were weighed:"
_BEGINS = {
    "name": "What is to be known",
    "gear.kind": "Gear and change",
    "change.baseline": "The two set-ups",
    "change.twin": "How it is held",
    "lot.kind": "The dirt",
    "guess.care": "Hands, scale and tails",
    RUN: "Hours",
    "measure": "What is measured, and the smallest gain",
    WAY: "The way",
    PAIRS: "Pairs",
}
"""The first question of each screen, and what stands over it."""


def _screens() -> Iterator[PlanScreen]:
    keys = list(dict.fromkeys(question.key for question in QUESTIONS))
    starts = [keys.index(key) for key in _BEGINS]
    for title, start, end in zip(_BEGINS.values(), starts, [*starts[1:], len(keys)], strict=True):
        yield PlanScreen(title, tuple(keys[start:end]))


SCREENS = tuple(_screens())


def screen_of(key: str) -> int:
    """On which screen a question stands; the one after the last for what is no question of a plan."""
    return next((at for at, screen in enumerate(SCREENS) if key in screen.keys), len(SCREENS))


def words_so_far(given: Given) -> tuple[str, ...]:
    """What a plan of these answers would mean, a sentence each; nothing until it is known how much one run is fed."""
    if "held.charge" not in given or TAILS_TOO not in given or (HELD not in given and given.get("gear.kind") != "pan"):
        return ()
    pairs = given.get(PAIRS) or pairs_wanted(given)
    trial = trial_so_far({**given, PAIRS: pairs})
    if trial is None:
        return ()
    outlook = power_of_plan(trial)
    told = [f"{runs_words(trial)}."]
    if measure_is_open(given):
        return (*told, IF_WEIGHED, *noise_words(outlook))
    if given.get(SORT) == A_CHANGE and outlook.line:
        needed = outlook.needed
        told.append(
            "No number of pairs that can be planned finds the gain you typed 4 times in 5."
            if needed is None
            else f"{count_of(needed, 'pair')} would find the gain you typed 4 times in 5."
        )
    advice = [f"{LABELS[one.weight]}, {one.about}: {one.says}" for one in advise(outlook)]
    return (*told, *noise_words(outlook), *advice)
