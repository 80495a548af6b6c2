"""A run struck, or a trial set aside: with its reason, nothing overwritten, a spare called in."""

from datetime import datetime

from schemas import Correction, Record, Run
from trials.commands.loading import refuse_no_reason, remember_words
from trials.commands.tags_found import run_tagged
from trials.entry.sheet_form import VOID_REASONS
from trials.errors import Problem, Refused
from trials.logbook.logbook import Logbook
from trials.measures.pairing import pair_up
from trials.wording.lists import and_list


def refuse_half_told(tag: str | None, why: str | None, gold_known: bool | None) -> None:
    """Refuse a strike without its reason, or without saying whether the gold was known."""
    problems = []
    if why is None or not why.strip():
        problems.append(Problem("--why", f"is needed: one of {', '.join(VOID_REASONS)}, or your own words"))
    if tag is not None and gold_known is None:
        says = "is needed: --gold-known or --gold-not-known. Runs struck after weighing may be struck for their gold"
        problems.append(Problem("--gold-known", says))
    if problems:
        raise Refused(problems)
    refuse_no_reason(why or "")


def strike(book: Logbook, name: str, tag: str, why: str, *, gold_known: bool, now: datetime) -> str:
    """Strike a run; says what was done, and which spare takes its pair's place.

    Raises
    ------
    Refused
        No such trial or tag, or a run struck already.
    """
    book.read(name)
    with book.writing() as pages:
        (record,) = pages.records([name])
        run = run_tagged(book, record, tag)
        if run.is_void:
            raise Refused([Problem(f"tag {run.tag}", f"was struck already: {run.void}")])
        struck = run.model_copy(update={"void": why.strip(), "void_gold_known": gold_known})
        told = [("void", why.strip()), ("void_gold_known", "yes" if gold_known else "no")]
        notes = tuple(
            Correction(when=now, pair=run.pair, arm=run.arm or None, field=field, old=None, new=new, why=why.strip())
            for field, new in told
        )
        runs = tuple(struck if one.key == run.key else one for one in record.runs)
        changed = record.model_copy(update={"runs": runs, "corrections": (*record.corrections, *notes)})
        pages.store([changed])
        remember_words(pages, [changed])
    return f"{run.tag or f'pair {run.pair}'} is struck: {why.strip()}. {_next_words(changed, run)}"


def _next_words(record: Record, struck: Run) -> str:
    """What follows from it: the pair leaves the sum, and a spare is called in where there is one."""
    trial = record.trial
    if len(trial.arms) != 2:
        return "It stays on record, and leaves the sum."
    pairing = pair_up(trial, record.runs)
    spares = [pair for pair in pairing.pairs if trial.pairs < pair.number <= trial.pairs + trial.spares]
    called = spares[: len(pairing.void)]
    fresh = [pair for pair in called if pair.state == "open"]
    left = f"Both halves of pair {struck.pair} leave the sum."
    if not fresh:
        gone = "" if len(pairing.void) <= len(spares) else " No spare is left: the trial closes short."
        return left + gone
    pair = fresh[-1]
    tags = [run.tag for run in pair.halves if run.tag]
    named = f" (tags {and_list(sorted(tags))})" if tags else ""
    return f"{left} Spare pair {pair.number}{named} is called in: run it as the sheet says."


def set_aside(book: Logbook, name: str, why: str, now: datetime) -> str:
    """Set a whole trial aside; it stays on record and says so."""
    book.read(name)
    with book.writing() as pages:
        (record,) = pages.records([name])
        was = record.trial.set_aside
        if was is not None:
            raise Refused([Problem(name, f"was set aside already: {was}")])
        note = Correction(when=now, field="set_aside", old=None, new=why.strip(), why=why.strip())
        changed = record.model_copy(
            update={
                "trial": record.trial.model_copy(update={"set_aside": why.strip()}),
                "corrections": (*record.corrections, note),
            }
        )
        pages.store([changed])
        remember_words(pages, [changed])
    return f"{name} is set aside: {why.strip()}. It stays in the logbook, and every listing says so."
