"""A run struck, or a trial set aside: with its reason, nothing overwritten, a spare called in; and taken back."""

from datetime import datetime

from schemas import Correction, Record, Run
from trials.commands.loading import refuse_no_reason, remember_words
from trials.commands.tags_found import run_tagged
from trials.errors import Problem, Refused
from trials.fairness.missing import last_called, runs_to_come
from trials.logbook.logbook import Logbook, Pages
from trials.measures.catalogue import measure_named
from trials.records.flat import text_of
from trials.sheets.form import VOID_REASONS
from trials.wording.lists import and_list

VOID, KNOWN, ASIDE = "void", "void_gold_known", "set_aside"


def reason_of(tag: str | None, why: str | None, *, take_back: bool) -> str:
    """The reason as it is kept: one of those we know in its one spelling, or the person's own words.

    Raises
    ------
    Refused
        There is none, or it can't be kept.

    Examples
    --------
    >>> reason_of("HTK", " Pump_Failed ", take_back=False)
    'pump failed'
    """
    text = (why or "").strip()
    if not text:
        if take_back:
            says = "is needed: why it counts again"
        elif tag is None:
            says = "is needed: why the whole trial is set aside. To strike one run, write its tag behind the name"
        else:
            says = f"is needed: one of {', '.join(VOID_REASONS)}, or your own words"
        raise Refused([Problem("--why", says)])
    refuse_no_reason(text)
    plain = text.casefold().replace("_", " ").replace("-", " ")
    return plain if plain in VOID_REASONS else text


def strike(book: Logbook, name: str, tag: str, why: str, *, gold_known: bool | None, now: datetime) -> str:
    """Strike a run; says what was done, and which spare takes its pair's place.

    Parameters
    ----------
    book, name, tag
        The logbook, the trial, and the tag as it was typed.
    why
        The reason.
    gold_known
        Whether its gold was known then; None where that was not said. Gold that is in the logbook is known.
    now
        The moment.

    Raises
    ------
    Refused
        No such trial or tag, a run struck already, or nothing said of its gold.
    """
    book.read(name)
    with book.writing() as pages:
        (record,) = pages.records([name])
        run = run_tagged(book, record, tag)
        if run.is_void:
            raise Refused([Problem(f"tag {run.tag}", f"was struck already: {run.void}")])
        is_known = _gold_known(record, run, gold_known)
        struck = run.model_copy(update={VOID: why, KNOWN: is_known})
        told = [(VOID, why), (KNOWN, "yes" if is_known else "no")]
        notes = tuple(_note(now, run, field, None, new, why) for field, new in told)
        changed = _with_run(record, struck, notes)
        _store(pages, changed)
    seen = " Its gold is in the logbook already, so it was known." if is_known and gold_known is None else ""
    return f"{run.tag or f'pair {run.pair}'} is struck: {why}.{seen} {_next_words(record, changed, run)}"


def _gold_known(record: Record, run: Run, said: bool | None) -> bool:
    """Whether the gold of a run was known when it was struck: as was said, and surely where it is stored."""
    is_stored = any(
        getattr(run, name) is not None for name in measure_named(record.trial.measure).inputs if name != "seeded"
    )
    if is_stored and said is False:
        says = f"the gold of {run.tag} is in the logbook already, so it could be known; write --gold-known"
        raise Refused([Problem("--gold-not-known", says)])
    if said is None and not is_stored:
        says = "is needed: --gold-known or --gold-not-known. Runs struck after weighing may be struck for their gold"
        raise Refused([Problem("--gold-known", says)])
    return is_stored or bool(said)


def _note(now: datetime, run: Run, field: str, old: str | None, new: str | None, why: str) -> Correction:
    return Correction(when=now, pair=run.pair, arm=run.arm or None, field=field, old=old, new=new, why=why)


def _with_run(record: Record, run: Run, notes: tuple[Correction, ...]) -> Record:
    runs = tuple(run if one.key == run.key else one for one in record.runs)
    return record.model_copy(update={"runs": runs, "corrections": (*record.corrections, *notes)})


def _store(pages: Pages, record: Record) -> None:
    pages.store([record])
    remember_words(pages, [record])


def _next_words(before: Record, record: Record, struck: Run) -> str:
    """What follows from it: the pair leaves the sum, and a spare is called in where there is one."""
    trial = record.trial
    if trial.audit:
        left = "It stays on record, and leaves the sum."
    else:
        both = "Both halves" if len(trial.arms) == 2 else "All runs"
        left = f"{both} of pair {struck.pair} leave the sum."
    was, last = (last_called(trial, one.runs) for one in (before, record))
    if last == was:
        already = any(run.is_void and run.pair == struck.pair for run in before.runs) and not trial.audit
        return left if already else f"{left} No spare is left: the trial closes short."
    tags = sorted(run.tag for run in runs_to_come(trial, record.runs) if run.pair == last and run.tag)
    if not tags:
        return f"{left} Spare pair {last} takes its place."
    if trial.audit:
        return f"{left} Spare run {last} (tag {tags[0]}) is called in."
    return f"{left} Spare pair {last} (tags {and_list(tags)}) is called in: run it as the sheet says."


def set_aside(book: Logbook, name: str, why: str, now: datetime) -> str:
    """Set a whole trial aside; it stays on record and says so.

    Raises
    ------
    Refused
        No such trial, or one set aside already.
    """
    book.read(name)
    with book.writing() as pages:
        (record,) = pages.records([name])
        was = record.trial.set_aside
        if was is not None:
            raise Refused([Problem(name, f"was set aside already: {was}")])
        _store(pages, _with_aside(record, why, Correction(when=now, field=ASIDE, old=None, new=why, why=why)))
    return f"{name} is set aside: {why}. It stays in the logbook; its verdict, its report and every listing say so."


def _with_aside(record: Record, why: str | None, note: Correction) -> Record:
    trial = record.trial.model_copy(update={ASIDE: why})
    return record.model_copy(update={"trial": trial, "corrections": (*record.corrections, note)})


def take_back(book: Logbook, name: str, tag: str | None, why: str, now: datetime) -> str:
    """Let a run count again that was struck by mistake, or a trial that was set aside; the strike stays on record.

    Raises
    ------
    Refused
        No such trial or tag, or nothing to take back.
    """
    book.read(name)
    with book.writing() as pages:
        (record,) = pages.records([name])
        if tag is None:
            was = record.trial.set_aside
            if was is None:
                raise Refused([Problem(name, "is not set aside; to take back the strike of a run, write its tag")])
            note = Correction(when=now, field=ASIDE, old=was, new=None, why=why)
            _store(pages, _with_aside(record, None, note))
            return f"{name} is not set aside any more: {why}. That it was stays on record."
        run = run_tagged(book, record, tag)
        if not run.is_void:
            raise Refused([Problem(f"tag {run.tag}", "is not struck, so there is nothing to take back")])
        standing = run.model_copy(update={VOID: None, KNOWN: None})
        told = [(VOID, run.void), (KNOWN, text_of(run.void_gold_known))]
        notes = tuple(_note(now, run, field, old, None, why) for field, old in told if old is not None)
        _store(pages, _with_run(record, standing, notes))
    return f"{run.tag or f'pair {run.pair}'} counts again: {why}. That it was struck stays on record."
