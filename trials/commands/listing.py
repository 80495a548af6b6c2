"""Every trial with its word, as a listing or as JSON."""

from collections.abc import Sequence
from dataclasses import asdict, replace

from trials import __version__
from trials.commands.printing import say
from trials.logbook.logbook import ListedTrial, Logbook
from trials.wording.lists import count_of

CODE_WORDS = {
    "better": "better",
    "worse": "worse",
    "no_difference": "no difference worth having",
    "not_settled": "not settled",
    "scatter": "nothing changed: scatter",
    "blocked": "no verdict",
    "incomplete": "not finished",
    "too_few": "too few pairs",
    "stored": "stored, no verdict in this version",
    "set_aside": "set aside",
}


def listed(book: Logbook) -> list[ListedTrial]:
    """Every trial with its word, the last session first; words of another version are reached again."""
    with book.reading() as pages:
        lines = pages.listing()
        old = [line.trial for line in lines if line.version != __version__]
        records = pages.records(old) if old else []
    if not records:
        return lines
    from trials.commands.words import word_of

    words = {record.trial.name: word_of(record) for record in records}
    return [replace(line, **asdict(words[line.trial])) if line.trial in words else line for line in lines]


def as_json(line: ListedTrial) -> dict[str, object]:
    """One line of the listing for a program."""
    return {
        "trial": line.trial,
        "measure": line.measure,
        "code": line.code,
        "sentence": line.sentence,
        "last_word": line.last_word,
    }


def print_listing(lines: Sequence[ListedTrial]) -> None:
    """Print each trial, its change, its word and its sentence."""
    if not lines:
        say("The logbook is empty. Next: samedirt load FOLDER")
        return
    for line in lines:
        tried = f" ({line.variable}: {line.baseline} -> {', '.join(line.changed or ())})" if line.variable else ""
        last = f"; {line.last_word}" if line.last_word else ""
        say(f"{line.trial}{tried}: {CODE_WORDS[line.code or 'stored']}{last}")
        say(line.sentence or "", indent=4)
    say()
    say(f"{count_of(len(lines), 'trial')}. Next: samedirt verdict NAME, or samedirt report NAME")
