"""A tag as it was typed -> the run it is on; or what is wrong with it."""

from schemas import Record, Run, is_made
from trials.errors import Problem, Refused
from trials.fairness.missing import last_called, runs_lacking
from trials.plans.tags import is_drawn_tag, nearest_tags, tag_fault
from trials.wording.lists import and_list, capital
from trials.wording.steps import correct_step, enter_step, step

ELSEWHERE = "tag may be of another trial"
"""The code of a problem with a tag that is none of this trial, and may be one of another."""


def run_tagged(record: Record, tag: str) -> Run:
    """The run that has a tag; refused where its last letter does not fit, or it is none of the trial."""
    known = {run.tag.upper(): run for run in record.runs if run.tag}
    run = known.get(tag.strip().upper())
    if run is None:
        raise Refused([_no_such_tag(record.trial.name, tuple(known), tag.strip())])
    return run


def _no_such_tag(name: str, known: tuple[str, ...], tag: str) -> Problem:
    place = f"tag {tag or 'blank'}"
    drawn = bool(known) and all(is_drawn_tag(one) for one in known)
    fault = tag_fault(tag) if drawn else None
    near = nearest_tags(tag, known)
    if fault is not None:
        hint = f" Here there is {and_list(near)}." if near and near[0][:2] != tag[:2].upper() else ""
        return Problem(place, f"{fault}{hint}")
    if near:
        return Problem(place, f"is no tag of {name}. {and_list(near)}?", code=ELSEWHERE)
    return Problem(place, f"is no tag of {name}", "look at the sheet", ELSEWHERE)


def run_to_enter(record: Record, tag: str, *, correcting: bool, filling: bool = False) -> Run:
    """The run that has a tag and can be entered, or corrected; with `filling`, one made already may have blanks filled.

    Refused as by `run_tagged`, and: a run that was struck, is entered already, is a spare not called in, or is to be
    corrected and not entered yet; a trial that was set aside.
    """
    run = run_tagged(record, tag)
    name, place = record.trial.name, f"tag {run.tag}"
    if record.trial.set_aside is not None:
        says = f"{name} was set aside ({record.trial.set_aside}), so no run of it is entered any more"
        raise Refused([Problem(place, says)])
    if run.is_void:
        raise Refused([Problem(place, f"was struck ({run.void}) and is not entered any more")])
    if is_made(run):
        is_whole = all(one.key != run.key for one, _ in runs_lacking(record.trial, record.runs))
        if is_whole and not correcting and not filling:
            when = f" ({run.session})" if run.session else ""
            raise Refused([Problem(place, f"entered already{when}. {capital(correct_step(name, run.tag))}")])
    elif correcting:
        says = "is not entered yet, so there is nothing to correct"
        raise Refused([Problem(place, says, enter_step(name, run.tag))])
    elif run.pair > last_called(record.trial, record.runs) and not record.trial.audit:
        strike = f"Strike the run that went wrong first{step(f': samedirt void {name} TAG', ', under Runs')}"
        raise Refused([Problem(place, f"is a spare, kept for a pair that is void, and none is. {strike}")])
    return run
