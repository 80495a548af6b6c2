"""Every check, in the order it is printed. A new one is a function in this folder and a line here."""

from collections.abc import Iterable, Mapping

from schemas import Finding
from schemas.verdict import Severity
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
    slips,
    tally,
    water,
    weighing,
)
from trials.fairness.evidence import Check, Evidence

CHECKS: tuple[Check, ...] = (
    halves.CONTROL_THERE,
    one_change.ONE_CHANGE,
    order.FIRST_TURN,
    halves.SAME_LOT,
    halves.SPLIT_TOOL,
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
    slips.SLIP,
    slips.LOOK_AGAIN,
    weighing.TOO_MANY_ZEROS,
    weighing.SCALE_FINE_ENOUGH,
    weighing.CLEAN_GOLD,
    pieces.BIG_PIECE,
    tally.GRAINS_HOME,
    tally.VOIDS_EVEN,
    plan.PLAN_FIRST,
    plan.EXTENDED,
    plan.CLOSED_SHORT,
    plan.THIN_RECORD,
    order.DRAWN_ORDER,
    pieces.ENOUGH_GRAINS,
    diagnostics.ORDER_EFFECT,
    drift.DRIFT,
    diagnostics.ODD_PAIR,
    diagnostics.ONE_PAIR_CARRIES,
    counting.OVER_DISPERSION,
    counting.TOO_TIDY,
)
WORST_FIRST: tuple[Severity, ...] = ("STOP", "WEAKENS", "NOTE", "not recorded", "ok")

SEVERITY_HEADS: Mapping[Severity, str] = {"STOP": "Stops", "WEAKENS": "Weakens it", "NOTE": "Note"}
"""What stands before a finding, of those that have to be told."""


def judge_all(evidence: Evidence, *, names_arms: bool | None = None) -> tuple[Finding, ...]:
    """Ask every check; one that finds nothing answers ok. Worst first, else in the order of the list.

    The words tell the arms apart as `names_arms` says, or once the planned end is reached. control-there alone names
    the arm that was not run whatever is asked, for that is all it has to say.
    """
    told = evidence.ended if names_arms is None else names_arms
    return worst_first(
        (answer if told else answer.without_arms()).in_words(check.name)
        for check in CHECKS
        for answer in check.answers(evidence)
    )


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Stops before what weakens, and so on; else as they come."""
    return tuple(sorted(findings, key=lambda finding: WORST_FIRST.index(finding.severity)))
