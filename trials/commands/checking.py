"""All fair-run checks of one trial, what is missing, and pictures that are not as they were."""

from dataclasses import dataclass
from pathlib import Path

from schemas import Finding, Record
from trials.commands.photos import photo_problems
from trials.commands.printing import say
from trials.fairness.checklist import judge_all
from trials.fairness.evidence import gather
from trials.fairness.missing import still_missing
from trials.verdicts.reach import refuse_what_comes_later
from trials.wording.lists import count_of, in_pairs

SHOWN = ("STOP", "WEAKENS", "NOTE", "not recorded")


@dataclass(frozen=True, slots=True)
class Checked:
    """What was found.

    Attributes
    ----------
    trial
        Its name.
    findings
        One or more for each check, stops first.
    missing
        What has to come before a verdict; empty at the planned end.
    pictures
        Those that are missing or changed.
    set_aside
        Why the trial was set aside, where it was.
    """

    trial: str
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

    Raises
    ------
    NotYet
        A graded trial, an audit or one whose main measure is a size class.
    """
    refuse_what_comes_later(record.trial)
    evidence = gather(record.trial, record.runs)
    return Checked(
        trial=record.trial.name,
        findings=judge_all(evidence),
        missing=still_missing(evidence),
        pictures=tuple(str(problem) for problem in photo_problems(record, book)),
        set_aside=record.trial.set_aside,
    )


def print_checked(checked: Checked) -> None:
    """Print the findings, stops first, and what is missing."""
    counts = [
        count_of(len(checked.of("STOP")), "stop"),
        f"{len(checked.of('WEAKENS'))} that weaken" if len(checked.of("WEAKENS")) != 1 else "1 that weakens",
        count_of(len(checked.of("NOTE")), "note"),
    ]
    good = [finding.check for finding in checked.of("ok")]
    say(f"{checked.trial}: {', '.join(counts)}; {count_of(len(good), 'check')} found good.")
    if checked.set_aside is not None:
        say(f"Set aside: {checked.set_aside}.")
    for severity in SHOWN:
        for finding in checked.of(severity):
            say(f"{severity.capitalize() if severity != 'STOP' else severity}, {finding.check}: {finding.message}")
    if good:
        say(f"Found good: {', '.join(good)}.")
    for text in checked.pictures:
        say(f"Picture: {text}.")
    for text in checked.missing:
        say(f"Missing: {text}")
    say(_next_words(checked))


def _next_words(checked: Checked) -> str:
    if checked.stops:
        pairs = sorted({number for finding in checked.stops for number in finding.pairs})
        where = f" ({in_pairs(pairs)})" if pairs else ""
        return f"No verdict while a stop stands{where}: mend it, or plan a new trial."
    if checked.missing:
        return "The verdict waits for what is missing; nothing here tells which set-up leads."
    return f"Ready: samedirt verdict {checked.trial}"


def as_json(checked: Checked) -> dict[str, object]:
    """All of it, for a plain reader."""
    return {
        "trial": checked.trial,
        "findings": [finding.model_dump(mode="json") for finding in checked.findings],
        "missing": list(checked.missing),
        "pictures": list(checked.pictures),
        "set_aside": checked.set_aside,
        "stops": len(checked.stops),
    }
