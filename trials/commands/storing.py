"""A run as it was typed -> the logbook: laid over what is stored by now, with its correction where it is one."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from schemas import Record, Run, is_made
from trials.changes.merge import merge
from trials.changes.turns import turn_taken, turn_taken_words
from trials.commands.loading import remember_words
from trials.errors import Problem, Refused
from trials.fairness.missing import runs_to_come
from trials.logbook.logbook import Logbook
from trials.talk.one_run import run_of_answers
from trials.wording.lists import count_of


@dataclass(frozen=True, slots=True)
class Stored:
    """What was stored: the record as it is now, and what was done in one sentence."""

    record: Record
    words: str


def store_answers(
    book: Logbook, name: str, key: tuple[int, str], answers: Mapping[str, str], *, why: str | None, now: datetime
) -> Stored:
    """Lay answers over a run as it is stored by now, and store it.

    Parameters
    ----------
    book
        The logbook.
    name, key
        The trial, and the pair and arm of the run.
    answers
        Texts by column.
    why
        The reason of a correction; None where nothing that is stored may become another.
    now
        The moment of a correction; its day locks a plan that was not locked before its first run.

    Raises
    ------
    Refused
        An answer does not fit, nothing was answered, or the turn is another run's.
    """
    with book.writing() as pages:
        (record,) = pages.records([name])
        before = next(run for run in record.runs if run.key == key)
        run, problems = run_of_answers(answers, before, record.trial, correcting=why is not None)
        if run is None:
            raise Refused(problems)
        _refuse_nothing_told(run, before)
        given_way = _giving_way(record, run, before, correcting=why is not None)
        trial = record.trial
        if trial.locked is None and not any(is_made(one) for one in record.runs):
            trial = trial.model_copy(update={"locked": now.date()})
        runs = tuple(run if one.key == key else given_way.get(one.key, one) for one in record.runs)
        incoming = Record(trial=trial, runs=runs, corrections=record.corrections)
        merged = merge(record, incoming, why=why, now=now, place=name)
        if merged.problems:
            raise Refused(by_tags(merged.problems, record.runs))
        if merged.changes_anything:
            pages.store([merged.record])
            remember_words(pages, [merged.record])
    moved = "".join(f" {one.tag} has turn {one.turn} now." for one in given_way.values() if is_made(one))
    spoken = f"{run.tag or f'pair {run.pair}'}"
    if is_made(before):
        done = _done(corrected=merged.corrected, filled=merged.filled)
        return Stored(merged.record, f"{spoken}: {done}.{moved}")
    made = sum(is_made(one) for one in merged.record.runs)
    to_come = len(runs_to_come(merged.record.trial, merged.record.runs))
    return Stored(merged.record, f"{spoken} stored ({made} of {made + to_come}).")


def _done(*, corrected: int, filled: int) -> str:
    words = [count_of(corrected, "value corrected", "values corrected")] if corrected else []
    words += [count_of(filled, "blank filled", "blanks filled")] if filled else []
    return ", ".join(words) or "nothing new"


def _refuse_nothing_told(run: Run, before: Run) -> None:
    if not is_made(run):
        gone = "nothing would be left of it; samedirt void strikes a run that went wrong"
        says = gone if is_made(before) else "has no answer that says what was done or found; nothing stored"
        raise Refused([Problem(f"tag {run.tag}", says)])


def _giving_way(record: Record, run: Run, before: Run, *, correcting: bool) -> dict[tuple[int, str], Run]:
    """The run whose turn was taken, with the turn that this one was to have, or had."""
    other = turn_taken(record.runs, run.key, run.turn)
    if other is None:
        return {}
    if is_made(other) and not (correcting and before.turn is not None):
        raise Refused([Problem(f"tag {run.tag}, turn", turn_taken_words(record, other))])
    return {other.key: other.model_copy(update={"turn": before.turn})}


def by_tags(problems: Iterable[Problem], runs: Iterable[Run]) -> list[Problem]:
    """The problems with each run named by its tag, not by its arm."""
    named = {f"pair {run.pair} {run.arm}".rstrip(): run.tag or f"pair {run.pair}" for run in runs}
    return [Problem(_named(one.place, named), _named(one.says, named)) for one in problems]


def _named(text: str, named: Mapping[str, str]) -> str:
    for words in sorted(named, key=len, reverse=True):
        text = text.replace(words, named[words])
    return text
