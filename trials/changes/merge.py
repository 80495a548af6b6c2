"""Loading again: what is new is added, what is equal changes nothing, what differs needs a reason."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from schemas import Amendment, Correction, Photo, Record, Run, Trial, is_made
from trials.changes.correction import correction_of
from trials.changes.lock import is_locked
from trials.errors import Problem
from trials.records.cross_check import cross_check
from trials.records.flat import flat_run, flat_trial
from trials.records.keys import RUNS_FILE
from trials.wording.steps import step

# Fields of a plan that are locked with it: a change to them is an amendment. The rest may be corrected.
LOCKED = ("measure", "pairs", "spares", "worth_having", "look_after", "audit", "locked", "seed")
LOCKED_SECTIONS = ("limits.", "price.", "change.")
AS_TYPED = "as_typed"
"""What a run says of its own values: it needs no reason."""


@dataclass(frozen=True, slots=True)
class Merged:
    """What becomes of a stored record when a folder is loaded again.

    record: what is to be stored; the stored one where nothing changed.
    problems: differences that need a reason; with any, nothing may be stored.
    replanned: changes to a plan that was not locked, its runs not yet made among them.
    absent: stored runs that the folder does not hold; they stay.
    """

    record: Record
    problems: tuple[Problem, ...] = ()
    added: int = 0
    filled: int = 0
    corrected: int = 0
    amended: int = 0
    replanned: int = 0
    absent: int = 0

    @property
    def changes_anything(self) -> bool:
        """Whether there is something to store."""
        return bool(self.added or self.filled or self.corrected or self.amended or self.replanned)


def merge(
    stored: Record, incoming: Record, *, why: str | None, now: datetime, place: str, by_tag: bool = False
) -> Merged:
    """Bring a folder, called `place` in problems, together with what is stored of the same trial.

    A blank that is filled in is an addition. A value taken out is a change. Without `why` changes are refused; one that
    the incoming corrections already explain is taken with them. Stored runs the folder does not hold stay, and must fit
    with those it does. A plan that is not locked becomes as the folder has it. With `by_tag` no problem names an arm.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),),
    ...               gear=Gear(kind="sluice"))
    >>> one = Record(trial=trial, runs=(Run(pair=1, arm="baseline", gold_mg=3.0),))
    >>> two = Record(trial=trial, runs=(Run(pair=1, arm="baseline", gold_mg=4.0),))
    >>> print(merge(one, two, why=None, now=datetime(2026, 5, 9), place="mat").problems[0])
    mat, pair 1 baseline gold_mg: stored 3, here 4; put the old value back, or load again with --why "the reason"
    """
    new_corrections = [c for c in incoming.corrections if c not in stored.corrections]
    if not is_locked(stored):
        return _planned_anew(stored, incoming, new_corrections)
    found = _Differences(why, now)
    trial = _merge_plan(stored, incoming.trial, place, found)
    runs = _merge_runs(
        stored.runs, incoming.runs, new_corrections, lambda run: f"{place}, {_named(run, by_tag=by_tag)}", found
    )
    if found.problems:
        return Merged(stored, tuple(found.problems))
    keys = {run.key for run in incoming.runs}
    merged = Merged(
        record=Record(trial=trial, runs=runs, corrections=(*stored.corrections, *new_corrections, *found.corrections)),
        problems=tuple(cross_check(trial, runs, f"{place} (with the runs stored before), {RUNS_FILE}", by_tag=by_tag)),
        added=found.added,
        filled=found.filled,
        corrected=len(found.corrections) + len(new_corrections),
        amended=len(trial.amended) - len(stored.trial.amended),
        absent=sum(run.key not in keys for run in stored.runs),
    )
    return merged if merged.changes_anything else Merged(stored, absent=merged.absent)


def _planned_anew(stored: Record, incoming: Record, new_corrections: Sequence[Correction]) -> Merged:
    """Take the folder for the plan: no run was made, so nothing measured can be lost."""
    old, new = flat_trial(stored.trial), flat_trial(incoming.trial)
    made = {run.key for run in incoming.runs if is_made(run)}
    rows, new_rows = ({run.key: flat_run(run) for run in record.runs} for record in (stored, incoming))
    planned = sum(rows.get(key) != new_rows.get(key) for key in {*rows, *new_rows} - made)
    amended = (*stored.trial.amended, *(a for a in incoming.trial.amended if a not in stored.trial.amended))
    merged = Merged(
        record=Record(
            trial=incoming.trial.model_copy(
                update={"amended": amended, "photos": _all_photos(stored.trial, incoming.trial)}
            ),
            runs=incoming.runs,
            corrections=(*stored.corrections, *new_corrections),
        ),
        added=len(made),
        corrected=len(new_corrections),
        amended=len(amended) - len(stored.trial.amended),
        replanned=planned + sum(old.get(what) != new.get(what) for what in {*old, *new}),
    )
    return merged if merged.changes_anything else Merged(stored)


@dataclass(slots=True)
class _Differences:
    """What was found between what is stored and what is loaded; filled on the way."""

    why: str | None
    now: datetime
    problems: list[Problem] = field(default_factory=list)
    corrections: list[Correction] = field(default_factory=list)
    added: int = 0
    filled: int = 0

    def is_another(self, run: Run | None, place: str, what: str, old: str | None, new: str | None) -> None:
        """Note a value that is stored as another: a correction where there is a reason, else a problem."""
        if self.why is None:
            self.problems.append(differs(place, old, new))
        else:
            self.corrections.append(correction_of(run, what, old, new, why=self.why, now=self.now))


def _merge_plan(stored: Record, trial: Trial, place: str, found: _Differences) -> Trial:
    old, new = flat_trial(stored.trial), flat_trial(trial)
    differing = [what for what in dict.fromkeys([*old, *new]) if old.get(what) != new.get(what)]
    fresh = [a for a in trial.amended if a not in stored.trial.amended]
    photos = _all_photos(stored.trial, trial)
    if not differing and not fresh:
        found.filled += len(photos) - len(stored.trial.photos)
        return stored.trial.model_copy(update={"photos": photos})
    lost = [a for a in stored.trial.amended if a not in trial.amended]
    if lost:
        found.problems.append(Problem(place, f"the amendment of {lost[0].what} is missing", "put it back"))
        return stored.trial
    for what in differing:
        if what in LOCKED or what.startswith(LOCKED_SECTIONS):
            found.problems += _unamended(what, old.get(what), new.get(what), fresh, place)
        elif old.get(what) is not None:
            found.is_another(None, f"{place}, {what}", what, old.get(what), new.get(what))
    found.filled += len(differing) - len(found.corrections)
    return trial.model_copy(update={"amended": (*stored.trial.amended, *fresh), "photos": photos})


def _all_photos(stored: Trial, incoming: Trial) -> tuple[Photo, ...]:
    """The pictures stored, which stay whatever a folder holds, and those that are new in it."""
    known = {photo.path for photo in stored.photos}
    return (*stored.photos, *(photo for photo in incoming.photos if photo.path not in known))


def _unamended(what: str, old: str | None, new: str | None, fresh: Sequence[Amendment], place: str) -> list[Problem]:
    if any(amendment.what in (what, what.partition(".")[0]) for amendment in fresh):
        return []
    says = f"the plan is locked at {_value(old)}, here {_value(new)}"
    entry = f'put it back, or write an [[amended]] entry: when, what = "{what}", was, now, why'
    return [Problem(f"{place}, {what}", says, entry)]


def differs(place: str, old: str | None, new: str | None) -> Problem:
    """A value that is stored as another, which needs a reason."""
    reason = step('--why "the reason"', "a reason")
    again = f"put the old value back, or load again with {reason}"
    return Problem(place, f"stored {_value(old)}, here {_value(new)}", again)


def _value(text: str | None) -> str:
    return "blank" if text is None else text


def _merge_runs(
    stored: Sequence[Run],
    incoming: Sequence[Run],
    explained: Sequence[Correction],
    spot_of: Callable[[Run], str],
    found: _Differences,
) -> tuple[Run, ...]:
    result = {run.key: run for run in stored}
    for run in incoming:
        before = result.get(run.key)
        result[run.key] = run
        is_new = before is None or (is_made(run) and not is_made(before))
        found.added += is_new
        if before is None:
            continue
        old, new = flat_run(before), flat_run(run)
        if old == new:
            result[run.key] = before
            continue
        for what in dict.fromkeys([*old, *new]):
            was, now_is = old.get(what), new.get(what)
            if was == now_is:
                continue
            if was is None or what == AS_TYPED:
                found.filled += not is_new
            elif not (is_planned_again(what, before) or _is_explained(run, what, was, now_is, explained)):
                found.is_another(run, f"{spot_of(run)} {what}", what, was, now_is)
    return tuple(sorted(result.values(), key=lambda run: run.key))


def is_planned_again(field: str, before: Run) -> bool:
    """Whether a value is only the place in the order of a run not yet made, which is known once it is."""
    return field == "turn" and not is_made(before)


def _named(run: Run, *, by_tag: bool) -> str:
    return (run.tag or f"pair {run.pair}") if by_tag else f"pair {run.pair} {run.arm}".rstrip()


def _is_explained(run: Run, field: str, old: str | None, new: str | None, corrections: Sequence[Correction]) -> bool:
    wanted = (run.pair, run.arm or None, field, old, new)
    return any((c.pair, c.arm, c.field, c.old, c.new) == wanted for c in corrections)
