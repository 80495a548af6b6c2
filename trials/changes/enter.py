"""A run entered, completed or corrected: what was told of it laid over what is stored by now."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from schemas import Record, Run, Trial, is_made
from schemas.run import WEIGHED
from trials.changes.lay_over import lay_over
from trials.changes.lock import lock
from trials.changes.merge import AS_TYPED, merge
from trials.changes.run_row import RunRow
from trials.errors import Problem, Refused
from trials.fairness.missing import runs_left
from trials.records.assemble import NET_FIELD
from trials.records.doubts import as_typed, doubts_of
from trials.records.flat import flat_run
from trials.wording.lists import count_of
from trials.wording.steps import correct_step, step

NET_OF: Mapping[str, str] = {f"{base}_{side}_g": NET_FIELD[base] for base in WEIGHED for side in ("gross", "tare")}
"""The net mass that two readings of a scale make, by each of them."""


def enter_run(
    record: Record, key: tuple[int, str], row: RunRow, *, why: str | None, now: datetime, stands: bool = False
) -> Record:
    """Enter the run of a pair and arm, fill what is blank of it, or, with a reason, correct it.

    The day of `now` locks a plan that was not locked before its first run. Refused where what was told does not fit,
    nothing was told, the turn is another run's, or a value is asked about; with `stands` it stands as typed.

    >>> from schemas import Gear, Lot
    >>> from trials.changes.run_row import Taken
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"))
    >>> record = Record(trial=trial, runs=(Run(pair=1, arm="baseline", tag="HTK"),))
    >>> row = RunRow(0, "HTK", {("gold_mg", None): Taken(31.0)})
    >>> after = enter_run(record, (1, "baseline"), row, why=None, now=datetime(2026, 5, 3))
    >>> after.runs[0].gold_mg, str(after.trial.locked)
    (31.0, '2026-05-03')
    """
    before = _run(record, key)
    run, problems = run_told(row, before, record.trial, correcting=why is not None)
    if run is None:
        raise Refused(problems)
    run = _looked_at_again(record, run, before, stands=stands)
    _refuse_nothing_told(run, before)
    given_way = _giving_way(record, run, before, correcting=why is not None)
    is_first = not any(is_made(one) for one in record.runs)
    trial = lock(record, now.date()).trial if is_first else record.trial
    runs = tuple(run if one.key == key else given_way.get(one.key, one) for one in record.runs)
    incoming = Record(trial=trial, runs=runs, corrections=record.corrections)
    merged = merge(record, incoming, why=why, now=now, place=trial.name, by_tag=True)
    if merged.problems:
        raise Refused(merged.problems)
    return merged.record


def _run(record: Record, key: tuple[int, str]) -> Run:
    return next(run for run in record.runs if run.key == key)


def _refuse_nothing_told(run: Run, before: Run) -> None:
    if is_made(run):
        return
    if is_made(before):
        strike = step("samedirt void strikes", "strike, under Runs,")
        raise Refused([Problem(f"tag {run.tag}", "nothing would be left of it", f"{strike} a run that went wrong")])
    raise Refused([Problem(f"tag {run.tag}", "has no answer that says what was done or found", "nothing stored")])


def _looked_at_again(record: Record, run: Run, before: Run, *, stands: bool) -> Run:
    """The run, where none of its values is asked about that was not before, or they are said to stand."""
    others = [one for one in record.runs if one.key != run.key]
    was = doubts_of(record.trial, before, others, at_the_table=True)
    doubts = doubts_of(record.trial, run, others, at_the_table=True)
    if stands:
        return as_typed(run, [doubt.field for doubt in doubts])
    fresh = [doubt for doubt in doubts if doubt not in was]
    if fresh:
        taken_so = f"Correct it; if it stands, {step('add --as-typed', 'store it again and say so')}"
        raise Refused([doubt.problem(f"tag {run.tag}, {doubt.field}", taken_so) for doubt in fresh])
    return run


def _giving_way(record: Record, run: Run, before: Run, *, correcting: bool) -> dict[tuple[int, str], Run]:
    """The run whose turn was taken, with the turn that this one was to have, or had."""
    other = turn_taken(record.runs, run.key, run.turn)
    if other is None:
        return {}
    if is_made(other) and not (correcting and before.turn is not None):
        raise Refused([Problem(f"tag {run.tag}, turn", turn_taken_words(record, other))])
    return {other.key: other.model_copy(update={"turn": before.turn})}


def turn_taken(runs: Iterable[Run], key: tuple[int, str], turn: int | None) -> Run | None:
    """The other run that has a turn."""
    return next((one for one in runs if turn is not None and one.turn == turn and one.key != key), None)


def turn_taken_words(record: Record, other: Run) -> str:
    """What is said where a turn is that of a run made already."""
    tag = other.tag or "another run"
    way = step(f": samedirt enter {record.trial.name} {tag} --again", f" under Runs, beside {tag}")
    return f"{other.turn} is the turn of {tag}. Correct that first{way}"


def run_told(row: RunRow, stored: Run, trial: Trial, *, correcting: bool) -> tuple[Run | None, list[Problem]]:
    """The run as it is with what was told of it, or every problem; a problem names the tag and never the arm."""
    laid_out = _made_way(stored, row, correcting=correcting)
    run, problems = lay_over(row, stored.key, laid_out, trial, correcting=True)
    if run is None:  # a slip at the scale must not hide the others
        rest = replace(row, taken={key: taken for key, taken in row.taken.items() if key[0] not in NET_OF})
        problems += lay_over(rest, stored.key, laid_out, trial, correcting=True)[1]
    problems = list(dict.fromkeys([*row.problems, *problems]))
    if run is not None and not correcting:
        problems += _changes(stored, run, trial, row.spot)
    return (None, problems) if problems else (run, [])


def _made_way(stored: Run, row: RunRow, *, correcting: bool) -> Run:
    """The run as it is, without what the row is going to replace."""
    if not correcting:
        turn_is_told = ("turn", None) in row.taken
        return stored.model_copy(update={"turn": None}) if turn_is_told and not is_made(stored) else stored
    told = [name for name, label in row.taken if label is None]
    net = [NET_OF[name] for name in told if name in NET_OF]
    bare = without(stored, [*told, *net, *(name for name, label in row.emptied if label is None)])
    for name, label in row.emptied:
        if label is not None:
            bare = _without_class(bare, name, label)
    return bare


def without(run: Run, names: Sequence[str]) -> Run:
    """The run with some of its fields taken out, and with them what was typed and weighed for them."""
    gone = dict.fromkeys(name for name in names if name in Run.model_fields)
    gone |= dict.fromkeys(reading for reading, field in NET_OF.items() if field in gone)
    typed = {name: text for name, text in run.typed.items() if name not in gone}
    return Run(**{**run.model_dump(), **gone, "typed": typed, "classes": run.classes})


def _without_class(run: Run, name: str, label: str) -> Run:
    """The run with a value of one size class taken out, and with it a total that was the sum of the classes."""
    values = {part.label: getattr(part, name) for part in run.classes}
    parts = [part.model_copy(update={name: None}) if part.label == label else part for part in run.classes]
    kept = tuple(part for part in parts if any(value is not None for field, value in part if field != "label"))
    known = [value for value in values.values() if value is not None]
    is_sum = len(known) == len(values) and getattr(run, name) == sum(known)
    return run.model_copy(update={"classes": kept, **({name: None} if is_sum else {})})


def _changes(stored: Run, run: Run, trial: Trial, spot: str) -> Iterator[Problem]:
    """Each value that is stored as another, which is a correction and needs a reason."""
    if not is_made(stored):
        return
    new = flat_run(run)
    for what, old in flat_run(stored).items():
        if old is not None and old != new.get(what) and what != AS_TYPED:
            yield Problem(f"{spot}, {what}", f"is stored as {old}", correct_step(trial.name, stored.tag))


def entered_words(before: Record, after: Record, key: tuple[int, str]) -> str:
    """What was done, in one sentence: how many runs are in, or how many values were corrected and filled."""
    was, run = _run(before, key), _run(after, key)
    name = run.tag or f"pair {run.pair}"
    if not is_made(was):
        made = sum(is_made(one) for one in after.runs)
        return f"{name} stored ({made} of {made + sum(runs_left(after.trial, after.runs).values())})."
    corrected = len(after.corrections) - len(before.corrections)
    old, new = flat_run(was), flat_run(run)
    filled = sum(old.get(what) is None and text is not None for what, text in new.items())
    words = [count_of(corrected, "value corrected", "values corrected")] if corrected else []
    words += [count_of(filled, "blank filled", "blanks filled")] if filled else []
    turns = {one.key: one.turn for one in before.runs}
    moved = (one for one in after.runs if one.key != key and one.turn != turns[one.key] and is_made(one))
    told = "".join(f" {one.tag} has turn {one.turn} now." for one in moved)
    return f"{name}: {', '.join(words) or 'nothing new'}.{told}"
