"""Where a run comes from and goes to: flags, or the talk and its draft; the logbook."""

from collections.abc import Sequence
from datetime import datetime

from schemas import Record, Run, is_made
from trials.changes.find_run import run_to_enter
from trials.commands.printing import say
from trials.commands.terminal import WentBack, talk_through
from trials.errors import DamagedLogbook, LogbookError, Problem, Refused
from trials.fairness.missing import measures_missing
from trials.keeping.drafts import run_draft
from trials.keeping.storing import found_in, store_answers
from trials.logbook.logbook import Logbook
from trials.talk.engine import begin
from trials.talk.run_given import run_answers, runs_waiting
from trials.talk.run_talk import ANSWERING_A_RUN, TAG, tag_talk, talk_of_run
from trials.wording.lists import count_of


def enter_given(
    book: Logbook, name: str, tag: str, settings: Sequence[str], *, why: str | None, now: datetime, stands: bool
) -> str:
    """Store a run from answers given as flags; says what was done, or refuses with every problem."""
    answers = run_answers(settings)
    record = book.read(name)
    is_correcting = why is not None
    run = found_in(
        book, name, tag, lambda one: run_to_enter(one, tag, correcting=is_correcting, filling=True), record=record
    )
    said = store_answers(book, name, run, answers, why=why, now=now, stands=stands)
    run_draft(book, record.trial.name, run.tag, correcting=is_correcting).remove()
    return said


def enter_by_asking(book: Logbook, name: str, tag: str | None, *, why: str | None, now: datetime) -> None:
    """Ask for runs until all are in, or for the one named; Stopped where the person left, what was answered is kept."""
    record = book.read(name)
    if tag is not None:
        run = found_in(book, name, tag, lambda one: run_to_enter(one, tag, correcting=why is not None), record=record)
        while not _entered(book, record, run, why=why, now=now):
            run = _which(book, record, [run], correcting=why is not None)
        return
    if runs_waiting(record):
        say(ANSWERING_A_RUN)
    while waiting := runs_waiting(record):
        _entered(book, record, _which(book, record, waiting, correcting=False), why=None, now=now)
        record = book.read(name)
    made = count_of(sum(is_made(run) for run in record.runs), "run")
    say(f"All {made} are in. Next: samedirt check {name}, then samedirt verdict {name}")


def _which(book: Logbook, record: Record, waiting: Sequence[Run], *, correcting: bool) -> Run:
    """The run that a typed tag names; asked again until one does. A run that was begun comes first."""
    name = record.trial.name
    drafts = ((run, run_draft(book, name, run.tag, correcting=correcting)) for run in waiting)
    begun = next((run for run, draft in drafts if draft.path.exists()), None)
    lacking = tuple(measures_missing(record.trial, record.runs)) if is_made(waiting[0]) else ()

    def run_found(tag: str) -> Run:
        return found_in(book, name, tag, lambda one: run_to_enter(one, tag, correcting=correcting))

    def against(tag: str) -> Sequence[Problem]:
        try:
            run_found(tag)
        except Refused as error:
            return error.problems
        return ()

    given = talk_through(begin(tag_talk((begun or waiting[0]).tag or "", lacking, against), {})).answers
    return run_found(given[TAG])


def _entered(book: Logbook, record: Record, run: Run, *, why: str | None, now: datetime) -> bool:
    """Talk a run over until it is stored, or its answers are thrown away; False where back led to another tag."""
    draft = run_draft(book, record.trial.name, run.tag, correcting=why is not None)
    talk = talk_of_run(record, run, correcting=why is not None, now=now)
    kept = draft.read()
    if kept and why is None:
        say(f"{run.tag} was begun: {count_of(len(kept), 'answer')} kept.")
    sitting = talk.begin(kept)
    while True:
        try:
            sitting = talk_through(sitting, draft.write)
        except WentBack:
            draft.remove()
            return False
        answers = talk.to_store(sitting)
        if answers is None:
            draft.remove()
            say(f"{run.tag}: nothing was changed." if why is not None else f"{run.tag} was not stored.")
            return True
        try:
            said = store_answers(book, record.trial.name, run, answers, why=why, now=now, stands=False)
        except DamagedLogbook:
            raise
        except (Refused, LogbookError) as error:  # mended at once, or by waiting: the answers are still here
            for line in error.lines:
                say(line, indent=2)
            sitting = talk.begin(sitting.draft)
            continue
        draft.remove()
        say(said)
        return True
