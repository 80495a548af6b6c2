"""A sitting of the conversation: its draft, what was answered before, and the plan it ends in."""

import secrets
from pathlib import Path

from trials.commands.asking import Question, converse
from trials.commands.drafts import Draft
from trials.commands.plan_settled import CONFIRM
from trials.commands.plan_talk import talk
from trials.commands.printing import say
from trials.commands.show_plan import print_plan
from trials.commands.stored_plans import SEEDS, is_stored, locked_words, make_plan
from trials.errors import Problem, Refused
from trials.files.answers import read_answers
from trials.logbook.logbook import Logbook
from trials.rehearsal.proposal import Plan, is_sound
from trials.wording.lists import count_of

Answers = dict[str, str]
DRAFT = "plan-draft.toml"
GO_ON = "go on"


def draft_beside(book: Logbook) -> Draft:
    """Where answers are kept while a plan is talked over: beside the logbook."""
    return Draft(Path(book.path).parent / DRAFT, "samedirt plan")


def talk_over(book: Logbook, flags: Answers) -> Plan:
    """Ask for a plan, going on from a draft where there is one; the plan as it was shown and taken.

    Raises
    ------
    Stopped
        The person left; the draft holds all answers so far.
    Refused
        A plan of the name that was given is locked.
    """
    draft = draft_beside(book)
    if says := locked_words(book, flags.get("name", "")):
        raise Refused([Problem(flags["name"], says.partition(": ")[2])])
    begun = _begun(draft, flags)
    seeded = {"seed": str(secrets.randbelow(SEEDS)), **flags}
    made: list[Plan] = []

    def show(answers: Answers) -> bool:
        made.clear()
        trial, problems = read_answers(answers)
        if trial is None:
            for problem in problems:
                say(str(problem))
            return False
        try:
            made.append(make_plan(book, trial))
        except Refused as refused:
            for line in refused.lines:
                say(line)
            return False
        print_plan(made[0])
        if is_stored(book, made[0].trial.name):
            say("A plan of that name is stored, and not locked yet: this one takes its place.")
        return is_sound(made[0])

    talk(begun, seeded, draft, show=show, name_is_taken=lambda name: locked_words(book, name))
    return made[0]


def _begun(draft: Draft, flags: Answers) -> Answers:
    """The answers of an earlier sitting, if there are any and the person goes on with them."""
    begun = {key: text for key, text in draft.read().items() if key not in (CONFIRM, "seed")}
    if not begun:
        return {}
    name = begun.get("name", "without a name")
    is_other = flags.get("name", name) != name
    say(f"A plan begun earlier is here: {name}, {count_of(len(begun), 'answer')}.")
    question = Question(
        GO_ON,
        lambda _: "Go on with it?",
        "Its answers are kept until a plan is finished.",
        "yes goes on where you left; no begins anew, and the old answers are gone with your first new one.",
        choices=("yes", "no"),
        default=lambda _: "no" if is_other else "yes",
    )
    return begun if converse((question,), {}, lambda *_: (), lambda _: None)[GO_ON] == "yes" else {}
