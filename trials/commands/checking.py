"""All fair-run checks of one trial, what is missing, and pictures that are not as they were."""

from dataclasses import dataclass
from pathlib import Path

from schemas import Finding, Record, is_made
from trials.commands.printing import say
from trials.fairness.blind import findings_so_far
from trials.fairness.missing import missing_of, runs_to_come
from trials.files.pictures import photo_problems
from trials.wording.lists import count_of, in_pairs

HEADS = {"STOP": "Stops", "WEAKENS": "Weakens it", "NOTE": "Small print"}


@dataclass(frozen=True, slots=True)
class Checked:
    """What was found.

    Attributes
    ----------
    trial, kind
        Its name, and what people call such a trial.
    made, to_come, pairs
        Runs made, those still to be made, and pairs of which both halves were.
    findings
        One or more for each check, stops first; none for a trial that has no pairs.
    missing
        What has to come before a verdict; empty at the planned end.
    pictures
        Those that are missing or changed.
    set_aside
        Why the trial was set aside, where it was.
    """

    trial: str
    kind: str
    made: int
    to_come: int
    pairs: int
    findings: tuple[Finding, ...]
    missing: tuple[str, ...]
    pictures: tuple[str, ...]
    set_aside: str | None

    @property
    def stops(self) -> tuple[Finding, ...]:
        """The findings that block a verdict."""
        return self.of("STOP")

    def of(self, severity: str) -> tuple[Finding, ...]:
        """The findings of one severity."""
        return tuple(finding for finding in self.findings if finding.severity == severity)


def look_over(record: Record, book: Path) -> Checked:
    """Ask every check of a trial.

    Parameters
    ----------
    record
        The trial, from its plan to its last run. The checks are for pairs: of a graded trial or an audit it is only
        told what is missing.
    book
        The logbook, from whose folder pictures are found.
    """
    trial, runs = record.trial, record.runs
    made = [run.pair for run in runs if is_made(run)]
    return Checked(
        trial=trial.name,
        kind=trial.kind,
        made=len(made),
        to_come=len(runs_to_come(trial, runs)),
        pairs=sum(made.count(number) == len(trial.arms) for number in set(made)),
        findings=findings_so_far(trial, runs) if len(trial.arms) == 2 else (),
        missing=missing_of(trial, runs),
        pictures=tuple(str(problem) for problem in photo_problems(record, book)),
        set_aside=trial.set_aside,
    )


def print_checked(checked: Checked) -> None:
    """Print the findings, stops first, and what is missing."""
    say(_first_line(checked))
    if checked.set_aside is not None:
        say(f"Set aside: {checked.set_aside}. Nothing of it counts.")
    if checked.kind in ("graded", "audit"):
        say(f"The fair-run checks are for trials of pairs; of this one ({checked.kind}) only what is missing is told.")
    for severity, head in HEADS.items():
        for finding in checked.of(severity):
            say(f"{head} ({finding.check}): {finding.message}")
    if checked.made:
        _print_quiet(checked)
    for text in checked.pictures:
        say(f"Picture {text}.")
    for text in checked.missing:
        say(f"Missing: {text}")
    say(_next_words(checked))


def _first_line(checked: Checked) -> str:
    made = f"{checked.trial}: {checked.made} of {count_of(checked.made + checked.to_come, 'run')} in"
    if not checked.findings:
        return f"{made}."
    bites = [
        f"{len(found)} {one if len(found) == 1 else many}"
        for severity, one, many in (
            ("STOP", "stops the verdict", "stop the verdict"),
            ("WEAKENS", "weakens it", "weaken it"),
            ("NOTE", "is small print", "are small print"),
        )
        if (found := checked.of(severity))
    ]
    count = count_of(len({one.check for one in checked.findings}), "check")
    return f"{made}; {count}{': ' + ', '.join(bites) if bites else ', nothing found'}."


def _print_quiet(checked: Checked) -> None:
    unknown = checked.of("not recorded")
    if unknown and not checked.pairs:
        say(f"Too early to check: {', '.join(finding.check for finding in unknown)}.")
    elif unknown:
        say("Not recorded, so not checked:")
        for finding in unknown:
            message = finding.message.rstrip(".")
            say(f"{finding.check}: {message[:1].lower()}{message[1:]}", indent=4)
    good = [finding.check for finding in checked.of("ok")]
    if good:
        say(f"Checked and found well: {', '.join(good)}.")


def _next_words(checked: Checked) -> str:
    if checked.set_aside is not None:
        return f"If that was a mistake: samedirt void {checked.trial} --take-back"
    if checked.stops:
        pairs = sorted({number for finding in checked.stops for number in finding.pairs})
        where = f" ({in_pairs(pairs)})" if pairs else ""
        return f"No verdict while a stop stands{where}: mend it, or plan a new trial."
    if checked.missing and checked.findings:
        return f"The verdict waits for that. Next: samedirt enter {checked.trial}"
    if checked.missing:
        return f"Next: samedirt enter {checked.trial}"
    return f"Ready: samedirt verdict {checked.trial}" if checked.findings else "Nothing is missing."


def as_json(checked: Checked) -> dict[str, object]:
    """All of it, for a plain reader."""
    return {
        "trial": checked.trial,
        "kind": checked.kind,
        "runs_made": checked.made,
        "runs_to_come": checked.to_come,
        "findings": [finding.model_dump(mode="json") for finding in checked.findings],
        "missing": list(checked.missing),
        "pictures": list(checked.pictures),
        "set_aside": checked.set_aside,
        "stops": len(checked.stops),
    }
