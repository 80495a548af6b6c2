"""Words to show: what a talk, a plan or a comparison says, for whatever shows it to lay out."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Sentence:
    """Words that are wrapped to the width there is; all set in by `indent`, later lines by `hanging` more."""

    text: str = ""
    indent: int = 0
    hanging: int = 0


@dataclass(frozen=True, slots=True)
class Columns:
    """Rows under a header; where there is little width, only the first `fewest` columns are shown."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    fewest: int


Block = Sentence | Columns


def sentences_of(lines: Iterable[str], *, indent: int = 0) -> tuple[Block, ...]:
    """Each line as a sentence of its own."""
    return tuple(Sentence(line, indent) for line in lines)


def numbered(choices: Sequence[str]) -> tuple[tuple[int, str], ...]:
    """The choices of a menu with their numbers; none where each is its own number, as the rows of a table are."""
    return tuple((number, choice) for number, choice in enumerate(choices, start=1) if choice != str(number))
