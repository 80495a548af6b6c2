"""The talk that ends in a plan: every answer is checked at its question, and the plan is shown before it is stored."""

from collections.abc import Callable

from schemas import Trial
from trials.errors import Refused
from trials.files.answers import read_answers
from trials.rehearsal.proposal import Plan, is_sound
from trials.talk.engine import Sitting, Talk, begin
from trials.talk.plan_answers import CONFIRM, settled
from trials.talk.plan_check import wrong_with_answer
from trials.talk.plan_last_questions import LAST
from trials.talk.plan_offers import Known, offering
from trials.talk.plan_questions import FIRST
from trials.talk.plan_words import words_of_plan
from trials.talk.question import EITHER, Choice, Given, Question, Telling
from trials.talk.shown import Block, Sentence, sentences_of
from trials.wording.lists import count_of

GO_ON, SEED = "go on", "seed"
ANSWERING_A_PLAN = (
    "Enter takes what stands in [brackets]; ? explains, back goes back, Ctrl-C stops and keeps all answers."
)
TAKES_ITS_PLACE = "A plan of that name is stored, and not locked yet: this one takes its place."
QUESTIONS = tuple(step for step in (*FIRST, *LAST) if isinstance(step, Question))


class PlanTalk:
    """Asking for a plan.

    flags: answers given with the command; they stand, and are not asked for.
    lay_out: makes the plan of a trial that was told in full, or refuses it.
    name_is_taken: says why a name can't be planned over; blank where it can.
    is_stored: whether a plan of a name is there already.
    known, scatters: what an earlier trial answers of a question, and those whose scatter a plan may go by.
    """

    def __init__(
        self,
        flags: Given,
        *,
        lay_out: Callable[[Trial], Plan],
        name_is_taken: Callable[[str], str],
        is_stored: Callable[[str], bool],
        known: Known = lambda *_: ("", ""),
        scatters: Callable[[Given], tuple[str, ...]] = lambda _: (),
    ) -> None:
        self._flags, self._lay_out, self._name_is_taken, self._is_stored = flags, lay_out, name_is_taken, is_stored
        self._reckoned: tuple[dict[str, str], Plan | None, tuple[str, ...]] = ({}, None, ())
        confirm = Question(
            CONFIRM,
            lambda given: "Store it so?" if self._is_sound(given) else "It can't be stored so.",
            "back goes to the answer before. A plan can be made anew until its first sheet is printed.",
            "yes stores the plan in the logbook; back changes an answer; Ctrl-C stops here and keeps all of them.",
            kind=Choice(("yes",), is_numbered=False),
            default=lambda given: "yes" if self._is_sound(given) else "",
            is_kept=False,
        )
        self.talk = Talk(
            (*(self._offering(step, known, scatters) for step in (*FIRST, *LAST)), Telling(self._words), confirm),
            check=self._check,
            standing=self._standing,
            opening=(Sentence(ANSWERING_A_PLAN),),
        )

    @staticmethod
    def _offering(
        step: Question | Telling, known: Known, scatters: Callable[[Given], tuple[str, ...]]
    ) -> Question | Telling:
        return offering(step, known, scatters) if isinstance(step, Question) else step

    def begin(self, begun: Given) -> Sitting:
        """Begin to ask, or go on from the answers of an earlier sitting, which back may go to."""
        kept = {key: text for key, text in begun.items() if key not in (CONFIRM, SEED)}
        return begin(self.talk, {**kept, **self._flags}, earlier=set(kept) - set(self._flags))

    def plan(self, given: Given) -> Plan | None:
        """The plan that these answers make; None where they make none."""
        return self._reckon(given)[0]

    def _reckon(self, given: Given) -> tuple[Plan | None, tuple[str, ...]]:
        """The plan and what speaks against it; reckoned once for the same answers."""
        answers = settled(self._standing(given))
        if self._reckoned[0] != answers:
            trial, problems = read_answers(answers)
            try:
                made = None if trial is None else self._lay_out(trial)
                self._reckoned = (answers, made, tuple(map(str, problems)))
            except Refused as refused:
                self._reckoned = (answers, None, refused.lines)
        return self._reckoned[1:]

    def _is_sound(self, given: Given) -> bool:
        plan = self.plan(given)
        return plan is not None and is_sound(plan)

    def _words(self, given: Given) -> tuple[Block, ...]:
        plan, problems = self._reckon(given)
        if plan is None:
            return (Sentence(), *sentences_of(problems))
        is_there = self._is_stored(plan.trial.name)
        return (Sentence(), *words_of_plan(plan), *((Sentence(TAKES_ITS_PLACE),) if is_there else ()))

    def _check(self, question: Question, answer: str, given: Given) -> list[str]:
        if question.key == "name" and (says := self._name_is_taken(answer)):
            return [says]
        if question.key != CONFIRM:
            return wrong_with_answer(question, answer, given)
        is_sound = self._is_sound(given)
        if is_sound and answer == "yes":
            return []
        yes = "yes stores it, " if is_sound else ""
        return [f"{yes}back changes an answer, Ctrl-C stops and keeps all of them."]

    def _standing(self, given: Given) -> dict[str, str]:
        """The answers whose questions stand: one that was changed may have made later ones idle."""
        asking = [question for question in self.talk.questions if question.key != CONFIRM]
        asked = {question.key for question in asking}
        standing: dict[str, str] = {key: text for key, text in given.items() if key in self._flags or key not in asked}
        for question in asking:
            if question.key in given and (question.key in self._flags or question.needed(standing)):
                standing[question.key] = given[question.key]
        return standing


def going_on_talk(begun: Given, name: str | None) -> Talk:
    """The talk before: whether to go on with a plan that was begun earlier, perhaps under another name than wanted."""
    was = begun.get("name", "without a name")
    whether = Question(
        GO_ON,
        "Go on with it?",
        "Its answers are kept until a plan is finished.",
        "yes goes on where you left; no begins anew, and the old answers are gone with your first new one.",
        kind=EITHER,
        default="yes" if name in (None, was) else "no",
        is_kept=False,
    )
    opening = Sentence(f"A plan begun earlier is here: {was}, {count_of(len(begun), 'answer')}.")
    return Talk((whether,), check=lambda *_: (), opening=(opening,))
