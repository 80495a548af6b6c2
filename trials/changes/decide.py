"""What the person did in the end, beside the last word: kept on record with its day, and never overwritten."""

from collections.abc import Iterable
from datetime import datetime
from typing import Final, Literal

from schemas import Correction, Record
from trials.changes.correction import correction_of
from trials.errors import Problem, Refused
from trials.wording.lists import and_list, nearest
from trials.wording.steps import step

Decision = Literal["keep", "revert", "retest", "other"]
DECISIONS: Final[tuple[Decision, ...]] = ("keep", "revert", "retest", "other")
DECIDED: Final = "decided"
"""The field of a correction that tells of a decision."""
NO_NOTE: Final = "no reason given"


def with_decision(record: Record, word: str, note: str | None, now: datetime) -> Record:
    """Record what was done with a change; an earlier decision stays on record.

    Refused: a word that is none of `DECISIONS`, other without a note, or what is decided already with no new note.
    """
    name = record.trial.name
    if word not in DECISIONS:
        near = nearest(word, DECISIONS)
        hint = f"did you mean {near}?" if near else f"write {and_list(DECISIONS[:-1])}, or other with a {_note()}"
        raise Refused([Problem(f"decide {name}", f"{word} is no decision", hint)])
    if word == "other" and not note:
        raise Refused([Problem(step("--note", "Note"), "is needed with other: what was done, in a few words")])
    last = last_decision(record.corrections)
    if last is not None and last.new == word and note in (None, last.why):
        raise Refused([Problem(name, f"was decided already, on {last.when.date()}: {word}", f"a {_note()} adds to it")])
    told = correction_of(None, DECIDED, None if last is None else last.new, word, why=note or NO_NOTE, now=now)
    return record.model_copy(update={"corrections": (*record.corrections, told)})


def _note() -> str:
    return step("--note", "note")


def last_decision(corrections: Iterable[Correction]) -> Correction | None:
    """The last decision on record, if any: its `new` is the word, its `why` the note."""
    found = [one for one in corrections if one.field == DECIDED and one.new in DECISIONS]
    return max(enumerate(found), key=lambda placed: (placed[1].when, placed[0]))[1] if found else None


def decision_words(told: Correction) -> str:
    """Say a decision with its day and its note.

    >>> from datetime import datetime
    >>> decision_words(Correction(when=datetime(2026, 5, 9), field="decided", new="keep", why="less to pan"))
    'keep, on 2026-05-09: less to pan'
    """
    note = "" if told.why == NO_NOTE else f": {told.why}"
    return f"{told.new}, on {told.when.date()}{note}"
