"""Questions as data: what is asked, why, what is taken for an answer, and what makes it needed."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from trials.talk.shown import Block
from trials.units.quantity import Kind, UnitError, read_quantity
from trials.wording.lists import nearest

Given = Mapping[str, str]
"""The answers so far, as typed, by the key of their question."""
SAID_YES, SAID_NO = ("yes", "y"), ("no", "n")
LONGEST_NUMBER = 19


@dataclass(frozen=True, slots=True)
class Text:
    """Any words; whether they will do is for the check of the talk to say."""

    def picked(self, typed: str) -> tuple[str | None, str]:
        """The answer that was meant, or None and what is wrong."""
        return typed, ""


@dataclass(frozen=True, slots=True)
class Choice:
    """One of these words: told by itself, by a beginning that is its own, or by its number where a menu has numbers."""

    options: tuple[str, ...]
    is_numbered: bool = True

    def picked(self, typed: str) -> tuple[str | None, str]:
        """The answer that was meant, or None and what is wrong.

        >>> Choice(("sluice", "pan")).picked("2"), Choice(("sluice", "pan")).picked("slu")[0]
        (('pan', ''), 'sluice')
        >>> Choice(("yes", "no"), is_numbered=False).picked("2")
        (None, '2 is not one of them; write yes or no.')
        """
        at = whole_number(typed) if self.is_numbered else None
        if at is not None:
            found = self.options[at - 1] if 1 <= at <= len(self.options) else None
        else:
            found = _begun(typed, self.options)
        if found is not None:
            return found, ""
        near = nearest(typed, self.options)
        words = "" if self.options[0].isdigit() else f", or one of: {', '.join(self.options)}"
        numbers = f"type a number from 1 to {len(self.options)}{words}."
        hint = numbers if self.is_numbered else f"write {' or '.join(self.options)}."
        return None, f"{typed} is not one of them; {f'did you mean {near}?' if near else hint}"


@dataclass(frozen=True, slots=True)
class WholeNumber:
    """A whole number within limits."""

    least: int
    most: int

    def picked(self, typed: str) -> tuple[str | None, str]:
        """The answer that was meant, or None and what is wrong."""
        number = whole_number(typed)
        fits = number is not None and self.least <= number <= self.most
        return (typed, "") if fits else (None, f"{typed} is not a count from {self.least} to {self.most}.")


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with its unit. Where a `unit` is named a bare number is of it, and two readings may stand in one."""

    kind: Kind
    unit: str = ""

    def picked(self, typed: str) -> tuple[str | None, str]:
        """The answer that was meant, or None and what is wrong.

        >>> Amount(Kind.FEED_MASS).picked("7.5 l")
        (None, "7.5 l: 'l' is not a unit of feed mass. Type one of g, mg, kg, lb, grain, dwt, ozt, t.")
        """
        try:
            if not self.unit:
                read_quantity(typed, self.kind)
        except UnitError as error:
            return None, str(error)
        return typed, ""


@dataclass(frozen=True, slots=True)
class Several(Text):
    """Two or more values in one line, each of a kind of its own; the check of the talk takes the line apart."""

    of: tuple["Text | WholeNumber | Amount", ...]


@dataclass(frozen=True, slots=True)
class Mending:
    """Yes, no, or the name of an answer that is wrong, alone or with its value."""

    names: tuple[tuple[str, str], ...]
    """What an answer may be called, and the key of its question."""
    refusal: Callable[[str], str]

    def picked(self, typed: str) -> tuple[str | None, str]:
        """Yes or no, or None where neither was typed."""
        low = typed.casefold()
        return ("yes", "") if low in SAID_YES else ("no", "") if low in SAID_NO else (None, self.refusal(typed))


AnswerKind = Text | Choice | WholeNumber | Amount | Several | Mending
EITHER = Choice(("yes", "no"))


def named_in(typed: str, names: Sequence[tuple[str, str]]) -> tuple[str, str]:
    """The key of the name that a text begins with, or is the beginning of, and what follows it; blank where none is.

    >>> names = (("water", "water_l_min"), ("water at end", "water_end_l_min"))
    >>> named_in("water at end 7.5", names), named_in("Water: 8", names), named_in("sand", names)
    (('water_end_l_min', '7.5'), ('water_l_min', '8'), ('', ''))
    """
    text = " ".join(typed.split())
    low = text.casefold()
    both = {(word.casefold(), key) for name, key in names for word in (name, key)}
    for word, key in sorted(both, key=lambda pair: -len(pair[0])):
        if low == word or low.startswith((f"{word} ", f"{word}=", f"{word}:")):
            return key, text[len(word) :].strip(" =:")
    begun = [key for name, key in names if low and name.casefold().startswith(low)]
    return (begun[0], "") if len(begun) == 1 else ("", "")


def whole_number(typed: str) -> int | None:
    """The whole number that was typed; None where it is none, or longer than any count."""
    return int(typed) if typed.isascii() and typed.isdigit() and len(typed) < LONGEST_NUMBER else None


def _begun(typed: str, options: Sequence[str]) -> str | None:
    """The option that is a text, or that alone begins with it."""
    low = typed.casefold()
    begun = [option for option in options if option.casefold().startswith(low)]
    whole = [option for option in begun if option.casefold() == low]
    return whole[0] if whole else begun[0] if len(begun) == 1 else None


@dataclass(frozen=True, slots=True)
class Question:
    """One thing that is asked. What depends on the answers before it is a function of them.

    why, help: why it is asked, in one line; what to write, and how to find it out.
    default: what an empty answer means; blank: it leaves the question open, where it may be.
    is_short: whether the question itself is the prompt, without why or menu.
    shares_line: whether answers to the questions that follow may stand behind its own, parted by ;
    takes_rest: whether it takes all that is left of such a line.
    takes_out: whether - takes out what is stored, instead of leaving the question open.
    is_kept: whether its answer belongs into a draft; one about the talk itself does not.
    """

    key: str
    text: str | Callable[[Given], str]
    why: str | Callable[[Given], str] = ""
    help: str = ""
    kind: AnswerKind | Callable[[Given], AnswerKind] = Text()
    default: str | Callable[[Given], str] = ""
    needed: Callable[[Given], bool] = lambda _: True
    may_be_blank: bool = False
    is_short: bool = False
    shares_line: bool = False
    takes_rest: bool = False
    takes_out: bool = False
    is_kept: bool = True

    def kind_of(self, given: Given) -> AnswerKind:
        """What is taken for an answer, after these answers."""
        return self.kind(given) if callable(self.kind) else self.kind

    def text_of(self, given: Given) -> str:
        """The question, after these answers."""
        return self.text(given) if callable(self.text) else self.text

    def why_of(self, given: Given) -> str:
        """Why it is asked, after these answers."""
        return self.why(given) if callable(self.why) else self.why

    def default_of(self, given: Given) -> str:
        """What an empty answer means, after these answers."""
        return self.default(given) if callable(self.default) else self.default


@dataclass(frozen=True, slots=True)
class Telling:
    """A step that asks nothing: what has to be read before the question after it."""

    words: Callable[[Given], Sequence[Block]]
