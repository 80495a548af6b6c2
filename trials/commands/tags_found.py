"""A tag as it was typed -> the run it is on; or what is wrong with it."""

from schemas import Record, Run, is_made
from trials.errors import Problem, Refused
from trials.fairness.missing import last_called, runs_lacking
from trials.logbook.logbook import Logbook
from trials.plans.tags import is_drawn_tag, nearest_tags, tag_problem
from trials.wording.lists import and_list


def run_tagged(book: Logbook, record: Record, tag: str) -> Run:
    """The run that has a tag.

    Raises
    ------
    Refused
        A tag whose last letter does not fit, of another trial or of none.
    """
    known = {run.tag.upper(): run for run in record.runs if run.tag}
    run = known.get(tag.strip().upper())
    if run is None:
        says = _no_such_tag(book, record.trial.name, tuple(known), tag)
        raise Refused([Problem(f"tag {tag.strip() or 'blank'}", says)])
    return run


def run_to_enter(book: Logbook, record: Record, tag: str, *, correcting: bool, filling: bool = False) -> Run:
    """The run that has a tag and can be entered, or corrected.

    Parameters
    ----------
    book, record
        The logbook, and the trial.
    tag
        As it was typed.
    correcting
        Whether what is stored is to become another.
    filling
        Whether only single answers are given, so that blanks of a run made already may be filled.

    Raises
    ------
    Refused
        As `run_tagged`; a run that was struck, is entered already, is a spare not called in, or is to be corrected and
        not entered yet; a trial that was set aside.
    """
    name = record.trial.name
    run = run_tagged(book, record, tag)
    says = None
    if record.trial.set_aside is not None:
        says = f"{name} was set aside ({record.trial.set_aside}), so no run of it is entered any more"
    elif run.is_void:
        says = f"was struck ({run.void}) and is not entered any more"
    elif is_made(run):
        is_whole = all(one.key != run.key for one, _ in runs_lacking(record.trial, record.runs))
        if is_whole and not correcting and not filling:
            when = f" ({run.session})" if run.session else ""
            says = f'entered already{when}. Correct it: samedirt enter {name} {run.tag} --again --why "the reason"'
    elif correcting:
        says = f"is not entered yet, so there is nothing to correct; samedirt enter {name} {run.tag}"
    elif run.pair > last_called(record.trial, record.runs) and not record.trial.audit:
        strike = f"samedirt void {name} TAG"
        says = f"is a spare, kept for a pair that is void, and none is. Strike the run that went wrong first: {strike}"
    if says is not None:
        raise Refused([Problem(f"tag {run.tag}", says)])
    return run


def _no_such_tag(book: Logbook, name: str, known: tuple[str, ...], typed: str) -> str:
    drawn = bool(known) and all(is_drawn_tag(tag) for tag in known)
    problem = tag_problem(typed) if drawn else None
    near = nearest_tags(typed, known)
    if problem is not None:
        hint = f" Here there is {and_list(near)}." if near and near[0] not in problem else ""
        return f"{problem.partition(': ')[2]}{hint}"
    tag = typed.strip().upper()
    with book.reading() as pages:
        others = [record.trial.name for record in pages.records() if record.trial.name != name and _has(record, tag)]
    if others:
        return f"is a tag of {and_list(others)}, not of {name}"
    return f"is no tag of {name}" + (f". {and_list(near)}?" if near else "; look at the sheet")


def _has(record: Record, tag: str) -> bool:
    return any(run.tag is not None and run.tag.upper() == tag for run in record.runs)
