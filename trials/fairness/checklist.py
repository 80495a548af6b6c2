"""Every check, in the order it is printed. A new one is a function in this folder and a line here."""

from schemas import Finding
from trials.fairness import (
    bed,
    counting,
    diagnostics,
    drift,
    halves,
    hands,
    one_change,
    order,
    pieces,
    plan,
    record,
    split_tool,
    tally,
    water,
    weighing,
)
from trials.fairness.evidence import Check, Evidence

CHECKS: tuple[Check, ...] = (
    halves.CONTROL_THERE,
    one_change.CHECK,
    order.FIRST_TURN,
    halves.SAME_LOT,
    split_tool.CHECK,
    halves.LIKE_HALVES,
    halves.SAME_SESSION,
    bed.LEFTOVERS,
    bed.SETTLED_BED,
    water.STEADY_WATER,
    water.WATER_TEMP,
    water.SOAP_AND_CLOUD,
    hands.FEED_RHYTHM,
    hands.WHO_KNEW,
    weighing.TAILS_KEPT,
    weighing.TOO_MANY_ZEROS,
    weighing.SCALE_FINE_ENOUGH,
    weighing.CLEAN_GOLD,
    pieces.BIG_PIECE,
    tally.GRAINS_HOME,
    tally.VOIDS_EVEN,
    plan.PLAN_FIRST,
    plan.EXTENDED,
    plan.CLOSED_SHORT,
    record.CHECK,
    order.DRAWN_ORDER,
    pieces.ENOUGH_GRAINS,
    diagnostics.ORDER_EFFECT,
    drift.CHECK,
    diagnostics.ODD_PAIR,
    diagnostics.ONE_PAIR_CARRIES,
    counting.OVER_DISPERSION,
    counting.TOO_TIDY,
)
WORST_FIRST = ("STOP", "WEAKENS", "NOTE", "not recorded", "ok")


def judge_all(evidence: Evidence) -> tuple[Finding, ...]:
    """Ask every check; one that finds nothing answers ok. Worst first, else in the order of the list."""
    findings = [
        finding for check in CHECKS for finding in (check.judge(evidence) or [Finding(check=check.name, severity="ok")])
    ]
    return tuple(sorted(findings, key=lambda finding: WORST_FIRST.index(finding.severity)))
