"""Every check, in the order it is printed. A new one is a file in this folder and a line here."""

from schemas import Finding
from trials.fairness import diagnostics, halves, one_change, order, plan, record, weighing
from trials.fairness.evidence import Check, Evidence

CHECKS: tuple[Check, ...] = (
    halves.CONTROL_THERE,
    one_change.CHECK,
    halves.SAME_LOT,
    halves.LIKE_HALVES,
    halves.SAME_SESSION,
    order.CHECK,
    weighing.TAILS_KEPT,
    weighing.TOO_MANY_ZEROS,
    plan.PLAN_FIRST,
    plan.EXTENDED,
    plan.CLOSED_SHORT,
    record.CHECK,
    diagnostics.ORDER_EFFECT,
    diagnostics.ODD_PAIR,
    diagnostics.ONE_PAIR_CARRIES,
    diagnostics.OVER_DISPERSION,
)
WORST_FIRST = ("STOP", "WEAKENS", "NOTE", "not recorded", "ok")


def judge_all(evidence: Evidence) -> tuple[Finding, ...]:
    """Ask every check; one that finds nothing answers ok. Worst first, else in the order of the list."""
    findings = [
        finding for check in CHECKS for finding in (check.judge(evidence) or [Finding(check=check.name, severity="ok")])
    ]
    return tuple(sorted(findings, key=lambda finding: WORST_FIRST.index(finding.severity)))
