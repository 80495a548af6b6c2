"""Runs typed one by one: the tag, the answers in the order of the papers, a summary, and the store."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from functools import partial
from pathlib import Path

from schemas import Record, Run, Trial, is_made
from trials.commands.asking import Answers, Question, converse, read_line
from trials.commands.drafts import Draft
from trials.commands.loading import refuse_no_reason, remember_words
from trials.commands.printing import say
from trials.commands.tags_found import run_to_enter
from trials.entry.again import merge
from trials.entry.one_run import asked_of_run, column_of, planned_values, run_of_answers, stored_values, without
from trials.entry.sheet_form import Asked
from trials.errors import Problem, Refused
from trials.logbook.logbook import Logbook
from trials.measures.pairing import pair_up
from trials.wording.lists import count_of

CONFIRM = "store"


def refuse_half_asked(tag: str | None, settings: Sequence[str] | None, *, again: bool, why: str | None) -> None:
    """Refuse flags that need each other."""
    problems = []
    if settings and tag is None:
        problems.append(Problem("--set", "needs the tag of its run: samedirt enter NAME TAG --set minutes=9.5"))
    if again and (why is None or not why.strip()):
        problems.append(Problem("--again", 'needs its reason: --why "the reason"'))
    if why is not None and not again:
        problems.append(Problem("--why", "goes with --again, which corrects a run that was entered already"))
    if problems:
        raise Refused(problems)
    if why is not None:
        refuse_no_reason(why)


def enter_given(book: Logbook, name: str, tag: str, settings: Sequence[str], *, why: str | None, now: datetime) -> str:
    """Store a run from answers given as flags; says what was done."""
    answers: Answers = {}
    problems = []
    for setting in settings:
        key, equals, text = setting.partition("=")
        if not equals:
            problems.append(Problem(f"--set {setting}", "has no = sign; write it as --set minutes=9.5"))
        answers[key.strip()] = text.strip()
    if problems:
        raise Refused(problems)
    record = book.read(name)
    run = run_to_enter(book, record, tag, correcting=why is not None)
    return _store(book, name, run.key, answers, (), why=why, now=now)


def enter_by_asking(book: Logbook, name: str, tag: str | None, *, why: str | None, now: datetime) -> None:
    """Ask for runs until all are in, or for the one named."""
    one_only = tag is not None
    while True:
        record = book.read(name)
        waiting = _waiting(record)
        if not one_only and not waiting:
            say(f"All {_tally(record)} are in. Next: samedirt check {name}, then samedirt verdict {name}")
            return
        run = _which(book, record, waiting, tag, correcting=why is not None)
        _ask_for_run(book, record, run, why=why, now=now)
        if one_only:
            return


def _which(book: Logbook, record: Record, waiting: Sequence[Run], tag: str | None, *, correcting: bool) -> Run:
    """The run that a typed tag names; asked again until one does."""
    if tag is not None:
        return run_to_enter(book, record, tag, correcting=correcting)
    draft = _draft(book, record.trial)
    begun = draft.read().get("tag")
    default = begun if begun in {run.tag for run in waiting} else waiting[0].tag
    if default is None:
        says = f"its runs have no tags; samedirt load a filled sheet, or samedirt sheet {record.trial.name} draws them"
        raise Refused([Problem(record.trial.name, says)])
    say()
    while True:
        typed = read_line(f"Tag? [{default}] ") or default
        try:
            return run_to_enter(book, record, typed, correcting=correcting)
        except Refused as error:
            for problem in error.problems:
                say(problem.says, indent=2)


def _ask_for_run(book: Logbook, record: Record, run: Run, *, why: str | None, now: datetime) -> None:
    trial = record.trial
    draft = _draft(book, trial)
    begun = draft.read()
    given = {key: text for key, text in begun.items() if key != "tag"} if begun.get("tag") == run.tag else {}
    if given:
        say(f"{run.tag} was begun: {count_of(len(given), 'answer')} kept.")
    questions = [*_questions(record, run, why=why, now=now), _confirmation(run)]
    check = partial(_check, run=run, trial=trial, correcting=why is not None)
    answers = converse(questions, given, check, lambda all_of: draft.write({"tag": run.tag or "", **all_of}))
    if answers.pop(CONFIRM) == "yes":
        blanked = [key for key, text in answers.items() if text == "" and why is not None]
        say(_store(book, trial.name, run.key, answers, blanked, why=why, now=now))
    else:
        say(f"{run.tag} was not stored.")
    draft.remove()


def _questions(record: Record, run: Run, *, why: str | None, now: datetime) -> list[Question]:
    """One question for each column of the papers, with what is planned, or stored, to be taken."""
    made = sorted((one for one in record.runs if is_made(one)), key=lambda one: one.turn or 0)
    planned = stored_values(run) if why is not None else planned_values(record.trial, run, made, now)
    return [_question(asked, planned) for asked in asked_of_run(record.trial, record.runs)]


def _question(asked: Asked, planned: Mapping[str, str]) -> Question:
    two = " Or two readings of the scale in g, gross and tare." if asked.header in TWO_READINGS else ""

    def default(given: Mapping[str, str]) -> str:
        if asked.header == "water_end_l_min" and asked.header not in planned:
            return given.get("water_l_min", "")
        return planned.get(asked.header, "")

    return Question(
        asked.header,
        lambda _: f"{asked.header}: {asked.words}.{two}",
        "",
        _explained(asked),
        choices=asked.choices if asked.only else (),
        default=default,
        may_be_blank=True,
    )


TWO_READINGS = ("gold_mg", "tails_gold_mg", "black_sand_g", "concentrate_g")


def _explained(asked: Asked) -> str:
    limits = f" From {asked.low:g} to {asked.high:g}." if asked.low is not None and asked.high is not None else ""
    return (
        f"A unit may be typed behind the number.{limits} Leave it open if it was not measured; 0 is looked and found "
        "none."
        if asked.sort in ("number", "whole")
        else "Leave it open if it was not noted."
    )


def _confirmation(run: Run) -> Question:
    def summary(given: Mapping[str, str]) -> str:
        told = [f"{key} {text}" for key, text in given.items() if text and key not in (CONFIRM, "tag")]
        return f"{run.tag}: {', '.join(told)}."

    return Question(
        CONFIRM,
        summary,
        "Store it so? back goes to the answer before; no throws these answers away.",
        "yes stores this run; from then on a change to it is a correction with its reason.",
        choices=("yes", "no"),
        default=lambda _: "yes",
    )


def _check(
    question: Question, answer: str, given: Mapping[str, str], *, run: Run, trial: Trial, correcting: bool
) -> list[str]:
    """What is wrong with an answer, by itself and with those before it."""
    if question.key == CONFIRM:
        return []
    answers = {key: text for key, text in given.items() if key != "tag"} | {question.key: answer}
    _, problems = run_of_answers(answers, run, trial, correcting=correcting)
    return [problem.says for problem in problems]


def _store(
    book: Logbook,
    name: str,
    key: tuple[int, str],
    answers: Mapping[str, str],
    blanked: Sequence[str],
    *,
    why: str | None,
    now: datetime,
) -> str:
    """Lay the answers over the run as it is stored by now, and store it; says what was done."""
    with book.writing() as pages:
        (record,) = pages.records([name])
        stored = next(run for run in record.runs if run.key == key)
        if is_made(stored) and why is None:
            raise Refused([Problem(f"tag {stored.tag}", "was entered meanwhile by another process; look at it first")])
        fields = [column.field for column in map(column_of, blanked) if column is not None and column.label is None]
        run, problems = run_of_answers(answers, without(stored, fields), record.trial, correcting=why is not None)
        if run is None:
            raise Refused(problems)
        if not is_made(run):
            raise Refused(
                [Problem(f"tag {stored.tag}", "has no answer that says what was done or found; nothing stored")]
            )
        runs = tuple(run if one.key == key else _making_way(one, run, stored) for one in record.runs)
        incoming = Record(trial=record.trial, runs=runs, corrections=record.corrections)
        merged = merge(record, incoming, why=why, now=now, place=name)
        if merged.problems:
            raise Refused(merged.problems)
        pages.store([merged.record])
        remember_words(pages, [merged.record])
    if why is not None:
        return f"{run.tag}: {count_of(merged.corrected, 'correction')}, {count_of(merged.filled, 'blank')} filled."
    made = sum(is_made(one) for one in merged.record.runs)
    return f"{run.tag or name} stored ({made} of {_runs_planned(record)})."


def _making_way(other: Run, run: Run, stored: Run) -> Run:
    """A run not yet made whose turn was taken by another gets the turn that one was meant to have."""
    taken = other.turn is not None and other.turn == run.turn and not is_made(other)
    return other.model_copy(update={"turn": stored.turn}) if taken else other


def _waiting(record: Record) -> list[Run]:
    """The runs that are still to be made, in the order of the papers; spares only where they are called in."""
    trial = record.trial
    called = trial.pairs + (_voids(record) if trial.kind != "audit" else trial.spares)
    open_runs = [run for run in record.runs if not is_made(run) and run.pair <= called]
    return sorted(open_runs, key=lambda run: (run.turn or 10**6, run.key))


def _voids(record: Record) -> int:
    """How many pairs are void, so that as many spares are called in."""
    if len(record.trial.arms) == 2:
        return len(pair_up(record.trial, record.runs).void)
    return len({run.pair for run in record.runs if run.is_void})


def _runs_planned(record: Record) -> int:
    return record.trial.pairs * len(record.trial.arms)


def _tally(record: Record) -> str:
    return count_of(sum(is_made(run) for run in record.runs), "run")


def _draft(book: Logbook, trial: Trial) -> Draft:
    return Draft(Path(book.path).parent / f"enter-{trial.name}-draft.toml", "samedirt enter")
