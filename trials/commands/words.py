"""The word on one trial, as the logbook remembers it and a listing shows it."""

from schemas import Record
from trials import __version__
from trials.errors import NotYet
from trials.logbook.logbook import Remembered

STORED = "stored"


def word_of(record: Record) -> Remembered:
    """Reach the verdict of a trial; one that this version only stores is remembered as that."""
    from trials.verdicts.reach import reach_verdict

    name = record.trial.name
    try:
        reached = reach_verdict(record.trial, record.runs, record.corrections)
    except NotYet as error:
        return Remembered(name, __version__, STORED, _sentence(error), None)
    return Remembered(name, __version__, reached.code, reached.sentence, reached.last_word)


def _sentence(error: NotYet) -> str:
    text = str(error).partition(": ")[2]
    return f"{text[0].upper()}{text[1:]}."
