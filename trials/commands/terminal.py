"""A talk in the terminal: a question is printed, a line read, a refusal printed; nothing that was answered is lost."""

from collections.abc import Callable, Iterable

import typer

from trials.commands.printing import WIDE_FROM, line_width, say, say_table
from trials.errors import TrialsError, one_line
from trials.talk.engine import Prompt, Sitting, reply
from trials.talk.question import Choice, Question
from trials.talk.shown import Block, Sentence, numbered, sentences_of

INTERRUPTED = 130
SEVERAL = ";"


class Stopped(Exception):
    """The person left in the middle: Ctrl-C, or the end of what is typed."""


class WentBack(Exception):
    """The person went back past the first question of a talk."""


def show(blocks: Iterable[Block]) -> None:
    """Print words wrapped to the screen, and tables as wide as it has room for."""
    for block in blocks:
        if isinstance(block, Sentence):
            say(block.text, indent=block.indent, hanging=block.hanging)
        else:
            shown = len(block.header) if line_width() >= WIDE_FROM else block.fewest
            say_table(block.header[:shown], [row[:shown] for row in block.rows])


def talk_through(sitting: Sitting, keep: Callable[[dict[str, str]], None] = lambda _: None) -> Sitting:
    """Ask until nothing is open; Stopped by Ctrl-C, or the end of what is typed; WentBack where the talk leads back.

    `keep` is called with the draft after each answer. What stands behind a `;` waits for the questions that follow.
    """
    show(sitting.talk.opening)
    waiting: list[str] = []
    while (prompt := sitting.prompt()) is not None:
        show(prompt.told)
        if not prompt.question.is_short:
            _say_question(prompt)
        sitting, is_kept = _answered(sitting, prompt, waiting)
        if is_kept:
            keep(sitting.draft)
    return sitting


def _answered(sitting: Sitting, prompt: Prompt, waiting: list[str]) -> tuple[Sitting, bool]:
    """Ask until something is taken: the sitting after it, and whether it is to be kept."""
    line, held = _line_of(prompt), list[str]()
    while True:
        is_from_line = bool(waiting)
        typed = _typed(prompt.question, line, waiting)
        became = reply(sitting, typed)
        if became.what in ("taken", "back", "moved"):
            waiting[:] = [*waiting, *held] if became.what == "taken" else []
            return became.sitting, became.what != "moved"
        if became.what == "left":
            raise WentBack
        if became.what != "explained" and is_from_line:
            typer.echo(one_line(f"{line}{typed}"))
        show(sentences_of(became.says, indent=2))
        if became.what == "asked":
            sitting, held = became.sitting, [*held, *waiting]
            line = _line_of(sitting.prompt() or prompt)
            waiting.clear()
        elif became.what == "refused" and waiting:
            say(f"What followed was not taken: {'; '.join(waiting)}", indent=2)
            waiting.clear()


def _say_question(prompt: Prompt) -> None:
    typer.echo()
    say(prompt.text)
    if prompt.why:
        say(prompt.why, indent=2)
    if isinstance(prompt.kind, Choice) and prompt.kind.is_numbered:
        for number, choice in numbered(prompt.kind.options):
            typer.echo(f"    {number}  {choice}")


def _line_of(prompt: Prompt) -> str:
    question, default = prompt.question, prompt.default
    if question.is_short:
        out = " (- takes it out)" if question.takes_out else ""
        return f"{prompt.text}{f' [{default}]{out}' if default else ''}> "
    shown = f" [{default}]" if default else " [leave open]" if question.may_be_blank else ""
    return f"{shown}> ".lstrip()


def _typed(question: Question, line: str, waiting: list[str]) -> str:
    """What is typed for a question: what waits from a line before, else a line read now."""
    if waiting and question.takes_rest:
        rest = "; ".join(waiting).rstrip("; ")
        waiting.clear()
        return rest
    if waiting and question.shares_line:
        return waiting.pop(0)
    waiting.clear()
    typed = read_line(line)
    if question.shares_line and SEVERAL in typed:
        typed, *waiting[:] = (part.strip() for part in typed.split(SEVERAL))
    return typed


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
