"""What the tests of the checks share: a good trial, and what one check says of any."""

from typing import Any

from schemas import Finding, Run, Trial
from tests.verdicts.cases import masses, recovery_runs, run
from trials.fairness.checklist import judge_all
from trials.fairness.evidence import gather

GOOD = (2.1, 3.4, 3.0, 2.2, 1.5, 2.6)


def found(check: str, plan: Trial, runs: list[Run]) -> list[Finding]:
    """What one check says of a trial."""
    return [finding for finding in judge_all(gather(plan, runs)) if finding.check == check]


def one(check: str, plan: Trial, runs: list[Run]) -> tuple[str, str]:
    """Severity and message of the only finding of a check."""
    (finding,) = found(check, plan, runs)
    return finding.severity, finding.message


def by_arm(runs: list[Run], baseline: dict[str, Any], changed: dict[str, Any]) -> list[Run]:
    """The same runs with more known of each arm."""
    return [r.model_copy(update=baseline if r.arm == "baseline" else changed) for r in runs]


def with_of(runs: list[Run], pair: int, arm: str, **more: Any) -> list[Run]:
    """The same runs with more known of one of them."""
    return [r.model_copy(update=more) if r.key == (pair, arm) else r for r in runs]


def everywhere(runs: list[Run], **more: Any) -> list[Run]:
    """The same runs with more known of all of them."""
    return [r.model_copy(update=more) for r in runs]


def good(pairs: int = 6, **more: Any) -> list[Run]:
    """Recovery runs of a good trial."""
    return recovery_runs((GOOD * 3)[:pairs], **more)


def weighed(**more: Any) -> list[Run]:
    """Six pairs of gold kept, about 100 mg a run."""
    return masses([(100, 104), (98, 103), (101, 108), (99, 102), (103, 107), (97, 104)], **more)


def traced(**more: Any) -> list[Run]:
    """Six pairs of 100 tracers a run, none missing."""
    kept = [(80, 84), (82, 90), (79, 77), (81, 86), (83, 80), (80, 90)]
    return [
        run(pair, arm, **({"seeded": 100, "kept": k, "in_tails": 100 - k} | more))
        for pair, both in enumerate(kept, start=1)
        for arm, k in zip(("baseline", "changed"), both, strict=True)
    ]
