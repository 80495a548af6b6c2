"""Where a plan comes from and goes to: the talk and its draft, the logbook, an amendment."""

import secrets
import sys
from collections.abc import Callable, Mapping
from datetime import date

from schemas import Trial
from trials.changes.lock import refuse_locked
from trials.commands.terminal import talk_through
from trials.errors import Problem, Refused
from trials.files.answers import read_answers
from trials.files.draft import Draft
from trials.files.plan_given import answers_like
from trials.keeping.earlier import Earlier
from trials.keeping.stored_plans import SEEDS, locked_words, make_plan, store_amendment
from trials.logbook.beside import way_back
from trials.logbook.logbook import Logbook
from trials.rehearsal.proposal import Plan, tells_scatter
from trials.talk.engine import begin
from trials.talk.plan_answers import CONFIRM
from trials.talk.plan_talk import GO_ON, SEED, PlanTalk, going_on_talk
from trials.talk.shown import Block, Sentence


def stored_under(book: Logbook, name: str | None) -> Callable[[], Trial | None]:
    """How to look up the plan in the logbook of this name, if there is one."""
    return lambda: book.read(name).trial if name is not None and book.holds(name) else None


def of_what_is_given(book: Logbook, told: Callable[[], Trial]) -> Plan:
    """The plan of all that was given; where it is refused and the logbook is gone, its copies are named too."""
    try:
        return make_plan(book, told())
    except Refused as refused:
        copies = "" if book.exists else way_back(book.path)
        raise Refused(
            [*refused.problems, *([Problem(str(book.path), f"is not there. {copies}")] if copies else [])]
        ) from None


def taken_over(book: Logbook, like: str | None, answers: Mapping[str, str]) -> dict[str, str]:
    """What a new plan takes over from a trial in the logbook, its scatter too where that is known for its measure.

    Of a change that can't be undone only a nothing-changed check tells it: its twins have to be shown alike first.
    """
    if like is None:
        return {}
    record = book.read(like)
    taken = answers_like(record.trial, answers)
    same = answers.get("measure", record.trial.measure) == record.trial.measure
    needs_twins = answers.get("change.reversible") == "no" and record.trial.kind != "nothing-changed check"
    if (
        same
        and not needs_twins
        and not any(key.startswith("guess.scatter") for key in answers)
        and tells_scatter(record)
    ):
        taken["guess.scatter_from"] = like
    return taken


def taken_over_words(like: str | None, taken: Mapping[str, str]) -> tuple[Block, ...]:
    """What was taken over, and how it is changed."""
    values = "; ".join(f"{key} {text}" for key, text in taken.items())
    return (Sentence(f'As in {like}: {values}. Change any by --set "KEY=VALUE".', hanging=2),) if taken else ()


def is_to_be_asked(answers: Mapping[str, str], stored: Callable[[], Trial | None], *, asks: bool | None) -> bool:
    """Whether to ask for a plan; where that is not said: on a terminal, when something is missing."""
    if asks is not None or not sys.stdin.isatty():
        return bool(asks)
    changes_stored = len(answers) > 1 and stored() is not None
    return not changes_stored and read_answers(answers)[0] is None


def talked_over(book: Logbook, flags: dict[str, str], draft: Draft) -> Plan:
    """Ask for a plan, going on from a draft where there is one; the plan as it was shown and taken.

    Stopped where the person left: the draft holds all answers so far. Refused where the plan of that name is locked.
    """
    if book.holds(flags.get("name", "")):
        refuse_locked(book.read(flags["name"]))
    begun = {key: text for key, text in draft.read().items() if key not in (CONFIRM, SEED)}
    if begun:
        going_on = begin(going_on_talk(begun, flags.get("name")), {})
        begun = begun if talk_through(going_on).answers[GO_ON] == "yes" else {}
    earlier = Earlier(book)
    talk = PlanTalk(
        {SEED: str(secrets.randbelow(SEEDS)), **flags},
        lay_out=lambda trial: make_plan(book, trial),
        name_is_taken=lambda name: locked_words(book, name),
        is_stored=book.holds,
        known=earlier.answer,
        scatters=earlier.scatters,
    )
    made = talk.plan(talk_through(talk.begin(begun), draft.write).answers)
    assert made is not None  # noqa: S101 - no other is confirmed
    return made


def amended_plan(book: Logbook, name: str | None, setting: str, why: str | None, today: date) -> str:
    """Change a stored plan with a reason; says what was done."""
    if name is None:
        raise Refused([Problem("plan --amend", "needs the name of the trial: samedirt plan NAME --amend ...")])
    key, equals, text = (part.strip() for part in setting.partition("="))
    if not equals:
        raise Refused([Problem(f"--amend {setting}", "has no = sign", "write it as --amend pairs=8")])
    return store_amendment(book, name, key, text, why, today)
