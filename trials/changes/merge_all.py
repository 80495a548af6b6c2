"""Several loaded trials brought together with those stored: all of them, or every problem of all."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from schemas import Record, Run, is_made
from trials.changes.another import another_problem, is_another
from trials.changes.merge import Merged, merge
from trials.errors import Problem, Refused
from trials.records.doubts import Doubt, as_typed, doubts_of_all, stands_in_file, stands_words
from trials.records.flat import flat_run
from trials.records.keys import RUNS_FILE
from trials.wording.lists import count_of


@dataclass(frozen=True, slots=True)
class Loaded:
    """What loading did to one trial: its record as it is to be stored, and how many runs were loaded.

    merged: what became of the stored trial; None for a new one.
    said: which values were let stand.
    """

    record: Record
    runs: int
    merged: Merged | None = None
    said: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The name of the trial."""
        return self.record.trial.name

    @property
    def is_new(self) -> bool:
        """Whether there was no such trial."""
        return self.merged is None

    @property
    def is_changed(self) -> bool:
        """Whether a trial that was there has something new."""
        return self.merged is not None and self.merged.changes_anything

    @property
    def words(self) -> str:
        """What was done, in a few words."""
        if self.merged is None:
            return f"new, {count_of(self.runs, 'run')}"
        counts = (
            (self.merged.added, "new run", "new runs"),
            (self.merged.filled, "blank filled", "blanks filled"),
            (self.merged.corrected, "correction", "corrections"),
            (self.merged.amended, "amendment", "amendments"),
            (self.merged.replanned, "change to the plan", "changes to the plan"),
        )
        done = [count_of(number, one, many) for number, one, many in counts if number]
        absent = self.merged.absent
        kept = f"; {count_of(absent, 'stored run')} not in the folder, kept" if absent else ""
        return (", ".join(done) or "nothing new") + kept


def merge_all(
    stored: Mapping[str, Record],
    incoming: Sequence[tuple[str, Record]],
    *,
    why: str | None,
    now: datetime,
    stands: bool | None = False,
) -> list[Loaded]:
    """Bring trials, by what to call their folder, together with those stored; refused with every problem of all.

    Values of runs that are not stored so are asked about; with `stands` they stand as they were typed, and with None
    nothing is asked.
    """
    done: list[Loaded] = []
    problems: list[Problem] = []
    for place, record in incoming:
        runs = sum(is_made(run) for run in record.runs)
        before = stored.get(record.trial.name)
        doubts = [] if stands is None else _doubts(record, before, place)
        said = tuple(stands_words(spot, doubt) for spot, _, doubt in doubts) if stands else ()
        if stands:
            record = _standing(record, doubts)  # noqa: PLW2901 - the same, looked at
        else:
            problems += [doubt.problem(spot, stands_in_file()) for spot, _, doubt in doubts]
        if before is None:
            done.append(Loaded(record, runs, said=said))
            continue
        if why is None and is_another(before, record):
            problems.append(another_problem(place, record.trial.name))
            continue
        merged = merge(before, record, why=why, now=now, place=place)
        problems += merged.problems
        done.append(Loaded(merged.record, runs, merged, said))
    if problems:
        raise Refused(problems)
    return done


def _doubts(record: Record, before: Record | None, place: str) -> list[tuple[str, Run, Doubt]]:
    """What is asked about the runs that are not stored so: its place, the run, and what."""
    known = {run.key: flat_run(run) for run in before.runs} if before is not None else {}
    asked = doubts_of_all(record.trial, record.runs)
    return [
        (f"{f'{place}/{RUNS_FILE} pair {run.pair} {run.arm}'.rstrip()}, {doubt.field}", run, doubt)
        for run, doubt in asked
        if flat_run(run) != known.get(run.key)
    ]


def _standing(record: Record, doubts: Sequence[tuple[str, Run, Doubt]]) -> Record:
    """The record, with the word that these values stand."""
    fields: dict[tuple[int, str], list[str]] = {}
    for _, run, doubt in doubts:
        fields.setdefault(run.key, []).append(doubt.field)
    runs = tuple(as_typed(run, fields[run.key]) if run.key in fields else run for run in record.runs)
    return record.model_copy(update={"runs": runs})
