"""`samedirt logbook`: every change tried, with its word."""

from collections.abc import Sequence

from schemas import Record, Trial
from trials import __version__
from trials.commands.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from trials.commands.printing import say, say_json
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


def logbook(book: LogbookOption = DEFAULT_LOGBOOK, as_json: JsonOption = False) -> None:
    """List every trial with its word, the last day run first.

    Nothing is left out: unsettled, void and worse ones stand beside the better.

    Example: samedirt logbook
    """
    with Logbook(book).reading() as pages:
        records = pages.records()
        known = pages.words()
    records = sorted(records, key=lambda record: (_last_day(record), record.trial.name), reverse=True)
    words = [_word(record, known) for record in records]
    if as_json:
        say_json([_as_json(record.trial, word) for record, word in zip(records, words, strict=True)])
    else:
        _print(records, words)


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
        return Word(name, __version__, "stored", str(error).partition(": ")[2], None)
    return Word(name, __version__, reached.code, reached.sentence, reached.last_word)


def _as_json(trial: Trial, word: Word) -> dict[str, object]:
    return {
        "trial": trial.name,
        "kind": trial.kind,
        "measure": trial.measure,
        "code": word.code,
        "sentence": word.sentence,
        "last_word": word.last_word,
    }


def _print(records: Sequence[Record], words: Sequence[Word]) -> None:
    if not records:
        say("The logbook is empty. Next: samedirt load FOLDER")
        return
    for record, word in zip(records, words, strict=True):
        trial = record.trial
        change = "" if trial.change is None else f" ({trial.change.variable}: {trial.change.baseline} -> {', '.join(trial.change.changed)})"
        last = f"; {word.last_word}" if word.last_word else ""
        say(f"{trial.name}{change}: {CODE_WORDS[word.code]}{last}")
        say(word.sentence, indent=4)
    say()
    say(f"{count_of(len(records), 'trial')}. Next: samedirt verdict NAME, or samedirt report NAME")
