"""Runs typed one by one: which run is next, its answers, and the store."""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from schemas import Record, Run, Trial, is_made
from trials.changes.find_run import run_to_enter
from trials.changes.reasons import refuse_no_reason
from trials.commands.asking import Answers, read_line
from trials.commands.correcting import corrections_over
from trials.commands.drafts import Draft
from trials.commands.printing import say
from trials.commands.run_talk import ANSWERING, talk_of_run, talk_over
from trials.commands.storing import found_in, store_answers
from trials.errors import DamagedLogbook, LogbookError, Problem, Refused
from trials.fairness.missing import measures_missing, runs_lacking, runs_to_come
from trials.logbook.logbook import Logbook
from trials.wording.lists import count_of


def refuse_half_asked(
    tag: str | None, settings: Sequence[str] | None, *, again: bool, why: str | None, shows_nothing: bool
) -> None:
    """Refuse flags that need each other."""
    problems = [Problem("--shows", "goes with --photo, and there is none")] if shows_nothing else []
    if settings and tag is None:
        problems.append(Problem("--set", "needs the tag of its run: samedirt enter NAME TAG --set minutes=9.5"))
    if again and tag is None:
        problems.append(
            Problem("--again", "needs the tag of the run to correct: samedirt enter NAME TAG --again --why")
        )
    if again and (why is None or not why.strip()):
        problems.append(Problem("--again", 'needs its reason: --why "the reason"'))
    if why is not None and not again:
        problems.append(Problem("--why", "goes with --again, which corrects a run that was entered already"))
    if problems:
        raise Refused(problems)
    if why is not None:
        refuse_no_reason(why)


def enter_given(book: Logbook, name: str, tag: str, settings: Sequence[str], *, why: str | None, now: datetime) -> str:
    """Store a run from answers given as flags; says what was done.

    Raises
    ------
    Refused
        Carries every problem: a flag without its =, one given twice, an answer that does not fit.
    """
    answers, problems = _read(settings)
    if problems:
        raise Refused(problems)
    record = book.read(name)
    is_correcting = why is not None
    run = found_in(book, name, tag, lambda one: run_to_enter(one, tag, correcting=is_correcting, filling=True))
    said = store_answers(book, name, run, answers, why=why, now=now)
    _draft(book, record.trial, run, correcting=is_correcting).remove()
    return said


def _read(settings: Sequence[str]) -> tuple[Answers, list[Problem]]:
    answers: Answers = {}
    problems = []
    for setting in settings:
        name, equals, text = setting.partition("=")
        if not equals:
            problems.append(Problem(f"--set {setting}", "has no = sign; write it as --set minutes=9.5"))
        elif name.strip() in answers:
            problems.append(Problem(f"--set {name.strip()}", "is given twice; keep one"))
        answers[name.strip()] = text.strip()
    return answers, problems


def enter_by_asking(book: Logbook, name: str, tag: str | None, *, why: str | None, now: datetime) -> None:
    """Ask for runs until all are in, or for the one named.

    Raises
    ------
    Stopped
        The person left; what was answered is kept.
    """
    record = book.read(name)
    if tag is not None:
        run = found_in(book, name, tag, lambda one: run_to_enter(one, tag, correcting=why is not None))
        _enter(book, record, run, why=why, now=now)
        return
    _refuse_no_tags(record)
    if _waiting(record):
        say(ANSWERING)
    while waiting := _waiting(record):
        run = _which(book, record, waiting)
        _enter(book, record, run, why=None, now=now)
        record = book.read(name)
    made = count_of(sum(is_made(run) for run in record.runs), "run")
    say(f"All {made} are in. Next: samedirt check {name}, then samedirt verdict {name}")


def _refuse_no_tags(record: Record) -> None:
    """Refuse a trial whose runs can't be named on a jar."""
    name = record.trial.name
    says = None
    if record.trial.set_aside is not None:
        says = f"was set aside ({record.trial.set_aside}), so no run of it is entered any more"
    elif not record.runs:
        says = f"has no runs laid out yet; samedirt sheet {name} draws them and prints their tags"
    elif any(run.tag is None for run in _waiting(record)):
        says = f"has runs without tags, which can't be named here; load them from its folder: samedirt load {name}"
    if says is not None:
        raise Refused([Problem(name, says)])


def _waiting(record: Record) -> list[Run]:
    """The runs that are to be made, then those that lack what the main measure needs."""
    lacking = [run for run, _ in runs_lacking(record.trial, record.runs)]
    return [*runs_to_come(record.trial, record.runs), *lacking]


def _which(book: Logbook, record: Record, waiting: Sequence[Run]) -> Run:
    """The run that a typed tag names; asked again until one does. A run that was begun comes first."""
    begun = next((run for run in waiting if _draft(book, record.trial, run, correcting=False).path.exists()), None)
    default = (begun or waiting[0]).tag
    if is_made(waiting[0]):
        for text in measures_missing(record.trial, record.runs):
            say(text)
    say()
    while True:
        typed = read_line(f"Tag [{default}]> ") or default or ""
        try:
            return _found(book, record.trial.name, typed)
        except Refused as error:
            for problem in error.problems:
                say(f"{problem.place.removeprefix('tag ')}: {problem.says}", indent=2)


def _found(book: Logbook, name: str, tag: str) -> Run:
    return found_in(book, name, tag, lambda record: run_to_enter(record, tag, correcting=False))


def _enter(book: Logbook, record: Record, run: Run, *, why: str | None, now: datetime) -> None:
    """Talk a run over until it is stored, or its answers are thrown away."""
    draft = _draft(book, record.trial, run, correcting=why is not None)
    talk = talk_of_run(record, run, draft, correcting=why is not None, now=now)
    is_new = True
    while True:
        answers = talk_over(talk, is_new=is_new) if why is None else corrections_over(talk)
        is_new = False
        if answers is None:
            say(f"{run.tag}: nothing was changed." if why is not None else f"{run.tag} was not stored.")
            return
        try:
            said = store_answers(book, record.trial.name, run, answers, why=why, now=now)
        except DamagedLogbook:
            raise
        except (Refused, LogbookError) as error:  # mended at once, or by waiting: the answers are still here
            for line in error.lines:
                say(line, indent=2)
            continue
        draft.remove()
        say(said)
        return


def _draft(book: Logbook, trial: Trial, run: Run, *, correcting: bool) -> Draft:
    again = "-again" if correcting else ""
    name = f"enter-{trial.name}-{run.tag}{again}-draft.toml"
    return Draft(Path(book.path).parent / name, f"samedirt enter {trial.name}")
