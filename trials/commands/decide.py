"""`samedirt decide`: what was done in the end."""

from datetime import datetime
from typing import Annotated

import typer

from trials.commands.options import DEFAULT_LOGBOOK, LogbookOption, NameArgument
from trials.commands.printing import say


def decide(
    name: NameArgument,
    word: Annotated[str, typer.Argument(help="keep, revert, retest, or other with a note.", show_default=False)],
    note: Annotated[str | None, typer.Option(help="Why, in a few words.", show_default=False)] = None,
    book: LogbookOption = DEFAULT_LOGBOOK,
) -> None:
    """Record what you did with a change, beside the last word of its verdict; the logbook lists both.

    Decide again when you think better of it: every decision stays on record, and the last one is listed.

    Example: samedirt decide rough-bed keep --note "the sand is worth it"
    """
    from trials.changes.decide import decision_words, last_decision, with_decision
    from trials.changes.reasons import refuse_no_reason
    from trials.keeping.storing import apply
    from trials.listing.word import word_of
    from trials.logbook.logbook import Logbook

    if note is not None:
        refuse_no_reason(note)
    now = datetime.now().replace(microsecond=0)
    text = None if note is None else note.strip()
    _, after = apply(Logbook(book), name, lambda record: with_decision(record, word.strip().casefold(), text, now))
    told = last_decision(after.corrections)
    assert told is not None  # noqa: S101 - it was stored just now
    last = word_of(after).last_word
    said = "" if last is None else f" The last word of its verdict is: {last}."
    say(f"{name} decided: {decision_words(told)}.{said}")
