"""Checks on what was weighed and kept: tails-kept, too-many-zeros."""

from collections.abc import Sequence

import numpy as np

from schemas import Finding
from trials.fairness.evidence import Check, Evidence, not_recorded
from trials.fairness.thresholds import ZERO_RUNS_STOP_PERCENT

NEEDS_TAILS = ("recovery", "tails_gold")


def tails_kept(evidence: Evidence) -> Sequence[Finding]:
    """Were all tails caught, where the measure is made of them?"""
    if evidence.trial.measure not in NEEDS_TAILS:
        return []
    caught = evidence.trial.tails.caught
    if caught is None:
        return not_recorded(TAILS_KEPT.name, "How the tails were caught was not recorded")
    if caught == "all":
        return []
    return [
        Finding(
            check=TAILS_KEPT.name,
            severity="WEAKENS",
            message=f"Tails were caught as {caught}, not all of them: this shows gold kept, not recovery. "
            "Tub the tails.",
        )
    ]


def too_many_zeros(evidence: Evidence) -> Sequence[Finding]:
    """How many runs of a ratio measure found none, and can a ratio be made of them?"""
    pairing = evidence.pairing
    complete = [pair for pair in evidence.passed if pair.state == "complete"]
    if not pairing.measure.is_ratio or not complete:
        return []
    halves = pairing.readings(complete)
    zeros = int(sum(int(np.count_nonzero(pairing.measure.zeros(half))) for half in halves))
    runs = 2 * len(complete)
    if zeros and pairing.measure.weighs and pairing.division_mg is None:
        return [_zeros(f"{zeros} of {runs} runs found none and no scale division is known.", "Give [scales] gold.")]
    if 100.0 * zeros / runs <= ZERO_RUNS_STOP_PERCENT:
        return []
    return [
        _zeros(
            f"{zeros} of {runs} runs found none (over {ZERO_RUNS_STOP_PERCENT:g} %, our default).",
            "Pool classes, feed more, or count tracers.",
        )
    ]


def _zeros(what: str, remedy: str) -> Finding:
    return Finding(check=TOO_MANY_ZEROS.name, severity="STOP", message=f"{what} {remedy}")


TAILS_KEPT = Check(
    "tails-kept",
    "how the tails were caught",
    "Kuhnle, Heavy-mineral transport in gravel-bed streams, MIT, 1986: bed load leaves in pulses of minutes",
    tails_kept,
)
TOO_MANY_ZEROS = Check(
    "too-many-zeros",
    "runs of a ratio measure that found none",
    "our own simulation, no source",
    too_many_zeros,
)
