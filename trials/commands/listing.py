"""Every trial with its word, as a listing or as JSON."""

from collections.abc import Sequence

from schemas import Record, Trial
from trials import __version__
from trials.commands.printing import say
from trials.errors import NotYet
from trials.logbook.logbook import Logbook, Word
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
}


def listed(book: Logbook) -> list[tuple[Trial, Word]]:
    """Every trial with its word, the last day run first."""
    with book.reading() as pages:
        records = pages.records()
        known = pages.words()
    records = sorted(records, key=lambda record: (_last_day(record), record.trial.name), reverse=True)
    return [(record.trial, _word(record, known)) for record in records]


def _last_day(record: Record) -> str:
    return max((run.session for run in record.runs if run.session), default="")


def _word(record: Record, known: dict[str, Word]) -> Word:
    """The remembered word, or one reached now where none is remembered of this version."""
    name = record.trial.name
    if name in known and known[name].version == __version__:
        return known[name]
    from trials.verdicts.reach import reach_verdict

    try:
        reached = reach_verdict(record.trial, record.runs, record.corrections)
    except NotYet as error:
        return Word(name, __version__, "stored", _sentence(error), None)
    return Word(name, __version__, reached.code, reached.sentence, reached.last_word)


def _sentence(error: NotYet) -> str:
    text = str(error).partition(": ")[2]
    return f"{text[0].upper()}{text[1:]}."


def as_json(trial: Trial, word: Word) -> dict[str, object]:
    """One line of the listing for a program."""
    return {
        "trial": trial.name,
        "kind": trial.kind,
        "measure": trial.measure,
        "code": word.code,
        "sentence": word.sentence,
        "last_word": word.last_word,
    }


def print_listing(lines: Sequence[tuple[Trial, Word]]) -> None:
    """Print each trial, its change, its word and its sentence."""
    if not lines:
        say("The logbook is empty. Next: samedirt load FOLDER")
        return
    for trial, word in lines:
        change = trial.change
        tried = f" ({change.variable}: {change.baseline} -> {', '.join(change.changed)})" if change else ""
        last = f"; {word.last_word}" if word.last_word else ""
        say(f"{trial.name}{tried}: {CODE_WORDS[word.code]}{last}")
        say(word.sentence, indent=4)
    say()
    say(f"{count_of(len(lines), 'trial')}. Next: samedirt verdict NAME, or samedirt report NAME")
