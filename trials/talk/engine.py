"""One engine for all talks: what is asked next, and what an answer makes of it. Values in, values out.

A `Talk` is what there is to ask, a `Sitting` one person's answers so far. `reply` takes what was typed at the question
that stands, and gives the sitting after it, or what is wrong. Whatever shows it, terminal or form, prints and reads.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from trials.talk.question import SAID_YES, AnswerKind, Choice, Given, Mending, Question, Telling, named_in
from trials.talk.shown import Block
from trials.wording.lists import capital

BACK, EXPLAIN, BLANK = "back", "?", "-"
IT_STANDS = "yes takes it so; or type what was meant"
NEEDED = "An answer is needed here"
FURTHEST_BACK = "This is as far back as it goes."


@dataclass(frozen=True, slots=True)
class Talk:
    """What there is to ask.

    steps: questions in order, and what is told before some of them.
    check: what is wrong with an answer after those before it, a line each; nothing where it is taken.
    doubts: what is asked about an answer that could be taken, a line each; nothing where there is no doubt.
    taken_so: the answers with the word that the last one, which was in doubt, stands.
    standing: all answers that stand, with those that another one stands for and without those that went idle.
    after: what a new answer, by its key, does to the others.
    opening: what is told before anything is asked.
    leads_back: whether back at the first question leaves the talk, to what was asked before it.
    """

    steps: tuple[Question | Telling, ...]
    check: Callable[[Question, str, Given], Sequence[str]]
    doubts: Callable[[Question, str, Given], Sequence[str]] = lambda *_: ()
    taken_so: Callable[[dict[str, str]], dict[str, str]] = lambda given: given
    standing: Callable[[Given], dict[str, str]] = dict
    after: Callable[[str, dict[str, str]], dict[str, str]] = lambda _, given: given
    opening: tuple[Block, ...] = ()
    leads_back: bool = False

    @property
    def questions(self) -> tuple[Question, ...]:
        """All that may be asked."""
        return tuple(step for step in self.steps if isinstance(step, Question))

    def question(self, key: str, given: Given) -> Question:
        """The question of a key; of several the one that these answers make needed."""
        found = [one for one in self.questions if one.key == key]
        return next((one for one in found if one.needed(given)), found[0])


@dataclass(frozen=True, slots=True)
class Prompt:
    """The question that stands, as it reads after the answers so far."""

    question: Question
    text: str
    why: str
    kind: AnswerKind
    default: str
    told: tuple[Block, ...] = ()


@dataclass(frozen=True, slots=True)
class Sitting:
    """The answers of one person so far.

    answers: every answer by key, in the order given; blank where it was left open.
    trail: keys of those that back goes to, the last one last.
    taken_back: answers that are asked again, and offered.
    reopened: the key of a question that is asked again; blank where none is.
    before: the sitting that back leads to from a question that is asked out of its turn.
    in_doubt: an answer to the question that stands, which was asked about; blank where none was.
    """

    talk: Talk
    answers: Mapping[str, str]
    trail: tuple[str, ...] = ()
    taken_back: Mapping[str, str] = field(default_factory=dict)
    reopened: str = ""
    before: "Sitting | None" = None
    in_doubt: str = ""

    @property
    def draft(self) -> dict[str, str]:
        """What is kept for a later sitting."""
        passing = {one.key for one in self.talk.questions if not one.is_kept}
        return {key: text for key, text in self.answers.items() if key not in passing}

    @property
    def standing(self) -> dict[str, str]:
        """All answers that stand."""
        return self.talk.standing(self.answers)

    def prompt(self) -> Prompt | None:
        """The question that is to be answered now; None where all are."""
        open_one = self.talk.question(self.reopened, self.answers) if self.reopened else None
        tellings: list[Telling] = []
        for step in self.talk.steps:
            if isinstance(step, Telling):
                tellings.append(step)
            elif step is open_one or (open_one is None and self._is_open(step)):
                return self._as_it_reads(step, tellings)
            else:
                tellings.clear()
        return None

    def _is_open(self, question: Question) -> bool:
        return question.key not in self.answers and question.needed(self.answers)

    def _as_it_reads(self, question: Question, tellings: Sequence[Telling]) -> Prompt:
        may_offer = question.is_kept and not callable(question.kind)
        again = self.taken_back.get(question.key, "") if may_offer else ""
        return Prompt(
            question,
            IT_STANDS if self.in_doubt else question.text_of(self.answers),
            question.why_of(self.answers),
            question.kind_of(self.answers),
            "" if self.in_doubt else again or question.default_of(self.answers),
            tuple(block for telling in tellings for block in telling.words(self.answers)),
        )


@dataclass(frozen=True, slots=True)
class Reply:
    """What became of something typed: the sitting after it, and what is said to it."""

    sitting: Sitting
    what: Literal["taken", "back", "moved", "explained", "refused", "asked", "left"]
    says: tuple[str, ...] = ()


def begin(talk: Talk, answers: Given, earlier: Collection[str] = ()) -> Sitting:
    """Begin a sitting, or go on with one: what is answered already is not asked again.

    `earlier` has the keys of the answers that back may go to, though they were given in an earlier sitting.

    >>> name = Question("name", "What shall it be called?")
    >>> pairs = Question("pairs", lambda given: f"How many pairs has {given['name']}?", default="6")
    >>> sitting = begin(Talk((name, pairs), check=lambda *_: ()), {"name": "mat"})
    >>> sitting.prompt().text, dict(reply(sitting, "").sitting.answers)
    ('How many pairs has mat?', {'name': 'mat', 'pairs': '6'})
    """
    trail = [one.key for one in talk.questions if one.key in answers and one.key in earlier]
    return Sitting(talk, dict(answers), tuple(dict.fromkeys(trail)))


def reply(sitting: Sitting, typed: str) -> Reply:
    """Take what was typed at the question that stands; there must be one.

    ? has it explained, back goes back, blank is the default, - leaves it open; all else is an answer. One that is in
    doubt is asked about, and taken where it is typed again, or yes.
    """
    if typed == EXPLAIN:
        return Reply(sitting, "explained", (_standing(sitting).question.help,))
    return _gone_back(sitting) if typed.casefold() == BACK else answer(sitting, typed)


def _standing(sitting: Sitting) -> Prompt:
    prompt = sitting.prompt()
    assert prompt is not None  # noqa: S101 - where nothing is asked nothing can be answered
    return prompt


def answer(sitting: Sitting, typed: str) -> Reply:
    """Take what was typed as an answer to the question that stands, none of it as a word to the talk itself."""
    prompt = _standing(sitting)
    question = prompt.question
    if isinstance(prompt.kind, Mending) and typed and prompt.kind.picked(typed)[0] is None:
        return _mended(sitting, prompt.kind, typed)
    stands = sitting.in_doubt != "" and (typed == sitting.in_doubt or typed.casefold() in SAID_YES)
    text, problems = _read(sitting, prompt, sitting.in_doubt if stands else typed)
    return Reply(sitting, "refused", problems) if problems else _taken(sitting, question, text, stands=stands)


def passed_over(sitting: Sitting) -> Sitting:
    """The sitting as if the question that stands were left open, so that what follows can be looked at."""
    return _with(sitting, _standing(sitting).question, "")


def _taken(sitting: Sitting, question: Question, answer: str, *, stands: bool) -> Reply:
    """The sitting with an answer, or what is asked about it first."""
    after = _with(sitting, question, answer)
    if stands:
        return Reply(replace(after, answers=sitting.talk.taken_so(dict(after.answers))), "taken")
    asked = tuple(sitting.talk.doubts(question, answer, after.answers)) if answer else ()
    return Reply(replace(sitting, in_doubt=answer), "asked", asked) if asked else Reply(after, "taken")


def _read(sitting: Sitting, prompt: Prompt, typed: str) -> tuple[str, tuple[str, ...]]:
    question = prompt.question
    if sitting.in_doubt and not typed:
        return "", (f"{capital(IT_STANDS)}; {BLANK} leaves it open.",)
    if typed == BLANK and question.may_be_blank and not question.takes_out:
        return "", ()
    answer = typed or prompt.default
    if not answer:
        return "", () if question.may_be_blank else (f"{NEEDED}; {EXPLAIN} explains.",)
    if question.takes_out and answer == prompt.default:
        return answer, ()
    picked, says = (BLANK, "") if question.takes_out and answer == BLANK else prompt.kind.picked(answer)
    if picked is None and isinstance(prompt.kind, Choice) and prompt.kind.is_numbered and "," not in answer:
        return answer, (says,)  # the check knows choices that were not shown; of two at once it says why not
    problems = tuple(sitting.talk.check(question, answer if picked is None else picked, sitting.answers))
    return (answer, problems or (says,)) if picked is None else (picked, problems)


def _with(sitting: Sitting, question: Question, answer: str) -> Sitting:
    rest = {key: text for key, text in sitting.answers.items() if key != question.key}
    answers = sitting.talk.after(question.key, {**rest, question.key: answer})
    trail = tuple(key for key in sitting.trail if key != question.key and key in answers)
    gone_on = (*trail, question.key) if question.key in answers else trail
    return replace(sitting, answers=answers, trail=gone_on, reopened="", before=None, in_doubt="")


def _gone_back(sitting: Sitting) -> Reply:
    """The sitting with the answer before taken back; from a question out of its turn, as it was before."""
    if sitting.in_doubt:
        return Reply(replace(sitting, in_doubt=""), "moved")
    if sitting.before is not None:
        return Reply(sitting.before, "moved")
    if not sitting.trail:
        return Reply(sitting, "left") if sitting.talk.leads_back else Reply(sitting, "refused", (FURTHEST_BACK,))
    key = sitting.trail[-1]
    is_in_turn = sitting.talk.question(key, sitting.answers).needed(sitting.answers)
    return Reply(opened(sitting, key), "back") if is_in_turn else Reply(opened(sitting, key, sitting), "moved")


def opened(sitting: Sitting, key: str, before: Sitting | None = None) -> Sitting:
    """The sitting with the question of a key asked again, its answer offered; `before` is where back leads to."""
    was = sitting.answers.get(key, sitting.standing.get(key, ""))
    return replace(
        sitting,
        answers={one: text for one, text in sitting.answers.items() if one != key},
        trail=tuple(one for one in sitting.trail if one != key),
        taken_back={**sitting.taken_back, key: was},
        reopened=key,
        before=before,
        in_doubt="",
    )


def _mended(sitting: Sitting, kind: Mending, typed: str) -> Reply:
    """The answer that is named, asked again; or taken, where its value is typed behind the name."""
    key, text = named_in(typed, kind.names)
    if not key:
        return Reply(sitting, "refused", (kind.refusal(typed),))
    again = opened(sitting, key, sitting)
    if not text:
        return Reply(again, "moved")
    prompt = again.prompt()
    assert prompt is not None  # noqa: S101 - it was opened just now
    answer, problems = _read(again, prompt, text)
    return Reply(sitting, "refused", problems) if problems else _taken(again, prompt.question, answer, stands=False)
