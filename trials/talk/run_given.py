"""What flags tell of a run, and which runs there are to enter."""

from collections.abc import Sequence

from schemas import Record, Run
from trials.errors import Problem, Refused
from trials.fairness.missing import runs_lacking, runs_to_come


def run_answers(settings: Sequence[str]) -> dict[str, str]:
    """The answers of every --set, by key; refused without a = sign, or given twice."""
    answers: dict[str, str] = {}
    problems = []
    for setting in settings:
        name, equals, text = setting.partition("=")
        if not equals:
            problems.append(Problem(f"--set {setting}", "has no = sign; write it as --set minutes=9.5"))
        elif name.strip() in answers:
            problems.append(Problem(f"--set {name.strip()}", "is given twice; keep one"))
        answers[name.strip()] = text.strip()
    if problems:
        raise Refused(problems)
    return answers


def refuse_half_asked(
    tag: str | None, settings: Sequence[str] | None, *, again: bool, why: str | None, shows_nothing: bool, stands: bool
) -> None:
    """Refuse flags that need each other."""
    problems = [Problem("--shows", "goes with --photo, and there is none")] if shows_nothing else []
    if settings and tag is None:
        problems.append(Problem("--set", "needs the tag of its run: samedirt enter NAME TAG --set minutes=9.5"))
    if stands and tag is None:
        problems.append(Problem("--as-typed", "needs the tag of its run: samedirt enter NAME TAG --as-typed"))
    if again and tag is None:
        problems.append(
            Problem("--again", "needs the tag of the run to correct: samedirt enter NAME TAG --again --why")
        )
    if again and (why is None or not why.strip()):
        problems.append(Problem("--again", 'needs its reason: --why "the reason"'))
    if why is not None and not again:
        problems.append(Problem("--why", "goes with --again, which corrects a run that was entered already"))
    if problems:
        raise Refused(problems)


def runs_waiting(record: Record) -> list[Run]:
    """The runs that are to be made, then those that lack what the main measure needs.

    Refused where runs can't be named by what stands on a jar: set aside, not drawn, or without tags.
    """
    name, says = record.trial.name, ""
    lacking = [run for run, _ in runs_lacking(record.trial, record.runs)]
    waiting = [*runs_to_come(record.trial, record.runs), *lacking]
    if record.trial.set_aside is not None:
        says = f"was set aside ({record.trial.set_aside}), so no run of it is entered any more"
    elif not record.runs:
        says = f"has no runs laid out yet; samedirt sheet {name} draws them and prints their tags"
    elif any(run.tag is None for run in waiting):
        says = f"has runs without tags, which can't be named here; load them from its folder: samedirt load {name}"
    if says:
        raise Refused([Problem(name, says)])
    return waiting
