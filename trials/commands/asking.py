"""A conversation in the terminal: each question says why it is asked, ? explains, back goes back, nothing is lost."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass

import typer

from trials.commands.printing import say
from trials.errors import TrialsError, one_line
from trials.wording.lists import nearest

Answers = dict[str, str]
BACK, EXPLAIN, BLANK = "back", "?", "-"
SEVERAL = ";"


class Stopped(Exception):
    """The person left in the middle: Ctrl-C, or the end of what is typed."""


def _always(_: Mapping[str, str]) -> bool:
    return True


def _no_default(_: Mapping[str, str]) -> str:
    return ""


@dataclass(frozen=True, slots=True)
class Question:
    """One thing that is asked.

    Attributes
    ----------
    key
        What the answer is called.
    asks
        The question, of the answers before it.
    why
        Why it is asked, in one line.
    explains
        What ? prints: what to write, and how to find it out.
    choices
        The words there are to choose from; empty: any text that the reader takes.
    default
        What an empty line means, of the answers before; blank: an empty line leaves it open, where it may be.
    applies
        Whether it is asked at all.
    may_be_blank
        Whether it can be left open.
    on_one_line
        Whether the question itself is the prompt, without why or choices above it.
    takes_one
        Whether all that is typed is its answer; else what stands behind a `;` answers the questions that follow.
    offers
        The choices where they follow from the answers before; then `choices` is not looked at.
    shows
        Prints what has to be read before it is answered, as a table to choose from.
    """

    key: str
    asks: Callable[[Mapping[str, str]], str]
    why: str
    explains: str
    choices: tuple[str, ...] = ()
    default: Callable[[Mapping[str, str]], str] = _no_default
    applies: Callable[[Mapping[str, str]], bool] = _always
    may_be_blank: bool = False
    on_one_line: bool = False
    takes_one: bool = True
    offers: Callable[[Mapping[str, str]], tuple[str, ...]] | None = None
    shows: Callable[[Mapping[str, str]], None] | None = None

    def choices_of(self, given: Mapping[str, str]) -> tuple[str, ...]:
        """The words there are to choose from, after these answers."""
        return self.choices if self.offers is None else self.offers(given)


Check = Callable[[Question, str, Mapping[str, str]], Sequence[str]]


def converse(
    questions: Sequence[Question],
    answers: Answers,
    check: Check,
    keep: Callable[[Answers], None],
    *,
    earlier: Collection[str] = (),
) -> Answers:
    """Ask one question after another.

    Parameters
    ----------
    questions
        In order; one that does not apply is passed over.
    answers
        Those already given (an earlier sitting, or flags) are not asked again.
    check
        Tells what is wrong with an answer, a line each; nothing where it is taken.
    keep
        Called with all answers after each one, so that none is lost.
    earlier
        Keys of the answers that back may go to, though they were given in an earlier sitting.

    Returns
    -------
    dict
        Every answer by key; blank where it was left open.

    Notes
    -----
    What stands behind a `;` waits for the questions that follow, and is dropped where an answer before it was refused.
    An answer that was taken back is offered again: an empty line keeps it.

    Raises
    ------
    Stopped
        Ctrl-C, or no more lines. What was kept stays kept.
    """
    given = dict(answers)
    asked = [one.key for one in questions if one.key in given and one.key in earlier]
    waiting: list[str] = []
    taken_back: Answers = {}
    at = 0
    while at < len(questions):
        question = questions[at]
        if question.key in given or not question.applies(given):
            at += 1
            continue
        again = taken_back.get(question.key, "")
        answer = _ask(question, given, check, waiting, again, can_go_back=bool(asked))
        if answer is None:
            last = asked.pop()
            at = next(i for i, one in enumerate(questions) if one.key == last)
            taken_back[last] = given.pop(last)
        else:
            given[question.key] = answer
            asked.append(question.key)
            at += 1
        keep(given)
    return given


def _ask(
    question: Question, given: Answers, check: Check, waiting: list[str], again: str, *, can_go_back: bool
) -> str | None:
    """Ask until an answer is taken; None to go back."""
    if question.shows is not None:
        question.shows(given)
    if not question.on_one_line:
        _say_question(question, given)
    default = again if again and question.offers is None else question.default(given)
    while True:
        prompt = _prompt(question, default, given)
        is_from_line = bool(waiting)
        typed = _typed(question, prompt, waiting)
        if typed == EXPLAIN:
            say(question.explains, indent=2)
            continue
        if typed.lower() == BACK:
            waiting.clear()
            if can_go_back:
                return None
            say("This is as far back as it goes.", indent=2)
            continue
        answer, problems = _read(question, typed, default, given, check)
        if not problems:
            return answer
        _say_refused(problems, f"{prompt}{typed}" if is_from_line else "", waiting)
        waiting.clear()


def _say_refused(problems: Sequence[str], line: str, waiting: Sequence[str]) -> None:
    """Say what is wrong with an answer; with the question, where it was not on the screen, and what goes with it."""
    if line:
        typer.echo(one_line(line))
    for problem in problems:
        say(problem, indent=2)
    if waiting:
        say(f"What followed was not taken: {'; '.join(waiting)}", indent=2)


def _say_question(question: Question, given: Mapping[str, str]) -> None:
    typer.echo()
    say(question.asks(given))
    if question.why:
        say(question.why, indent=2)
    for number, choice in enumerate(question.choices_of(given), start=1):
        if choice != str(number):
            typer.echo(f"    {number}  {choice}")


def _typed(question: Question, prompt: str, waiting: list[str]) -> str:
    """What is typed for a question: what waits from a line before, else a line read now."""
    if waiting:
        text = waiting.pop(0)
        if question.takes_one and waiting:
            text = "; ".join([text, *waiting]).rstrip("; ")
            waiting.clear()
        return text
    line = read_line(prompt)
    if question.takes_one or SEVERAL not in line:
        return line
    text, *waiting[:] = (part.strip() for part in line.split(SEVERAL))
    return text


def _prompt(question: Question, default: str, given: Mapping[str, str]) -> str:
    if question.on_one_line:
        return f"{question.asks(given)}{f' [{default}]' if default else ''}> "
    shown = f" [{default}]" if default else " [leave open]" if question.may_be_blank else ""
    return f"{shown}> ".lstrip()


def _read(question: Question, typed: str, default: str, given: Answers, check: Check) -> tuple[str, Sequence[str]]:
    if typed == BLANK and question.may_be_blank:
        return "", ()
    answer = typed or default
    if not answer:
        return "", () if question.may_be_blank else (f"An answer is needed here; {EXPLAIN} explains.",)
    if question.choices:
        # On one line the numbers of the choices are not shown, so that a number is a slip.
        picked = None if question.on_one_line and answer.isdigit() else choice_of(answer, question.choices)
        if picked is None:
            near = nearest(answer, question.choices)
            hint = f"did you mean {near}?" if near else f"type a number from 1 to {len(question.choices)}."
            return "", check(question, answer, given) or [f"{answer} is not one of them; {hint}"]
        answer = picked
    return answer, check(question, answer, given)


def choice_of(typed: str, choices: Sequence[str]) -> str | None:
    """A choice by its number, its words, or a beginning that no other has."""
    if typed.isascii() and typed.isdigit():
        number = int(typed)
        return choices[number - 1] if 1 <= number <= len(choices) else None
    low = typed.casefold()
    begun = [choice for choice in choices if choice.casefold().startswith(low)]
    for choice in begun:
        if choice.casefold() == low:
            return choice
    return begun[0] if len(begun) == 1 else None


def read_line(prompt: str) -> str:
    """Read one line that a person types, without the spaces around it."""
    try:
        line = input(prompt).strip()
        line.encode()  # a byte that is no text comes through as half a character, which can't be kept
    except (EOFError, KeyboardInterrupt) as error:
        typer.echo()
        raise Stopped from error
    except UnicodeError as error:
        raise TrialsError("what was typed is not readable text; set the terminal to UTF-8") from error
    return line
