"""The word on each trial: reached once, remembered by the logbook, and listed."""

from collections.abc import Sequence
from dataclasses import asdict, replace

from schemas import Record
from trials import __version__
from trials.commands.printing import say, with_progress
from trials.errors import NotYet
from trials.logbook.logbook import ListedTrial, Logbook, Remembered
from trials.wording.lists import capital, count_of

STORED, SET_ASIDE = "stored", "set_aside"
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


def words_to_remember(records: Sequence[Record]) -> list[Remembered]:
    """Reach the verdicts of records, so that a listing need not."""
    return [word_of(record) for record in with_progress(records, "Reaching verdicts")]


def word_of(record: Record) -> Remembered:
    """Reach the verdict of a trial; one that this version only stores is remembered as that."""
    from trials.verdicts.fill import set_aside_words
    from trials.verdicts.reach import reach_verdict

    name, is_aside = record.trial.name, record.trial.set_aside is not None
    try:
        reached = reach_verdict(record.trial, record.runs, record.corrections)
    except NotYet as error:
        says = error.problems[0].says
        sentence = f"{set_aside_words(record.trial)}{says[0].upper()}{says[1:]}."
        return Remembered(name, __version__, SET_ASIDE if is_aside else STORED, sentence, None)
    code = SET_ASIDE if is_aside else reached.code
    return Remembered(name, __version__, code, reached.sentence, reached.last_word, reached.last_word_why)


def listed(book: Logbook) -> list[ListedTrial]:
    """Every trial with its word, the last session first; words of another version are reached again."""
    with book.reading() as pages:
        lines = pages.listing()
        old = [line.trial for line in lines if line.version != __version__]
        records = pages.records(old) if old else []
    if not records:
        return lines
    words = {record.trial.name: word_of(record) for record in records}
    return [replace(line, **asdict(words[line.trial])) if line.trial in words else line for line in lines]


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
        if line.last_word and line.last_word_why:
            say(f"{capital(line.last_word)}: {line.last_word_why}.", indent=4)
    say()
    say(f"{count_of(len(lines), 'trial')}. Next: samedirt verdict NAME, or samedirt report NAME")
