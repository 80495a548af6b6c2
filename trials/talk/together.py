"""One question that stands for several asks of a run: all as they are likely to be, or what differs by its name."""

from collections.abc import Sequence
from dataclasses import dataclass

from schemas import Run
from trials.talk.asks import SIGNS, Ask
from trials.talk.question import SAID_NO, SAID_YES, Choice, Given, Question, named_in
from trials.talk.run_words import answers_in_line
from trials.wording.columns import HARD_SPACE
from trials.wording.lists import and_list

AS_PLANNED, OTHERS = "as planned", "other readings"


@dataclass(frozen=True, slots=True)
class Together:
    """Asks that one question stands for.

    text, help: what is asked, and what may be typed.
    default: what an empty line means: the default of every ask.
    each: the words after which each is asked by itself.
    """

    key: str
    text: str
    help: str
    default: str
    each: frozenset[str]
    asks: tuple[Ask, ...]

    @property
    def question(self) -> Question:
        """The question as it is asked."""
        return Question(
            self.key,
            self.text,
            help=self.help,
            default=self.default,
            may_be_blank=not self.default,
            is_short=True,
            shares_line=True,
        )

    def is_left_to_each(self, given: Given) -> bool:
        """Whether each is asked by itself, after these answers."""
        return given.get(self.key, "").casefold() in self.each

    def answers(self, told: str) -> dict[str, str]:
        """The answer to each ask, by key; none where each is asked by itself."""
        if told.casefold() in self.each:
            return {}
        return {ask.key: ask.default for ask in self.asks} | self.told_apart(told)[0]

    def told_apart(self, told: str) -> tuple[dict[str, str], str]:
        """What differs, by key, typed as name and value and split by commas; or what is wrong with what was typed."""
        if told.casefold() in ("", *SAID_YES, *SAID_NO):
            return {}, ""
        changed: dict[str, str] = {}
        names = [(ask.name, ask.key) for ask in self.asks]
        for part in told.split(","):
            key, text = named_in(part, names)
            if not key or not text:
                how = f"type yes, no, or a name and its value, as {_example(self.asks)}"
                return {}, f"{part.strip()}: {how}; there are {and_list([name for name, _ in names])}."
            changed[key] = text
        return changed, ""


def together_of(run: Run, asks: Sequence[Ask]) -> tuple[Together, ...]:
    """The questions that stand for several of these asks: for what was planned, and for what few runs have."""
    planned = tuple(ask for ask in asks if ask.carried)
    signs = tuple(ask for ask in asks if not ask.carried and set(ask.fields) <= set(SIGNS))
    return (*([_as_planned(run, planned)] if planned else []), *([_others(signs)] if signs else []))


def _as_planned(run: Run, asks: tuple[Ask, ...]) -> Together:
    line = answers_in_line(run, None, asks, {ask.key: ask.default for ask in asks}).replace(HARD_SPACE, " ")
    helps = "yes takes all of these, no asks for each. Or type what differs by its name, as: turn 3."
    return Together(AS_PLANNED, f"As planned: {line}", helps, "yes", frozenset(SAID_NO), asks)


def _others(asks: tuple[Ask, ...]) -> Together:
    text = f"Other readings, if any: {', '.join(ask.name for ask in asks)}"
    helps = f"Enter leaves all open, yes asks for each. Or type them by name, as: {_example(asks)}."
    return Together(OTHERS, text, helps, "", frozenset(SAID_YES), asks)


def _example(asks: Sequence[Ask]) -> str:
    """The first of them with a value that it takes."""
    return f"{asks[0].name} {'yes' if isinstance(asks[0].kind, Choice) else 3}"
