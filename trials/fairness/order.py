"""first-turn: can order and change be told apart?"""

from collections.abc import Sequence

from schemas import Finding
from trials.fairness.evidence import Check, Evidence, not_recorded
from trials.fairness.thresholds import ONE_ARM_FIRST_WEAKENS_SHARE, ORDER_NEEDS_PAIRS

NAME = "first-turn"


def judge(evidence: Evidence) -> Sequence[Finding]:
    """How often did each arm go first, over the passed pairs with known turns? Silent under 3 pairs."""
    known = [pair for pair in evidence.whole if pair.first is not None]
    if not known:
        return not_recorded(NAME, "The turn of each run was not recorded")
    if len(known) < ORDER_NEEDS_PAIRS:
        return []
    changed_first = sum(pair.first == "changed" for pair in known)
    rarer = min(changed_first, len(known) - changed_first)
    if rarer >= ONE_ARM_FIRST_WEAKENS_SHARE * len(known):
        return []
    often, place = (len(known) - changed_first, "second") if changed_first == rarer else (changed_first, "first")
    return [
        Finding(
            check=NAME,
            severity="STOP" if rarer == 0 else "WEAKENS",
            message=f"{evidence.changed_words()} ran {place} in {often} of {len(known)} pairs. Order and change "
            "cannot be told apart; draw the order again.",
            pairs=tuple(pair.number for pair in known),
        )
    ]


CHECK = Check(
    NAME,
    "which half of each pair was run first",
    "Fisher, The Design of Experiments, 1935, ch. II, on drawing the order",
    judge,
)
