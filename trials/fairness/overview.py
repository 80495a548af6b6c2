"""All that can be said of a trial from its plan to its last run: what the checks find, and what is still missing."""

from collections.abc import Sequence
from dataclasses import dataclass

from schemas import Finding, Record, Run, Trial, is_made
from schemas.verdict import Severity
from trials.fairness.audited import gather_audit, judge_audit
from trials.fairness.graded import gather_blocks, judge_levels
from trials.fairness.missing import first_steps, missing_of, runs_left
from trials.fairness.so_far import findings_so_far
from trials.wording.lists import count_of, in_pairs
from trials.wording.steps import enter_step

BITES: tuple[tuple[Severity, str, str], ...] = (
    ("STOP", "stops the verdict", "stop the verdict"),
    ("WEAKENS", "weakens it", "weaken it"),
    ("NOTE", "is a note", "are notes"),
)


@dataclass(frozen=True, slots=True)
class Overview:
    """What was found.

    trial, kind: its name, and what people call such a trial.
    is_locked: its papers are printed, or a run is in.
    runs_made, runs_to_come, pairs: runs made, those still to be made, and pairs of which both halves were.
    findings: one or more for each check, stops first; none for a trial that has no pairs.
    missing: what has to come before a verdict; empty at the planned end.
    pictures: those that are missing or changed.
    set_aside: why the trial was set aside, where it was.
    """

    trial: str
    kind: str
    is_locked: bool
    runs_made: int
    runs_to_come: int
    pairs: int
    findings: tuple[Finding, ...]
    missing: tuple[str, ...]
    pictures: tuple[str, ...]
    set_aside: str | None

    @property
    def stops(self) -> tuple[Finding, ...]:
        """The findings that block a verdict."""
        return self.of("STOP")

    def of(self, severity: Severity) -> tuple[Finding, ...]:
        """The findings of one severity."""
        return tuple(finding for finding in self.findings if finding.severity == severity)

    def first_line(self) -> str:
        """How many runs are in, and what the checks found."""
        runs = count_of(self.runs_made + self.runs_to_come, "run")
        made = (
            f"{self.trial}: {self.runs_made} of {runs} in"
            if self.runs_made
            else f"{self.trial}: not started, {runs} planned"
        )
        if not self.findings:
            return f"{made}."
        bites = [
            f"{len(found)} {one if len(found) == 1 else many}"
            for severity, one, many in BITES
            if (found := self.of(severity))
        ]
        count = count_of(len({one.check for one in self.findings}), "check")
        return f"{made}; {count}{': ' + ', '.join(bites) if bites else ', nothing found'}."

    def next_line(self) -> str:
        """What to do now."""
        if self.set_aside is not None:
            return f"If that was a mistake: samedirt void {self.trial} --take-back"
        if self.stops:
            pairs = sorted({number for finding in self.stops for number in finding.pairs})
            where = f" ({in_pairs(pairs)})" if pairs else ""
            return f"No verdict while a stop stands{where}: mend it, or plan a new trial."
        if not self.runs_made and self.missing:
            return f"Next: {first_steps(self.trial, is_locked=self.is_locked)}"
        if self.missing and self.findings:
            return f"The verdict waits for that. Next: {enter_step(self.trial)}"
        if self.missing:
            return f"Next: {enter_step(self.trial)}"
        return f"Ready: samedirt verdict {self.trial}" if self.findings else "Nothing is missing."

    def as_dict(self) -> dict[str, object]:
        """All of it, for a plain reader."""
        return {
            "trial": self.trial,
            "kind": self.kind,
            "runs_made": self.runs_made,
            "runs_to_come": self.runs_to_come,
            "findings": [finding.model_dump(mode="json") for finding in self.findings],
            "missing": list(self.missing),
            "pictures": list(self.pictures),
            "set_aside": self.set_aside,
            "stops": len(self.stops),
        }


def _findings(trial: Trial, runs: Sequence[Run]) -> tuple[Finding, ...]:
    match trial.kind:
        case "audit":
            return judge_audit(gather_audit(trial, runs))
        case "graded":
            return judge_levels(gather_blocks(trial, runs))
        case _:
            return findings_so_far(trial, runs)


def look_over(record: Record, pictures: Sequence[str] = ()) -> Overview:
    """Ask every check of a trial, and what is missing.

    `pictures` is what is wrong with its pictures.
    """
    trial, runs = record.trial, record.runs
    made = [run.pair for run in runs if is_made(run)]
    return Overview(
        trial=trial.name,
        kind=trial.kind,
        is_locked=trial.locked is not None,
        runs_made=len(made),
        runs_to_come=sum(runs_left(trial, runs).values()),
        pairs=sum(made.count(number) == len(trial.arms) for number in set(made)),
        findings=_findings(trial, runs),
        missing=missing_of(trial, runs),
        pictures=tuple(pictures),
        set_aside=trial.set_aside,
    )
