"""The turn of a run that was made in another order than it was drawn."""

from collections.abc import Iterable

from schemas import Record, Run


def turn_taken(runs: Iterable[Run], key: tuple[int, str], turn: int | None) -> Run | None:
    """The other run that has a turn."""
    return next((one for one in runs if turn is not None and one.turn == turn and one.key != key), None)


def turn_taken_words(record: Record, other: Run) -> str:
    """What is said where a turn is that of a run made already."""
    tag = other.tag or "another run"
    return f"{other.turn} is the turn of {tag}. Correct that first: samedirt enter {record.trial.name} {tag} --again"
