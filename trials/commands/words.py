"""The word on one trial, as the logbook remembers it and a listing shows it."""

from schemas import Record
from trials import __version__
from trials.errors import NotYet
from trials.logbook.logbook import Remembered

STORED, SET_ASIDE = "stored", "set_aside"


def word_of(record: Record) -> Remembered:
    """Reach the verdict of a trial; one that this version only stores is remembered as that."""
    from trials.verdicts.fill import set_aside_words
    from trials.verdicts.reach import reach_verdict

    name, is_aside = record.trial.name, record.trial.set_aside is not None
    try:
        reached = reach_verdict(record.trial, record.runs, record.corrections)
    except NotYet as error:
        sentence = set_aside_words(record.trial) + _sentence(error)
        return Remembered(name, __version__, SET_ASIDE if is_aside else STORED, sentence, None)
    code = SET_ASIDE if is_aside else reached.code
    return Remembered(name, __version__, code, reached.sentence, reached.last_word)


def _sentence(error: NotYet) -> str:
    text = str(error).partition(": ")[2]
    return f"{text[0].upper()}{text[1:]}."
