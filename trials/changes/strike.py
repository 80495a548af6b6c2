"""A run struck, or a whole trial set aside, with its reason, nothing overwritten; and either taken back."""

from collections.abc import Sequence
from datetime import datetime

from schemas import Correction, Record, Run
from trials.changes.correction import correction_of
from trials.changes.find_run import run_tagged
from trials.errors import Problem, Refused
from trials.fairness.missing import last_called, runs_to_come
from trials.measures.catalogue import measure_named
from trials.records.flat import text_of
from trials.wording.lists import and_list
from trials.wording.steps import step

VOID, KNOWN, ASIDE = "void", "void_gold_known", "set_aside"
"""The fields of corrections that tell of a strike, and of a trial set aside."""


def strike(record: Record, tag: str, why: str, *, gold_known: bool | None, now: datetime) -> Record:
    """Strike a run; it stays on record with its reason. Gold that is stored is known.

    Refused: no such tag, a run struck already, or nothing said of whether its gold was known.
    """
    run = run_tagged(record, tag)
    if run.is_void:
        raise Refused([Problem(f"tag {run.tag}", f"was struck already: {run.void}")])
    is_known = _gold_known(record, run, said=gold_known)
    told = [(VOID, why), (KNOWN, text_of(is_known))]
    notes = [correction_of(run, field, None, new, why=why, now=now) for field, new in told]
    return _with_run(record, run.model_copy(update={VOID: why, KNOWN: is_known}), notes)


def _with_run(record: Record, run: Run, notes: Sequence[Correction]) -> Record:
    runs = tuple(run if one.key == run.key else one for one in record.runs)
    return record.model_copy(update={"runs": runs, "corrections": (*record.corrections, *notes)})


def _gold_known(record: Record, run: Run, *, said: bool | None) -> bool:
    """Whether the gold of a run was known when it was struck: as was said, and surely where it is stored."""
    is_stored = has_gold(record, run)
    if is_stored and said is False:
        says = f"the gold of {run.tag} is in the logbook already, so it could be known"
        raise Refused([Problem(step("--gold-not-known", ""), says, step("write --gold-known", "say that it was"))])
    if said is None and not is_stored:
        says = step(
            "is needed: --gold-known or --gold-not-known. Runs",
            "Was its gold known when you struck it? Say yes or no: runs",
        )
        why = "struck after weighing may be struck for their gold"
        raise Refused([Problem(step("--gold-known", ""), f"{says} {why}")])
    return is_stored or bool(said)


def has_gold(record: Record, run: Run) -> bool:
    """Whether gold of a run is stored, so that it could be known."""
    inputs = measure_named(record.trial.measure).inputs
    return any(getattr(run, name) is not None for name in inputs if name != "seeded")


def count_again(record: Record, tag: str, why: str, now: datetime) -> Record:
    """Let a run count again that was struck by mistake; that it was struck stays on record. Refused where it is not."""
    run = run_tagged(record, tag)
    if not run.is_void:
        raise Refused([Problem(f"tag {run.tag}", "is not struck, so there is nothing to take back")])
    told = [(VOID, run.void), (KNOWN, text_of(run.void_gold_known))]
    notes = [correction_of(run, field, old, None, why=why, now=now) for field, old in told if old is not None]
    return _with_run(record, run.model_copy(update={VOID: None, KNOWN: None}), notes)


def struck_words(before: Record, after: Record, tag: str, *, gold_known: bool | None) -> str:
    """What was done, and which spare takes the place of the pair."""
    run = run_tagged(after, tag)
    seen = " Its gold is in the logbook already, so it was known." if run.void_gold_known and gold_known is None else ""
    return f"{run.tag} is struck: {run.void}.{seen} {_next_words(before, after, run)}"


def _next_words(before: Record, after: Record, struck: Run) -> str:
    """What follows from it: the pair leaves the sum, and a spare is called in where there is one."""
    trial = after.trial
    match len(trial.arms):
        case 1:
            left = "It stays on record, and leaves the sum."
        case 2:
            left = f"Both halves of pair {struck.pair} leave the sum."
        case _:
            left = f"It leaves the sum; the other runs of block {struck.pair} stay in it."
    was, last = (last_called(trial, one.runs) for one in (before, after))
    if last == was:
        already = any(run.is_void and run.pair == struck.pair for run in before.runs) and not trial.audit
        return left if already else f"{left} No spare is left: the trial closes short."
    tags = sorted(run.tag for run in runs_to_come(trial, after.runs) if run.pair == last and run.tag)
    spare = f"Spare {'pair' if len(trial.arms) == 2 else 'block'} {last}"
    if not tags:
        return f"{left} {spare} takes its place."
    if trial.audit:
        return f"{left} Spare run {last} (tag {tags[0]}) is called in."
    return f"{left} {spare} (tags {and_list(tags)}) is called in: run it as the sheet says."


def set_trial_aside(record: Record, why: str, now: datetime) -> Record:
    """Set a whole trial aside; refused where it was already."""
    was = record.trial.set_aside
    if was is not None:
        raise Refused([Problem(record.trial.name, f"was set aside already: {was}")])
    return _with_aside(record, why, correction_of(None, ASIDE, None, why, why=why, now=now))


def take_trial_back(record: Record, why: str, now: datetime) -> Record:
    """Let a trial count again that was set aside by mistake; that it was stays on record. Refused where it is not."""
    was = record.trial.set_aside
    if was is None:
        says = "to take back the strike of a run, write its tag"
        raise Refused([Problem(record.trial.name, "is not set aside", says)])
    return _with_aside(record, None, correction_of(None, ASIDE, was, None, why=why, now=now))


def _with_aside(record: Record, why: str | None, note: Correction) -> Record:
    trial = record.trial.model_copy(update={ASIDE: why})
    return record.model_copy(update={"trial": trial, "corrections": (*record.corrections, note)})
