"""The one door through which the logbook is changed; the words of the listing are remembered with it."""

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from schemas import Record, Run, is_made
from trials.changes.decide import decision_words, last_decision, with_decision
from trials.changes.enter import enter_run, entered_words
from trials.changes.find_run import ELSEWHERE
from trials.changes.merge_all import merge_all
from trials.changes.reasons import refuse_no_reason
from trials.errors import Problem, Refused
from trials.files.folder import Packed, is_exported
from trials.files.place import place_of
from trials.keeping.remembered import Progress, quietly, words_one_by_one, words_to_remember
from trials.logbook.beside import is_a_store
from trials.logbook.logbook import Logbook, Portion
from trials.talk.one_run import row_of_answers
from trials.wording.lists import and_list
from trials.wording.steps import step

if TYPE_CHECKING:  # a folder pays for no sheets
    from trials.sheets.into_trials import LoadedSheet
    from trials.sheets.spreadsheet_in import Taking

AT_ONCE = 250
"""Trials that are unpacked in memory at once where many are loaded."""


def apply(book: Logbook, name: str, change: Callable[[Record], Record]) -> tuple[Record, Record]:
    """Apply a pure change to a trial, and remember its word; the record before it and after it."""
    return book.apply(name, change, words_to_remember)


def apply_all(book: Logbook, names: Sequence[str], change: Callable[[Mapping[str, Record]], Sequence[Record]]) -> None:
    """Apply a pure change to several trials, and remember their words; all of it or nothing."""
    book.apply_all(names, change, words_to_remember)


def store_decision(book: Logbook, name: str, word: str, note: str | None, now: datetime) -> str:
    """Record what was done with a change, in a few words or none; says it, beside the last word of the verdict."""
    from trials.listing.word import word_of

    if note is not None:
        refuse_no_reason(note)
    text = None if note is None else note.strip()
    _, after = apply(book, name, lambda record: with_decision(record, word.strip().casefold(), text, now))
    told = last_decision(after.corrections)
    assert told is not None  # noqa: S101 - it was stored just now
    last = word_of(after).last_word
    said = "" if last is None else f" The last word of its verdict is: {last}."
    return f"{name} decided: {decision_words(told)}.{said}"


@dataclass(frozen=True, slots=True)
class Stored:
    """What loading did to one trial: whether it is new, whether it was there and changed, and that in a few words.

    said: what was taken in a way that is to be known.
    """

    name: str
    is_new: bool
    is_changed: bool
    words: str
    said: tuple[str, ...]


def store_all(
    book: Logbook, trials: Sequence[Packed], why: str | None, *, stands: bool | None, shown: Progress = quietly
) -> list[Stored]:
    """Bring trials together with what is stored, `AT_ONCE` of them at a time; all that is new is stored, or nothing."""
    now = datetime.now().replace(microsecond=0)
    done: dict[str, Stored] = {}

    def loading(some: Sequence[Packed]) -> Portion:
        def load(stored: Mapping[str, Record]) -> list[Record]:
            incoming = [(str(one.source), one.record) for one in some]
            merged = merge_all(stored, incoming, why=why, now=now, stands=stands)
            for of_files, one in zip(some, merged, strict=True):
                said = (*of_files.said, *one.said, *_cost_in_runs(one.record, is_new=one.is_new))
                done[one.name] = Stored(one.name, one.is_new, one.is_changed, one.words, said)
            return [one.record for one in merged]

        return [one.name for one in some], load

    with words_one_by_one(len(trials), shown) as words_of:
        book.apply_portions([loading(trials[at : at + AT_ONCE]) for at in range(0, len(trials), AT_ONCE)], words_of)
    return list(done.values())


def _cost_in_runs(record: Record, *, is_new: bool) -> tuple[str, ...]:
    """What a graded trial that is new and not yet begun will cost in runs."""
    if not is_new or record.trial.kind != "graded" or any(is_made(run) for run in record.runs):
        return ()
    from trials.plans.level_runs import graded_runs_words  # heavy, and seldom asked for

    return (f"{record.trial.name}: {graded_runs_words(record.trial)}",)


def sheets_among(paths: Sequence[Path]) -> list[Path]:
    """Those of some paths that are filled sheets: all of them or none.

    Refused: one is a file that can be no sheet, or there are sheets and folders.
    """
    from trials.sheets.spreadsheet_in import no_sheet

    files = [path for path in paths if path.is_file() and not is_exported(path)]
    if strangers := [problem for path in files if (problem := no_sheet(path) or _logbook(path))]:
        raise Refused(strangers)
    if files and len(files) < len(paths):
        other = next(path for path in paths if path not in files)
        raise Refused(
            f"{place_of(files[0])} is a sheet and {place_of(other)} is not; load folders and sheets in two goes"
        )
    return files


def _logbook(path: Path) -> Problem | None:
    with suppress(OSError):  # one that can't be read is told as such when it is
        if is_a_store(path):
            logbook = step(f"logbook --logbook {place_of(path)}", f"page --logbook {path.name}")
            return Problem(place_of(path), "is a logbook, not a sheet", f"look into it with samedirt {logbook}")
    return None


def load_sheets(
    book: Logbook, files: Sequence[Path], trial: str | None, sheet: str | None, how: "Taking", shown: Progress = quietly
) -> list["LoadedSheet"]:
    """Bring filled sheets together with the trials they are of, and store what is new; all of it or nothing."""
    from trials.sheets.into_trials import merge_sheets, trials_of
    from trials.sheets.spreadsheet_in import open_sheets

    opened = open_sheets(files, sheet, lambda paths: shown(paths, "Reading sheets"))
    if not book.exists:
        what = "is not here yet, so no trial is known that a sheet could be of"
        raise Refused([Problem(str(book.path), what, "plan or load the trial first")])
    with book.reading() as pages:
        names = trials_of(opened, pages.records(), trial)
    now = datetime.now().replace(microsecond=0)
    done: list[LoadedSheet] = []

    def lay_over(stored: Mapping[str, Record]) -> list[Record]:
        sheets = list(zip(names, opened, strict=True))
        done[:] = merge_sheets(stored, sheets, how, now)
        return list({one.loaded.name: one.loaded.record for one in done}.values())

    book.apply_all(sorted(set(names)), lay_over, lambda records: words_to_remember(records, shown))
    return done


def store_answers(
    book: Logbook, name: str, run: Run, answers: Mapping[str, str], *, why: str | None, now: datetime, stands: bool
) -> str:
    """Lay typed answers over a run as it is stored by now, and store it; says what was done."""
    row = row_of_answers(answers, run, correcting=why is not None)
    before, after = apply(book, name, lambda record: enter_run(record, run.key, row, why=why, now=now, stands=stands))
    return entered_words(before, after, run.key)


def found_in(book: Logbook, name: str, tag: str, find: Callable[[Record], Run], *, record: Record | None = None) -> Run:
    """The run of a trial that a typed tag finds; where there is none, the trials that have such a tag are named.

    record: the trial as it was read just now, which is not read again.
    """
    try:
        return find(book.read(name) if record is None else record)
    except Refused as error:
        if not any(problem.code == ELSEWHERE for problem in error.problems):
            raise
        sought = tag.strip().upper()
        with book.reading() as pages:
            others = [one for one in pages.records() if any((run.tag or "").upper() == sought for run in one.runs)]
        if not others:
            raise
        named = and_list([one.trial.name for one in others])
        raise Refused([Problem(f"tag {tag.strip()}", f"is a tag of {named}, not of {name}")]) from error
