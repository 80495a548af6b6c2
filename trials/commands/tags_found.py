"""A tag as it was typed -> the run it is on; or what is wrong with it."""

from schemas import Record, Run, is_made
from trials.errors import Problem, Refused
from trials.logbook.logbook import Logbook
from trials.planning.tags import is_drawn_tag, nearest_tags, tag_problem
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


def run_to_enter(book: Logbook, record: Record, tag: str, *, correcting: bool) -> Run:
    """The run that has a tag and can be entered, or corrected.

    Raises
    ------
    Refused
        As `run_tagged`; a run that was struck, is entered already, or is to be corrected and not entered yet.
    """
    run = run_tagged(book, record, tag)
    if run.is_void:
        raise Refused([Problem(f"tag {run.tag}", f"was struck ({run.void}) and is not entered any more")])
    if is_made(run) and not correcting:
        says = f'entered already. Correct it: samedirt enter {record.trial.name} {run.tag} --again --why "the reason"'
        raise Refused([Problem(f"tag {run.tag}", says)])
    if correcting and not is_made(run):
        raise Refused([Problem(f"tag {run.tag}", "is not entered yet, so there is nothing to correct")])
    return run


def _no_such_tag(book: Logbook, name: str, known: tuple[str, ...], typed: str) -> str:
    drawn = bool(known) and all(is_drawn_tag(tag) for tag in known)
    problem = tag_problem(typed) if drawn else None
    near = nearest_tags(typed, known)
    if problem is not None:
        hint = f" Here there is {and_list(near)}." if near and near[0] not in problem else ""
        return f"{problem}{hint}"
    tag = typed.strip().upper()
    with book.reading() as pages:
        others = [record.trial.name for record in pages.records() if record.trial.name != name and _has(record, tag)]
    if others:
        return f"{tag} is a tag of {and_list(others)}, not of {name}."
    return f"{tag} is no tag of {name}." + (f" {and_list(near)}?" if near else "")


def _has(record: Record, tag: str) -> bool:
    return any(run.tag is not None and run.tag.upper() == tag for run in record.runs)
