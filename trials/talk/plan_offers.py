"""What an earlier trial answers of a new plan's questions: offered there, told whose it is, and as easily changed."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Literal

from trials.talk.plan_answers import AUDIT, HELD, LIMIT_KEYS, LIMITS, RUN, SORT, TAILS_TOO
from trials.talk.question import Choice, Given, Question

SCATTER = "guess.scatter_from"
Alike = Literal["gear.kind", "lot.kind", ""]
OFFERED: Mapping[str, Alike] = {
    "gear.kind": "",
    "gear.width": "gear.kind",
    HELD: "gear.kind",
    "lot.kind": "gear.kind",
    "lot.splitting": "",
    "guess.gold": "lot.kind",
    "guess.sizes": "lot.kind",
    "guess.care": "",
    "scales.gold": "",
    "held.charge": "gear.kind",
    TAILS_TOO: "gear.kind",
    "guess.recount": "",
    RUN: "gear.kind",
    LIMITS: "gear.kind",
    "knew": "",
}
"""The questions that an earlier trial may answer, and what has to be the same there."""
Known = Callable[[str, Given], tuple[str, str]]
"""An earlier trial that answers the question of a key, and what it says; both blank where none does."""


def offer_of(key: str, told: Mapping[str, str], given: Given) -> str:
    """The answer to a question in the keys of an earlier plan; blank where it has none.

    >>> told = {"held.pitch": "4 deg", "held.water": "8 L/min", "tails.caught": "all"}
    >>> offer_of(HELD, told, {}), offer_of(HELD, told, {"change.variable": "pitch"}), offer_of(TAILS_TOO, told, {})
    ('4 deg, 8 L/min', '8 L/min', 'yes')
    """
    if key == HELD:
        names = [name for name in ("pitch", "water") if name != given.get("change.variable")]
        return ", ".join(told[f"held.{name}"] for name in names if f"held.{name}" in told)
    if key == TAILS_TOO:
        return {"all": "yes", "none": "no"}.get(told.get("tails.caught", ""), "")
    two = {RUN: (("guess.run", "guess.cleanup"), " + "), LIMITS: (LIMIT_KEYS, ", ")}.get(key)
    if two is not None:
        return two[1].join(told[one] for one in two[0]) if all(one in told for one in two[0]) else ""
    return told.get(key, "")


def offering(question: Question, known: Known, scatters: Callable[[Given], tuple[str, ...]]) -> Question:
    """The question with what is known of its answer as its default, and whose that is."""
    if question.key == SCATTER:
        return replace(
            question,
            kind=lambda given: Choice(scatters(given)),
            default=lambda given: next(iter(scatters(given)), ""),
            needed=lambda given: given.get(SORT) != AUDIT and bool(scatters(given)),
        )
    if question.key not in OFFERED:
        return question

    def text(given: Given) -> str:
        name, _ = known(question.key, given)
        return question.text_of(given) + (f" Offered: as in {name}." if name else "")

    return replace(
        question, text=text, default=lambda given: known(question.key, given)[1] or question.default_of(given)
    )
